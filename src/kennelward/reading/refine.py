"""From a rough window to its corners: the refiner's answer, checked by edges."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kennelward.reading.networks import WINDOW, WINDOW_LENGTH, Floats, Networks, run
from kennelward.reading.straighten import Corners

_PREFILTER = 0.4  # sd of the blur before shrinking, in px of the crop
_NEEDS_PREFILTER = 1.3  # photo px to one px of the crop


class Levels:
    """A photo and its halves, each made once, when a shrunken crop needs it."""

    def __init__(self, pixels: NDArray[np.uint8]) -> None:
        self.pixels = pixels
        self._halves = [pixels]

    @property
    def size(self) -> tuple[int, int]:
        """Width and height."""
        return self.pixels.shape[1], self.pixels.shape[0]

    def for_step(self, step: float) -> tuple[NDArray[np.uint8], float]:
        """The smallest copy that still has a pixel to a `step`, and its shrinking."""
        import cv2

        level = max(0, int(np.floor(np.log2(max(step, 1.0)))))
        while len(self._halves) <= level:
            last = self._halves[-1]
            if min(last.shape[:2]) < 8:
                break
            # whole pairs only, so that a half pixel is never half a pixel off
            even = last[: last.shape[0] // 2 * 2, : last.shape[1] // 2 * 2]
            size = (even.shape[1] // 2, even.shape[0] // 2)
            half = cv2.resize(even, size, interpolation=cv2.INTER_AREA)
            self._halves.append(np.asarray(half, np.uint8))
        level = min(level, len(self._halves) - 1)
        return self._halves[level], float(2**level)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Refined:
    """A window with the refiner's opinion of it."""

    corners: Corners  # start-top, end-top, end-bottom, start-bottom turned to our order
    corner_sd: float  # share of the window's length
    logit: float  # that this is a membrane window


def refine(photo: Levels, starts: list[Corners], nets: Networks) -> list[Refined]:
    """Move each of `starts` onto its window. Same length and order as `starts`."""
    if not starts:
        return []
    turned = [crop_to_photo(corners, length=WINDOW_LENGTH) for corners in starts]
    crops = np.stack([crop(photo, matrix) for matrix in turned])
    moved, log_sd, logit = run(nets.refiner, crops)
    return [
        Refined(
            corners=_in_photo(moved[i], turned[i]),
            corner_sd=float(np.exp(np.clip(np.ravel(log_sd)[i], -9, 3))),
            logit=float(np.ravel(logit)[i]),
        )
        for i in range(len(starts))
    ]


def crop_to_photo(corners: Corners, *, length: int) -> NDArray[np.float64]:
    """2x3: crop px to photo px. The window lies level, `length` px long, centred."""
    centre = corners.mean(axis=0)
    along = corners[2:].mean(axis=0) - corners[:2].mean(axis=0)
    step = along / length
    matrix = np.array([[step[0], -step[1], 0.0], [step[1], step[0], 0.0]])
    matrix[:, 2] = centre - matrix[:, :2] @ (WINDOW[0] / 2, WINDOW[1] / 2)
    return matrix


def crop(photo: Levels, matrix: NDArray[np.float64]) -> Floats:
    """(3, 96, 192) sRGB from 0 to 1, with the picture's edge carried on outside."""
    import cv2

    step = float(np.hypot(matrix[0, 0], matrix[1, 0]))
    pixels, shrink = photo.for_step(step)
    # OpenCV puts pixel centres at whole numbers; ours lie at halves
    to_level = matrix / shrink
    reach = np.array([[0, 0], [WINDOW[0], 0], [0, WINDOW[1]], WINDOW], np.float64)
    seen = reach @ to_level[:, :2].T + to_level[:, 2]
    rows, columns = pixels.shape[:2]
    low = np.floor(np.clip(seen.min(axis=0), 0, (columns - 1, rows - 1))).astype(int)
    high = np.ceil(np.clip(seen.max(axis=0), low + 1, (columns, rows))).astype(int)
    piece = pixels[low[1] : high[1] + 1, low[0] : high[0] + 1]
    if step / shrink > _NEEDS_PREFILTER:
        piece = cv2.GaussianBlur(piece, (0, 0), _PREFILTER * step / shrink)
    to_level[:, 2] += to_level[:, :2] @ (0.5, 0.5) - low - 0.5
    found = cv2.warpAffine(
        np.ascontiguousarray(piece),
        to_level,
        WINDOW,
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    return found.astype(np.float32).transpose(2, 0, 1) / 255


def _in_photo(moved: NDArray[np.float32], matrix: NDArray[np.float64]) -> Corners:
    """The refiner's eight numbers as corners in our order: the two at the start first."""
    # the network counts from the first pixel's centre, we from the picture's edge
    start_top, end_top, end_bottom, start_bottom = (
        moved.reshape(4, 2).astype(np.float64) + 0.5
    )
    inside = np.stack([start_bottom, start_top, end_top, end_bottom])
    return inside @ matrix[:, :2].T + matrix[:, 2]


def is_sound(corners: Corners) -> bool:
    """A convex outline, longer than wide, of some size."""
    if not np.isfinite(corners).all():
        return False
    points = corners.tolist()  # eight numbers: plain arithmetic is much the faster
    ends = points[1:] + points[:1]
    sides = [(b[0] - a[0], b[1] - a[1]) for a, b in zip(points, ends, strict=True)]
    following = sides[1:] + sides[:1]
    turns = (a[0] * b[1] - a[1] * b[0] for a, b in zip(sides, following, strict=True))
    is_convex = all(turn > 0 for turn in turns)
    shortest = min(math.hypot(*side) for side in sides)
    return is_convex and shortest > 2 and length_of(corners) > 12


def length_of(corners: Corners) -> float:
    """Length along the flow, in px of whatever the corners are in."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = corners.tolist()
    return math.hypot((cx + dx - ax - bx) / 2, (cy + dy - ay - by) / 2)


def width_of(corners: Corners) -> float:
    """Width across the flow."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = corners.tolist()
    return math.hypot((bx + cx - ax - dx) / 2, (by + cy - ay - dy) / 2)


def apart(one: Corners, other: Corners) -> float:
    """Mean distance of like corners, as a share of the length; either way round."""
    straight = np.linalg.norm(one - other, axis=1).mean()
    turned = np.linalg.norm(one - np.roll(other, 2, axis=0), axis=1).mean()
    return float(min(straight, turned) / max(length_of(one), 1e-9))


def overlap(one: Corners, other: Corners) -> float:
    """Intersection over union of two windows."""
    import cv2

    a, b = one.astype(np.float32), other.astype(np.float32)
    both = float(cv2.intersectConvexConvex(a, b)[0])
    either = abs(cv2.contourArea(a)) + abs(cv2.contourArea(b)) - both
    return both / either if either > 0 else 0.0
