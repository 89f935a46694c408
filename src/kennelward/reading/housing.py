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
    return Surroundings(plastic=plastic, well_at_start=start, well_at_end=end)


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

    differs = ((away > 0.12) & (along > 0.72)[None, :]).astype(np.uint8)
    differs = cv2.morphologyEx(differs, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    outlines, _ = cv2.findContours(differs, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    best = 0.0
    for outline in outlines:
        x, y, long, wide = cv2.boundingRect(outline)
        touches = (
            y <= 1 or y + wide >= away.shape[0] - 1 or (x + long >= away.shape[1] - 1)
        )
        length, width = long / _LENGTH, wide / _WIDTH
        if touches or not (0.18 < length < 0.95 and 0.6 < width < 2.6):
            continue
        if not 0.45 < (long / wide) < 2.6:
            continue
        off_axis = abs(across[min(y + wide // 2, len(across) - 1)])
        hull = cv2.convexHull(outline)
        filled = float(differs[y : y + wide, x : x + long].mean())
        solid = cv2.contourArea(outline) / max(cv2.contourArea(hull), 1.0)
        if off_axis > 0.55 or filled < 0.5:
            continue
        score = min(1.0, solid) * (1 - off_axis) * min(1.0, filled / 0.72)
        best = max(best, score)
    return float(min(best, 1.0))
