"""What lies around a window: plain plastic, and the sample well at one end.

The window itself is never looked at here, so that no line can say which way the
strip lies.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kennelward.reading.straighten import Corners, straighten

_LENGTH, _WIDTH = 64, 16  # px of the window in the view of its surroundings
_AROUND = (1.9, 2.0)  # looked at, in windows' lengths and widths beyond the window
_NEAR_WALL = 0.5  # widths beyond the window that its sloped walls may take


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """Proof, or none, that a window sits in the housing of a strip."""

    plastic: float  # share of what lies beside the window that has one plain colour
    body: tuple[float, float, float]  # natural log of linear R, G, B of the housing
    well_at_start: float  # 0 to 1: a sample well beyond column 0
    well_at_end: float

    @property
    def has_well(self) -> bool:
        """A well is seen on one side and clearly not on the other."""
        high, low = sorted((self.well_at_start, self.well_at_end), reverse=True)
        return high > 0.5 and low < 0.6 * high


def look_around(pixels: NDArray[np.uint8], corners: Corners) -> Surroundings:
    """Look at the housing around the window with these corners."""
    view = straighten(pixels, corners, length=_LENGTH, width=_WIDTH, around=_AROUND)
    level = np.log(np.maximum(view, 3e-3))
    rows, columns = level.shape[:2]
    along = (np.arange(columns) - columns / 2) / _LENGTH  # windows' lengths
    across = (np.arange(rows) - rows / 2) / _WIDTH  # windows' widths
    beside = (
        (np.abs(across)[:, None] > 0.5 + _NEAR_WALL)
        & (np.abs(across)[:, None] < 1.55)
        & (np.abs(along)[None, :] < 0.55)
    )
    body = np.median(level[beside], axis=0)
    away = np.abs(level - body).max(axis=2)
    plastic = float((away[beside] < 0.16).mean())
    half = columns // 2
    outward = (np.arange(half) + 0.5) / _LENGTH
    start = _well(away[:, :half][:, ::-1], outward, across)
    end = _well(away[:, columns - half :], outward, across)
    red, green, blue = (float(value) for value in body)
    return Surroundings(
        plastic=plastic,
        body=(red, green, blue),
        well_at_start=start,
        well_at_end=end,
    )


def _well(
    away: NDArray[np.float32],
    along: NDArray[np.float64],
    across: NDArray[np.float64],
) -> float:
    """How much one blob beyond the window's end looks like a sample well.

    A well is round or oval, lies on the strip's axis within two windows' lengths and
    is about one to two windows' widths broad, with plain plastic around it.
    """
    import cv2

    nearest = int(np.argmax(along > 0.72))
    differs = (away[:, nearest:] > 0.12).astype(np.uint8)
    differs = cv2.morphologyEx(differs, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    count, labels, boxes, centres = cv2.connectedComponentsWithStats(differs)
    best = 0.0
    for i in range(1, count):
        x, y, long, wide, area = (int(v) for v in boxes[i])
        length, width = long / _LENGTH, wide / _WIDTH
        # what begins at the nearest column is the rest of a window cut short
        touches = x == 0 or x + long == differs.shape[1] or y == 0
        if touches or y + wide == differs.shape[0]:
            continue
        if not (0.18 < length < 0.95 and 0.6 < width < 2.6 and long < 2.6 * wide):
            continue
        off_axis = abs(float(across[min(round(centres[i][1]), len(across) - 1)]))
        if long < 0.45 * wide or off_axis > 0.55:
            continue
        piece = (labels[y : y + wide, x : x + long] == i).astype(np.uint8)
        outlines, _ = cv2.findContours(
            piece, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE
        )
        outline = max(outlines, key=cv2.contourArea)
        hull = cv2.contourArea(cv2.convexHull(outline))
        solid = cv2.contourArea(outline) / max(hull, 1.0)
        filled = cv2.contourArea(outline) / max(1.0, (long - 1.0) * (wide - 1.0))
        if filled < 0.5 or area < 0.25 * long * wide:
            continue
        score = min(1.0, solid) * (1 - off_axis) * min(1.0, filled / 0.72)
        best = max(best, score)
    return float(min(best, 1.0))
