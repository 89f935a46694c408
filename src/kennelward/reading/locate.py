"""Where windows may be. Proposes all of them; what a strip is decides `window.py`."""

import numpy as np
from numpy.typing import NDArray

from kennelward.reading.edges import Boxes

_BLOCKS = (25, 61, 141)  # px of the searched copy; windows of 15 to 120 px across
_MOST_BOXES = 500
_BARS_ASPECT = (1.6, 9.0)


def propose_boxes(colours: NDArray[np.uint8], *, aspect: tuple[float, float]) -> Boxes:
    """Boxes (n, 5) that may be windows, in pixels of `colours` (RGB copy).

    Three kinds of proof: pale or dark patches against their neighbourhood, closed
    edges, and red bars, from which a window is drawn around.
    """
    import cv2

    grey = cv2.cvtColor(colours, cv2.COLOR_RGB2GRAY)
    soft = cv2.GaussianBlur(grey, (0, 0), 1.2)
    red = cv2.GaussianBlur(np.ascontiguousarray(colours[..., 0]), (0, 0), 1.2)
    masks = []
    for block in _BLOCKS:
        if block >= min(grey.shape):
            continue
        for plane, offset in ((soft, 3), (soft, -3), (red, 3), (red, -3)):
            masks.append(
                cv2.adaptiveThreshold(
                    plane, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY, block,
                    offset,
                )
            )  # fmt: skip
    for low, high in ((8, 20), (20, 50), (50, 120)):
        edges = cv2.Canny(soft, low, high)
        masks.append(cv2.dilate(edges, np.ones((3, 3), np.uint8)))
    found: list[NDArray[np.float64]] = []
    for mask in masks:
        found += _rectangles(mask, aspect=aspect)
    found += _joined(found, aspect=aspect)
    found += red_bar_windows(colours, aspect=aspect)
    return _distinct(np.array(found).reshape(-1, 5))


