"""Where windows may be: the finder's peaks and classical rectangles, pooled."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kennelward.reading.networks import CELL, FINDER_SIDE, Networks, run
from kennelward.reading.refine import Levels
from kennelward.reading.straighten import Corners, corners_of_box

_PEAKS = 5
_LEAST_CHANCE = 0.10  # of a cell; the refiner decides
_PAD_TO = 32


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Candidate:
    """A rough window in pixels of the photo as kept."""

    corners: Corners
    chance: float  # the finder's; 0 where it came from elsewhere


def found_by_network(photo: Levels, nets: Networks) -> list[Candidate]:
    """Peaks of the finder, the likeliest first."""
    import cv2

    scale = FINDER_SIDE / max(photo.size)
    pixels, _ = photo.for_step(0.5 / scale)  # near to it by halves, the rest by area
    method = cv2.INTER_AREA if scale < 1 else cv2.INTER_LINEAR
    columns, rows = (max(1, round(side * scale)) for side in photo.size)
    small = cv2.resize(pixels, (columns, rows), interpolation=method)
    padded = np.full((_up(rows), _up(columns), 3), 0.5, np.float32)
    padded[:rows, :columns] = small.astype(np.float32) / 255
    cells = run(nets.finder, padded.transpose(2, 0, 1)[None])[0][0]
    found = []
    for row, column in _peaks(cells[0]):
        _, ox, oy, cos2, sin2, log_length, log_width = cells[:, row, column]
        length = float(np.exp(np.clip(log_length, -3, 3))) * 32
        width = float(np.exp(np.clip(log_width, -3, 3.5))) * 8
        box = np.array(
            (
                (column + 0.5 + ox) * CELL / scale,
                (row + 0.5 + oy) * CELL / scale,
                max(length, width) / scale,
                min(length, width) / scale,
                np.arctan2(sin2, cos2) / 2,
            ),
            np.float64,
        )
        found.append(
            Candidate(
                corners=corners_of_box(box),
                chance=_chance(float(cells[0, row, column])),
            )
        )
    return found


def whole_picture(size: tuple[int, int]) -> list[list[Corners]]:
    """Starts for a picture (width, height) already cut to about its window, any way up.

    Two groups: the second is for when the first finds no clear window.
    """
    columns, rows = size
    long, short = max(rows, columns), min(rows, columns)
    upright = np.pi / 2 if rows > columns else 0.0
    box = (columns / 2, rows / 2, 0.85 * long, min(0.6 * short, 0.2 * long))
    first = [(*box, upright)]
    others = [
        (columns / 2, rows / 2, share * long, box[3], upright) for share in (0.7, 1.0)
    ]
    if long < 2.2 * short:  # a turned window needs a squarish cut
        turned = np.deg2rad((-55, -30, 30, 55, 90))
        others += [(*box[:2], 0.85 * long, 0.2 * long, upright + t) for t in turned]
    return [
        [corners_of_box(np.array(one)) for one in group] for group in (first, others)
    ]


def _up(pixels: int) -> int:
    return -(-pixels // _PAD_TO) * _PAD_TO


def _chance(logit: float) -> float:
    return 1 / (1 + math.exp(-max(-30.0, min(30.0, logit))))


def _peaks(logit: NDArray[np.float32]) -> list[tuple[int, int]]:
    """Cells above all their neighbours, best first."""
    import cv2

    highest = cv2.dilate(np.ascontiguousarray(logit), np.ones((3, 3), np.uint8))
    least = float(np.log(_LEAST_CHANCE / (1 - _LEAST_CHANCE)))
    rows, columns = np.nonzero((logit >= highest) & (logit > least))
    order = np.argsort(-logit[rows, columns])[:_PEAKS]
    return [(int(rows[i]), int(columns[i])) for i in order]
