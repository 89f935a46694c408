"""How well a box lies on the rim of a window, and moving it until it lies best.

A window is a flat, pale strip with a rim all round. The measure adds the step of
brightness across each side, the same sign along the side, and takes off what varies
across the inside. Lines of the strip run across and do not count as rim.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Boxes = NDArray[np.float64]  # (n, 5): x, y, length, width, turn in radians

_ON_LONG = np.linspace(-0.86, 0.86, 36)  # share of half the length
_ON_SHORT = np.linspace(-0.55, 0.55, 12)  # ends are often round: the middle only
_INSIDE_ALONG = np.linspace(-0.85, 0.85, 26)
_INSIDE_ACROSS = np.linspace(-0.62, 0.62, 7)
_SHARP = 0.08
_BEYOND = np.linspace(0.12, 0.75, 10)  # share of the width beyond an end


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Relief:
    """Logarithm of light and its slope, for the copy that is searched."""

    level: NDArray[np.float32]  # (rows, columns) natural log of light
    slope_x: NDArray[np.float32]
    slope_y: NDArray[np.float32]


def relief_of(grey: NDArray[np.uint8]) -> Relief:
    """Relief of a grey copy; logs make the measure blind to exposure."""
    import cv2

    light = np.power(grey.astype(np.float32) / 255, 2.2)
    level = cv2.GaussianBlur(np.log(light + 0.01), (0, 0), 1.0)
    return Relief(
        level=level,
        slope_x=cv2.Scharr(level, cv2.CV_32F, 1, 0) / 32,
        slope_y=cv2.Scharr(level, cv2.CV_32F, 0, 1) / 32,
    )


def rim_score(relief: Relief, boxes: Boxes) -> NDArray[np.float64]:
    """One number a box: about 0 on nothing, above 0.1 on a clear window."""
    long_sides = np.stack([_long_side(relief, boxes, sign) for sign in (-1, 1)], 1)
    ends = np.stack([_end(relief, boxes, sign) for sign in (-1, 1)], 1)
    running_on = np.stack([_running_on(relief, boxes, sign) for sign in (-1, 1)], 1)
    weakest = np.minimum(long_sides.min(axis=1), 2 * ends.min(axis=1))
    score: NDArray[np.float64] = (
        0.2 * long_sides.sum(axis=1)
        + 0.8 * np.sqrt(long_sides.prod(axis=1))  # half a window has one side only
        + 0.35 * ends.sum(axis=1)
        + 0.2 * weakest
        - 0.8 * running_on.sum(axis=1)
        - 0.5 * _unevenness_across(relief, boxes)
    )
    return score


def plain_beside(relief: Relief, boxes: Boxes) -> NDArray[np.float64]:
    """Share of what lies beside each box that is as bright as the rest of it.

    A quick look before the housing is looked at in colour.
    """
    along = np.tile(np.linspace(-0.5, 0.5, 12), 6)[None] * boxes[:, 2, None]
    across = np.repeat([-1.5, -1.3, -1.1, 1.1, 1.3, 1.5], 12)[None]
    levels = _at(relief.level, boxes, along, across * boxes[:, 3, None])
    middle = np.median(levels, axis=1, keepdims=True)
    share: NDArray[np.float64] = (np.abs(levels - middle) < 0.2).mean(axis=1)
    return share


def _long_side(relief: Relief, boxes: Boxes, sign: int) -> NDArray[np.float64]:
    """Step across one long side."""
    half = boxes[:, 2, None] / 2
    offset = sign * boxes[:, 3, None] / 2
    return _step(_slope(relief, boxes, _ON_LONG[None] * half, offset, along=False))


def _running_on(relief: Relief, boxes: Boxes, sign: int) -> NDArray[np.float64]:
    """How much both long sides go on beyond one end: the box is too short there."""
    beyond = sign * (boxes[:, 2, None] / 2 + _BEYOND[None] * boxes[:, 3, None])
    both = [
        _step(_slope(relief, boxes, beyond, side * boxes[:, 3, None] / 2, along=False))
        for side in (-1, 1)
    ]
    return np.sqrt(both[0] * both[1])


def _end(relief: Relief, boxes: Boxes, sign: int) -> NDArray[np.float64]:
    """Step across one end, where what lies beyond differs from the membrane.

    A line of the strip is a step as well, but the membrane goes on behind it.
    """
    width = boxes[:, 3, None]
    across = _ON_SHORT[None] * width / 2
    at = sign * boxes[:, 2, None] / 2
    step = _step(_slope(relief, boxes, at, across, along=True))
    levels = []
    for near, far in ((-0.45, -0.12), (0.3, 0.65)):
        depth = np.linspace(near, far, 4)
        samples = [
            _at(relief.level, boxes, at + sign * d * width, across) for d in depth
        ]
        levels.append(np.median(np.concatenate(samples, axis=1), axis=1))
    return np.minimum(step, 0.3 * np.abs(levels[0] - levels[1]))


def _unevenness_across(relief: Relief, boxes: Boxes) -> NDArray[np.float64]:
    along = (_INSIDE_ALONG[:, None] * np.ones(7)).ravel()[None] * boxes[:, 2, None] / 2
    across = (np.ones(26)[:, None] * _INSIDE_ACROSS).ravel()[None]
    inside = _at(relief.level, boxes, along, across * boxes[:, 3, None] / 2)
    spread: NDArray[np.float64] = np.median(
        inside.reshape(len(boxes), 26, 7).std(axis=2), axis=1
    )
    return spread


def _slope(
    relief: Relief,
    boxes: Boxes,
    along_px: NDArray[np.float64],
    across_px: NDArray[np.float64],
    *,
    along: bool,
) -> NDArray[np.float64]:
    """Slope along or across the box at places given in box coordinates."""
    turn = boxes[:, 4, None]
    x = _at(relief.slope_x, boxes, along_px, across_px)
    y = _at(relief.slope_y, boxes, along_px, across_px)
    slope: NDArray[np.float64] = (
        np.cos(turn) * x + np.sin(turn) * y
        if along
        else -np.sin(turn) * x + np.cos(turn) * y
    )
    return slope


def _at(
    picture: NDArray[np.float32],
    boxes: Boxes,
    along_px: NDArray[np.float64],
    across_px: NDArray[np.float64],
) -> NDArray[np.float64]:
    """`picture` at places given in box coordinates; what is outside repeats the edge."""
    x, y, turn = boxes[:, 0, None], boxes[:, 1, None], boxes[:, 4, None]
    cos, sin = np.cos(turn), np.sin(turn)
    return _sample(
        picture,
        x + cos * along_px - sin * across_px,
        y + sin * along_px + cos * across_px,
    )


def _step(slopes: NDArray[np.float64]) -> NDArray[np.float64]:
    """Step of one sign along three quarters of the side; what changes sign cancels.

    Beyond about 0.1 a sharper step says no more: floor tiles and the housing's own
    edge are sharper than any window.
    """
    sign = np.sign(np.median(slopes, axis=1, keepdims=True))
    ordered = np.sort(slopes * sign, axis=1)
    count = ordered.shape[1]
    quarter, half = ordered[:, count // 4], ordered[:, count // 2]
    step = np.maximum(0.6 * quarter + 0.4 * half, 0)
    capped: NDArray[np.float64] = _SHARP * np.tanh(step / _SHARP)
    return capped


def _sample(
    picture: NDArray[np.float32],
    x: NDArray[np.float64],
    y: NDArray[np.float64],
) -> NDArray[np.float64]:
    import cv2

    x, y = np.broadcast_arrays(x, y)
    found = cv2.remap(
        picture,
        np.ascontiguousarray(x, np.float32),
        np.ascontiguousarray(y, np.float32),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )
    return np.asarray(found, np.float64)


def settle(
    relief: Relief,
    box: NDArray[np.float64],
    *,
    aspect: tuple[float, float],
    rounds: int = 30,
) -> tuple[NDArray[np.float64], float]:
    """Move sides and turn of `box` until its rim score grows no more."""
    best = box.astype(np.float64)
    score = float(rim_score(relief, best[None])[0])
    step = 0.16
    for _ in range(rounds):
        tries = _moves(best, step)
        ratio = tries[:, 2] / tries[:, 3]
        tries = tries[(ratio > aspect[0]) & (ratio < aspect[1]) & (tries[:, 3] > 4)]
        if not len(tries):
            break
        scores = rim_score(relief, tries)
        top = int(np.argmax(scores))
        if scores[top] > score + 1e-5:
            best, score = tries[top], float(scores[top])
        else:
            step /= 2
            if step < 0.008:
                break
    return best, score


def _moves(box: NDArray[np.float64], step: float) -> Boxes:
    """Each side in and out, the whole along and across, and turns."""
    x, y, length, width, turn = box
    along = np.array((np.cos(turn), np.sin(turn)))
    across = np.array((-np.sin(turn), np.cos(turn)))
    moved = []
    for direction, side in ((along, 2), (across, 3)):
        by = step * (length * 0.5 if side == 2 else width)
        for sign in (-1, 1):
            for grow in (-1, 0, 1):  # 0 shifts the whole box
                new = box.copy()
                shift = direction * sign * by * (1.0 if grow == 0 else 0.5)
                new[:2] = (x + shift[0], y + shift[1])
                new[side] += grow * by
                moved.append(new)
    for far in (-1, 1):  # a side may have settled on a streak in the middle
        new = box.copy()
        new[:2] = (x, y) + across * far * width / 2
        new[3] = 2 * width
        moved.append(new)
        for more in (0.3, 0.6):  # an end may have settled on a line of the strip
            new = box.copy()
            new[:2] = (x, y) + along * far * more * length / 2
            new[2] = (1 + more) * length
            moved.append(new)
    for angle in (-1, 1):
        new = box.copy()
        new[4] = turn + angle * step * 0.8
        moved.append(new)
    return np.stack(moved)
