"""Is the second line a copy of the first, put there in a drawing program?

No two places of a photo have the same grain. Where a piece of a photo was copied onto
another place of it, the grain came along, at one whole number of pixels. What runs
straight along a line or along the strip (the lines themselves, walls, shadows) is taken
away first, since real lines have that in common.
"""

import numpy as np
from numpy.typing import NDArray

from kennelward.reading import tuning
from kennelward.reading.straighten import Corners

_HALF_BAND = 0.03  # of the length, on either side of a line's centre
_INSET = 0.2  # of the width, left out at either wall
_REACH = 6  # px around the lines' distance that are tried
_AWAY = 2  # px from the best shift; the next best lies farther off
_SMOOTH = 0.03  # of the length that is averaged over, either way
_SMOOTH_PX = (3, 10)
_MOST_GRAIN = 12.0  # of 255; specks and edges count no more
_LEAST_PX, _MOST_PX = 40, 4000  # of a band
_LEAST_NEXT = 0.02
_MARGIN = 24  # px kept around the window

Gray = NDArray[np.float32]


def is_line_copied(
    pixels: NDArray[np.uint8], corners: Corners, places: tuple[float, float]
) -> bool:
    """The grain at one of `places` is found again at the other.

    `pixels` (rows, columns, 3) as the camera stored them, `corners` (4, 2) of the window
    in them, `places` as shares of its length.
    """
    alike, next_best = likeness(pixels, corners, places)
    return alike > tuning.COPIED_GRAIN and alike > tuning.COPIED_OVER_NEXT * max(
        next_best, _LEAST_NEXT
    )


def likeness(
    pixels: NDArray[np.uint8], corners: Corners, places: tuple[float, float]
) -> tuple[float, float]:
    """Greatest correlation of both places' grain over shifts, and the next away from it.

    (0, 0) where there is too little to compare.
    """
    low = np.maximum(np.floor(corners.min(axis=0)).astype(int) - _MARGIN, 0)
    high = np.ceil(corners.max(axis=0)).astype(int) + _MARGIN
    green = pixels[low[1] : high[1], low[0] : high[0], 1].astype(np.float32)
    here = corners - low
    along = here[2:].mean(axis=0) - here[:2].mean(axis=0)
    if not green.size or np.hypot(*along) < 1:
        return 0.0, 0.0
    grain = _grain(green, along)
    rows, columns = _band(green.shape, here, places[0])
    if rows.size < _LEAST_PX:
        return 0.0, 0.0
    step = -(-rows.size // _MOST_PX)
    rows, columns = rows[::step], columns[::step]
    shift = np.round((places[1] - places[0]) * along).astype(int)
    found = np.zeros((2 * _REACH + 1, 2 * _REACH + 1))
    for i, down in enumerate(range(-_REACH, _REACH + 1)):
        for k, right in enumerate(range(-_REACH, _REACH + 1)):
            there = rows + shift[1] + down, columns + shift[0] + right
            found[i, k] = _correlation(grain, (rows, columns), there)
    best = np.unravel_index(int(found.argmax()), found.shape)
    top = float(found[best])
    around = [slice(max(0, at - _AWAY), at + _AWAY + 1) for at in best]
    found[around[0], around[1]] = 0
    return top, float(np.abs(found).max())


def _grain(green: Gray, along: NDArray[np.float64]) -> Gray:
    """`green` without what runs straight along a line, or along the strip."""
    length = float(np.hypot(*along))
    reach = int(np.clip(round(_SMOOTH * length), *_SMOOTH_PX))
    across = np.array((-along[1], along[0])) / length
    rest = green - _mean_along(green, across, reach)
    rest = rest - _mean_along(rest, along / length, reach)
    return np.asarray(np.clip(rest, -_MOST_GRAIN, _MOST_GRAIN), np.float32)


def _mean_along(green: Gray, way: NDArray[np.float64], reach: int) -> Gray:
    """Mean of the pixels up to `reach` px before and behind, along the unit `way`."""
    import cv2

    kernel = np.zeros((2 * reach + 1, 2 * reach + 1), np.float32)
    for at in np.linspace(-reach, reach, 4 * reach + 1):
        x, y = reach + at * way[0], reach + at * way[1]
        for column in (int(np.floor(x)), int(np.floor(x)) + 1):
            for row in (int(np.floor(y)), int(np.floor(y)) + 1):
                weight = (1 - abs(x - column)) * (1 - abs(y - row))
                if 0 <= row <= 2 * reach and 0 <= column <= 2 * reach:
                    kernel[row, column] += weight
    smooth = cv2.filter2D(
        green, -1, kernel / kernel.sum(), borderType=cv2.BORDER_REFLECT
    )
    return np.asarray(smooth, np.float32)


def _band(
    shape: tuple[int, ...], corners: Corners, place: float
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Rows and columns of the pixels around the line at `place`, walls left out."""
    import cv2

    start_low, start_high, end_high, end_low = corners
    outline = []
    for share, across in (
        (place - _HALF_BAND, _INSET),
        (place - _HALF_BAND, 1 - _INSET),
        (place + _HALF_BAND, 1 - _INSET),
        (place + _HALF_BAND, _INSET),
    ):
        start = start_low + across * (start_high - start_low)
        end = end_low + across * (end_high - end_low)
        outline.append(start + share * (end - start))
    mask = np.zeros(shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.round(np.array(outline) - 0.5).astype(np.int32)], [1])
    rows, columns = np.nonzero(mask)
    return rows, columns


def _correlation(
    grain: Gray,
    here: tuple[NDArray[np.intp], NDArray[np.intp]],
    there: tuple[NDArray[np.intp], NDArray[np.intp]],
) -> float:
    """Of the grain at `here` with that at `there`; 0 where that leaves the picture."""
    if min(there[0].min(), there[1].min()) < 0:
        return 0.0
    if there[0].max() >= grain.shape[0] or there[1].max() >= grain.shape[1]:
        return 0.0
    one, other = grain[here], grain[there]
    one, other = one - one.mean(), other - other.mean()
    scale = float(np.sqrt((one @ one) * (other @ other)))
    return float(one @ other) / scale if scale > 1e-6 else 0.0
