"""Two plain readers to beat, on the very strips that the reader straightened.

One takes a green profile and a fixed threshold; the other fits a line's shape at every
place (matched filter) and takes the second strongest. Thresholds are set once, on
simulated strips without a test line, at 1 % false alarms.
"""

import numpy as np
from numpy.typing import NDArray

_MIDDLE = slice(12, 36)
_ENDS = 24  # columns of 256 at each end that are left out
_APART = 20
_SIGMAS = (3.5, 5.5, 8.0)


def green_profile(planes: NDArray[np.float32]) -> NDArray[np.float64]:
    """(256,) optical density in green over the middle rows."""
    light = planes[1, _MIDDLE].astype(np.float64).mean(axis=0)
    density: NDArray[np.float64] = -np.log10(np.maximum(light, 2e-3))
    return density


def second_peak_of_profile(planes: NDArray[np.float32]) -> float:
    """Density of the second highest peak over the median of the membrane."""
    profile = green_profile(planes)
    return _second(profile - np.median(profile))


def second_peak_of_filter(planes: NDArray[np.float32]) -> float:
    """The second highest answer of the matched filter."""
    profile = green_profile(planes)
    best = np.full(profile.size, -np.inf)
    for sigma in _SIGMAS:
        reach = round(4 * sigma)
        offset = np.arange(-reach, reach + 1)
        shape = np.exp(-0.5 * (offset / sigma) ** 2)
        design = np.stack([np.ones_like(shape), offset / reach, shape], axis=1)
        weights = np.linalg.pinv(design)[2]
        answer = np.convolve(profile, weights[::-1], mode="same")
        best = np.maximum(best, answer)
    return _second(best)


def _second(answer: NDArray[np.float64]) -> float:
    kept = answer.copy()
    kept[:_ENDS] = kept[-_ENDS:] = -np.inf
    first = int(np.argmax(kept))
    kept[max(0, first - _APART) : first + _APART + 1] = -np.inf
    return float(kept.max())
