"""Is this a photo of a display or a print? Told by their grid, never by the lines.

The network sees pixels as the camera stored them, unscaled, at the window's middle and
towards its ends: a display's stripes, a print's dots and the waves both make with the
sensor's own grid are finer than anything on a strip.
"""

import numpy as np
from numpy.typing import NDArray

from kennelward.reading import tuning
from kennelward.reading.networks import PATCH, Floats, Networks, run
from kennelward.reading.straighten import Corners

_MIDDLE, _ENDS = 0.5, (0.15, 0.85)  # where patches lie, share of the window's length


def is_copied(pixels: NDArray[np.uint8], corners: Corners, nets: Networks) -> bool:
    """`pixels` show a display or a print: by the mean log odds of three patches.

    `corners` (4, 2): the window, in the same pixels. A copy has its grid all over, so
    where the middle is likelier no copy than one, the ends are not looked at.
    """
    start, end = corners[:2].mean(axis=0), corners[2:].mean(axis=0)

    def odds(*places: float) -> list[float]:
        patches = [_patch(pixels, start + share * (end - start)) for share in places]
        return [float(one) for one in np.ravel(run(nets.surface, np.stack(patches))[0])]

    middle = odds(_MIDDLE)
    # 227 drawn displays and prints: the least middle is 6.6
    if middle[0] < 0:
        return False
    return float(np.mean(middle + odds(*_ENDS))) > tuning.COPY_LOGIT


def _patch(pixels: NDArray[np.uint8], centre: NDArray[np.float64]) -> Floats:
    """(3, PATCH, PATCH) around `centre`; a picture's edge is repeated beyond it."""
    rows, columns = pixels.shape[:2]
    x, y = (int(np.floor(value)) - PATCH // 2 for value in centre)
    x, y = (_within(low, side) for low, side in ((x, columns), (y, rows)))
    left, top = max(0, -x), max(0, -y)
    piece = pixels[y + top : y + PATCH, x + left : x + PATCH]
    right, bottom = PATCH - left - piece.shape[1], PATCH - top - piece.shape[0]
    if left or top or right or bottom:
        piece = np.pad(piece, ((top, bottom), (left, right), (0, 0)), mode="edge")
    planes = np.ascontiguousarray(piece.transpose(2, 0, 1)).astype(np.float32)
    return np.asarray(planes / 255, np.float32)


def _within(low: int, side: int) -> int:
    """`low` moved so that the patch lies in the picture, or in its middle."""
    if side <= PATCH:
        return -((PATCH - side) // 2)
    return min(max(low, 0), side - PATCH)
