"""The straightened strip as the networks see it: linear light over white, and a mask."""

import numpy as np
from numpy.typing import NDArray

from kennelward.reading.networks import STRIP, Floats
from kennelward.reading.straighten import Corners, straighten

CLIPPED, BLACK = 252, 3  # sRGB levels of 255; at or beyond them nothing was measured
_WHITE_SHARE = 0.80  # quantile of the valid membrane that counts as its white
_MOST = 2.0  # of white
_MARGIN = 8  # px kept around the window
_PAINT_HALF = 11  # px along the strip on either side of a line's centre
_FLANK = (12, 15)  # px from the centre: membrane that the paint is mixed from


def strip_planes(pixels: NDArray[np.uint8], corners: Corners) -> Floats:
    """(4, 48, 256): R, G, B over the membrane's white, and 1 where they are valid."""
    length, width = STRIP
    low = np.maximum(np.floor(corners.min(axis=0)).astype(int) - _MARGIN, 0)
    high = np.ceil(corners.max(axis=0)).astype(int) + _MARGIN
    piece = pixels[low[1] : high[1], low[0] : high[0]]
    if not piece.size:
        piece, low = pixels, np.zeros(2, int)
    light = straighten(piece, corners - low, length=length, width=width)
    valid = straighten(is_valid(piece), corners - low, length=length, width=width)
    return planes_of(light, valid >= 0.5)


def is_valid(pixels: NDArray[np.uint8]) -> NDArray[np.float32]:
    """(rows, columns): 0 where a channel is white-out or one is black."""
    import cv2

    red, green, blue = cv2.split(pixels)
    highest = cv2.max(cv2.max(red, green), blue)
    lowest = cv2.min(cv2.min(red, green), blue)
    valid = (highest < CLIPPED) & (lowest > BLACK)
    return valid.astype(np.float32)


def planes_of(light: Floats, valid: NDArray[np.bool_]) -> Floats:
    """Planes from linear light (48, 256, 3) and what of it was measured."""
    counted = light[valid] if valid.mean() >= 0.1 else light.reshape(-1, 3)
    white = np.maximum(np.quantile(counted, _WHITE_SHARE, axis=0), 1e-3)
    over = np.clip(light / white.astype(np.float32), 0, _MOST)
    return np.concatenate([over, valid[..., None]], axis=2).transpose(2, 0, 1)


def painted_over(planes: Floats, centres: tuple[float, ...]) -> Floats:
    """The strip with the membrane carried on across `centres` (px along the strip)."""
    painted = planes.copy()
    for centre in centres:
        _paint(painted, centre)
    return painted


def _paint(planes: Floats, centre: float) -> None:
    length = planes.shape[2]
    columns = np.arange(length) + 0.5
    inside = np.abs(columns - centre) <= _PAINT_HALF
    before = (columns >= centre - _FLANK[1]) & (columns <= centre - _FLANK[0])
    after = (columns >= centre + _FLANK[0]) & (columns <= centre + _FLANK[1])
    if not inside.any() or not (before.any() or after.any()):
        return
    left = planes[:3, :, before if before.any() else after].mean(axis=2)
    right = planes[:3, :, after if after.any() else before].mean(axis=2)
    share = np.clip((columns[inside] - centre + 13.5) / 27, 0, 1)
    planes[:3, :, inside] = left[..., None] * (1 - share) + right[..., None] * share
    planes[3][:, inside] = 1
