"""The straightened strip as the networks see it: linear light over white, and a mask."""

import numpy as np
from numpy.typing import NDArray

from kennelward.reading.networks import STRIP, Floats
from kennelward.reading.refine import length_of, width_of
from kennelward.reading.straighten import Corners, straighten

_WHITE_OUT = 0.955  # linear; from here on a pixel was clipped
_WHITE_SHARE = 0.80  # quantile of the valid membrane that counts as its white
_MOST = 4.0  # of white
_FINEST = 4  # samples to a pixel along one axis, at most
_MARGIN = 8  # px kept around the window
_FLANK = 4  # px of membrane on either side that paint is mixed from
_FLANK_ROWS = 9


def strip_planes(pixels: NDArray[np.uint8], corners: Corners) -> Floats:
    """(4, 48, 256): R, G, B over the membrane's white, and 1 where they are valid."""
    low = np.maximum(np.floor(corners.min(axis=0)).astype(int) - _MARGIN, 0)
    high = np.ceil(corners.max(axis=0)).astype(int) + _MARGIN
    piece = pixels[low[1] : high[1], low[0] : high[0]]
    if not piece.size:
        piece, low = pixels, np.zeros(2, int)
    return planes_of(_averaged(piece, corners - low))


def _averaged(pixels: NDArray[np.uint8], corners: Corners) -> Floats:
    """(48, 256, 3) linear light: each pixel the mean of samples a photo pixel apart."""
    import cv2

    length, width = STRIP
    along = int(np.clip(np.ceil(length_of(corners) / length), 1, _FINEST))
    across = int(np.clip(np.ceil(width_of(corners) / width), 1, _FINEST))
    fine = straighten(
        pixels, corners, length=length * along, width=width * across, is_soft=False
    )
    if along == across == 1:
        return fine
    return np.asarray(cv2.resize(fine, STRIP, interpolation=cv2.INTER_AREA), np.float32)


def planes_of(light: Floats) -> Floats:
    """Planes from linear light (48, 256, 3)."""
    red, green, blue = (light[..., i] for i in range(3))
    valid = np.maximum(np.maximum(red, green), blue) < _WHITE_OUT
    white = np.ones(3, np.float32)
    if valid.any():
        channels = np.ascontiguousarray(light[valid].T)  # in a row each: much faster
        white = np.maximum(np.quantile(channels, _WHITE_SHARE, axis=1), 0.01)
    planes = np.empty((4, *valid.shape), np.float32)
    for plane, channel, level in zip(planes, (red, green, blue), white, strict=False):
        np.divide(channel, np.float32(level), out=plane)
        np.clip(plane, 0, _MOST, out=plane)
    planes[3] = valid
    return planes


def painted_over(
    planes: Floats, centres: tuple[float, ...], *, aspect: float
) -> Floats:
    """The strip with the membrane carried on across `centres` (px along the strip).

    `aspect`: length over width of the window; a line is about a quarter as long as the
    strip is wide.
    """
    half = float(np.clip(0.28 * STRIP[0] / aspect, 8, 40))
    painted = planes.copy()
    for centre in centres:
        _paint(painted, centre, half)
    return painted


def _paint(planes: Floats, centre: float, half: float) -> None:
    away = np.arange(planes.shape[2]) + 0.5 - centre
    inside = np.abs(away) <= half
    before = (-away > half) & (-away <= half + _FLANK)
    after = (away > half) & (away <= half + _FLANK)
    if not inside.any() or not (before.any() or after.any()):
        return
    left = _side(planes, before if before.any() else after)
    right = _side(planes, after if after.any() else before)
    share = np.clip((away[inside] / half + 1) / 2, 0, 1)
    planes[:3, :, inside] = left[..., None] * (1 - share) + right[..., None] * share


def _side(planes: Floats, columns: NDArray[np.bool_]) -> Floats:
    """(3, 48): mean of `columns`, smoothed over neighbouring rows."""
    mean = planes[:3][:, :, columns].mean(axis=2)
    rows = np.ones(_FLANK_ROWS)
    counted = np.convolve(np.ones(mean.shape[1]), rows, mode="same")
    smooth = [np.convolve(channel, rows, mode="same") / counted for channel in mean]
    return np.asarray(smooth, np.float32)
