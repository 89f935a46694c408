"""A photo whose control line was copied onto the place of the test line."""

import numpy as np
from numpy.typing import NDArray

from kennelward.reading import StripLayout, StripSignals

HALF_BAND = 0.06  # of the window's length: line and some membrane on either side

Pixels = NDArray[np.uint8]


def pasted(pixels: Pixels, signals: StripSignals, *, weight: float = 1.0) -> Pixels:
    """`pixels` with what lies about the control line laid over a test line's place.

    `weight` 1 covers what was there, less lets it shine through: a fainter line.
    """
    corners = np.array(signals.corners)
    start, end = corners[:2].mean(axis=0), corners[2:].mean(axis=0)
    length, width = np.hypot(*(end - start)), np.hypot(*(corners[1] - corners[0]))
    control, test = signals.lines[0].position, StripLayout().positions[1]
    shift = np.round((test - control) * (end - start)).astype(int)
    rows, columns = np.indices(pixels.shape[:2])
    middle = start + control * (end - start)
    away = np.stack([columns - middle[0], rows - middle[1]], -1)
    along = (end - start) / length
    across = np.array((-along[1], along[0]))
    is_band = np.abs(away @ along) < HALF_BAND * length
    is_band &= np.abs(away @ across) < 0.55 * width
    y, x = np.nonzero(is_band)
    inside = (y + shift[1] >= 0) & (y + shift[1] < pixels.shape[0])
    inside &= (x + shift[0] >= 0) & (x + shift[0] < pixels.shape[1])
    y, x = y[inside], x[inside]
    there = y + shift[1], x + shift[0]
    copied = pixels.copy()
    mixed = weight * pixels[y, x] + (1 - weight) * pixels[there]
    copied[there] = np.round(mixed).astype(np.uint8)
    return copied
