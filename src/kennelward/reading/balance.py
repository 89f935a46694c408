"""A photo's colours brought back to even, for finding the window under coloured light.

A heat lamp or a warm bulb dyes everything; housings and membranes are pale, so what is
brightest in each channel is taken for white. Only the search looks at such a copy: lines
are measured on the photo itself, over the membrane's own white.
"""

import numpy as np
from numpy.typing import NDArray

from kennelward.reading.straighten import SRGB_TO_LINEAR

_WHITE_SHARE = 0.95  # quantile of each channel that counts as white
_LEAST_CAST = 1.25  # strongest channel over the weakest; below, nothing is gained
_MOST_GAIN = 4.0  # beyond, the darkest channel is noise
_LOOKED_AT = 256  # px of a side, at most


def balanced(pixels: NDArray[np.uint8]) -> NDArray[np.uint8] | None:
    """`pixels` (rows, columns, 3) under even light; None where they are even enough."""
    import cv2

    step = max(1, max(pixels.shape[:2]) // _LOOKED_AT)
    seen = pixels[::step, ::step].reshape(-1, 3)
    white = SRGB_TO_LINEAR[np.quantile(seen, _WHITE_SHARE, axis=0).astype(int)]
    white = np.maximum(white, 1e-3)
    if white.max() < _LEAST_CAST * white.min():
        return None
    gain = np.clip(white.max() / white, 1.0, _MOST_GAIN)
    linear = np.clip(SRGB_TO_LINEAR[:, None] * gain, 0, 1)
    srgb = np.where(
        linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055
    )
    table = np.round(srgb * 255).astype(np.uint8)[None]
    return np.asarray(cv2.LUT(pixels, table), np.uint8)