def _rectangles(
    mask: NDArray[np.uint8], *, aspect: tuple[float, float]
) -> list[NDArray[np.float64]]:
    """Outlines of the mask that fill a long rectangle; pieces of one too."""
    import cv2

    contours, _ = cv2.findContours(mask, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
    found = []
    largest = 0.45 * max(mask.shape)
    for outline in contours:
        if len(outline) < 4:
            continue
        box = _box_of(outline)
        length, width = box[2], box[3]
        if width < 6 or length < 14 or length > largest:
            continue
        if not 0.8 < length / width < aspect[1] * 1.15:
            continue
        hull = cv2.contourArea(cv2.convexHull(outline))
        if hull < 0.72 * length * width or cv2.contourArea(outline) < 0.6 * hull:
            continue
        found.append(box)
    return found


def _box_of(outline: NDArray[np.int32]) -> NDArray[np.float64]:
    import cv2

    (x, y), (a, b), degrees = cv2.minAreaRect(outline)
    turn = np.deg2rad(degrees)
    if b > a:
        a, b, turn = b, a, turn + np.pi / 2
    return np.array((x, y, a, b, (turn + np.pi / 2) % np.pi - np.pi / 2))


def _joined(
    boxes: list[NDArray[np.float64]], *, aspect: tuple[float, float]
) -> list[NDArray[np.float64]]:
    """Pieces of one window, cut apart by its lines, put together again."""
    if len(boxes) > 400:
        boxes = boxes[:400]
    joined = []
    for i, one in enumerate(boxes):
        for other in boxes[i + 1 :]:
            merged = _join(one, other)
            if merged is None:
                continue
            if aspect[0] * 0.8 < merged[2] / merged[3] < aspect[1] * 1.1:
                joined.append(merged)
    return joined[:300]


def _join(
    one: NDArray[np.float64], other: NDArray[np.float64]
) -> NDArray[np.float64] | None:
    """One box over both, where they lie end to end at the same breadth."""
    gap = other[:2] - one[:2]
    distance = float(np.hypot(*gap))
    if not 4 < distance < 6 * max(one[3], other[3]) + max(one[2], other[2]):
        return None
    turn = float(np.arctan2(gap[1], gap[0]))
    spans = []
    for box in (one, other):
        off = abs((box[4] - turn + np.pi / 2) % np.pi - np.pi / 2)
        if off < 0.25:
            spans.append((box[2], box[3]))
        elif off > np.pi / 2 - 0.25:
            spans.append((box[3], box[2]))
        else:
            return None
    (long_a, wide_a), (long_b, wide_b) = spans
    if not 0.75 < wide_a / wide_b < 1.33:
        return None
    between = distance - (long_a + long_b) / 2
    if not -0.3 * wide_a < between < 0.9 * wide_a:
        return None
    unit = gap / distance
    start, end = -long_a / 2, distance + long_b / 2
    centre = one[:2] + unit * (start + end) / 2
    return np.array((*centre, end - start, (wide_a + wide_b) / 2, turn))


def red_bar_windows(
    colours: NDArray[np.uint8], *, aspect: tuple[float, float]
) -> list[NDArray[np.float64]]:
    """Windows drawn around bars that are redder than their neighbourhood.

    A bar is as long as the strip is wide and lies a third from one end of it.
    """
    import cv2

    light = np.log(colours[..., :2].astype(np.float32) + 8)
    redness = cv2.GaussianBlur(light[..., 0] - light[..., 1], (0, 0), 1.3)
    found: list[NDArray[np.float64]] = []
    for block in (21, 51):
        if block >= min(redness.shape):
            continue
        local = redness - cv2.blur(redness, (block, block))
        limit = max(0.035, 2.5 * float(np.median(np.abs(local))))
        mask = (local > limit).astype(np.uint8)
        contours, _ = cv2.findContours(mask, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
        for outline in contours:
            if len(outline) < 4:
                continue
            bar = _box_of(outline)
            if bar[2] < 7 or not _BARS_ASPECT[0] < bar[2] / max(bar[3], 1) < 9:
                continue
            found += _around_bar(bar, aspect=aspect)
    return found[:240]


def _around_bar(
    bar: NDArray[np.float64], *, aspect: tuple[float, float]
) -> list[NDArray[np.float64]]:
    width, turn = bar[2], bar[4] + np.pi / 2
    unit = np.array((np.cos(turn), np.sin(turn)))
    boxes = []
    for ratio in (3.4, 4.6):
        if not aspect[0] < ratio < aspect[1]:
            continue
        for side in (-1, 1):
            centre = bar[:2] + side * 0.16 * ratio * width * unit
            boxes.append(np.array((*centre, ratio * width, width, turn)))
    return boxes


def _distinct(boxes: Boxes) -> Boxes:
    """Drop boxes that nearly repeat an earlier one."""
    kept = np.empty((_MOST_BOXES, 5))
    count = 0
    for box in boxes:
        others = kept[:count]
        same = (
            (
                np.hypot(others[:, 0] - box[0], others[:, 1] - box[1])
                < 0.15 * others[:, 3] + 1
            )
            & (np.abs(np.log(box[2] / others[:, 2])) < 0.14)
            & (np.abs(np.log(box[3] / others[:, 3])) < 0.14)
            & (np.abs(np.sin(box[4] - others[:, 4])) < 0.1)
        )
        if not same.any():
            kept[count] = box
            count += 1
        if count == _MOST_BOXES:
            break
    return kept[:count].copy()


def crop_boxes(size: tuple[int, int]) -> Boxes:
    """First guesses for a picture (width, height) already cut to about the window."""
    width, height = size
    long_side, short_side = max(size), min(size)
    upright = np.pi / 2 if height >= width else 0.0
    boxes = [
        (width / 2, height / 2, length * long_side, wide * short_side, upright + turn)
        for length in (0.62, 0.75, 0.88)
        for wide in (0.3, 0.42, 0.6)
        for turn in (-0.12, 0.0, 0.12)
    ]
    if long_side < 1.9 * short_side:  # a turned window in a squarish cut
        boxes += [
            (width / 2, height / 2, length * long_side, 0.24 * long_side, turn)
            for length in (0.85, 1.05)
            for turn in np.deg2rad((-60, -45, -30, 30, 45, 60))
        ]
    return np.array(boxes)
