"""Colour of a line against the membrane beside it, channel by channel.

White balance multiplies a whole channel, so it cancels in optical density along the
strip. What hurts is clipping and the colour blocks of JPEG.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kennelward.reading.networks import STRIP, Floats

_ROWS = slice(9, 39)  # the middle of 48: clear of the walls' shadow
_SIGMA = 5.5  # px along the strip: 0.023 of the length, a line of about 1 mm
_NEAR, _FAR = 13, 26  # px from the centre: membrane beside the line
_DARKEST = 2e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Hue:
    """Optical density of a line in the three channels, by one fixed shape."""

    red: float
    green: float
    blue: float
    noise_sd: float  # of each, from the membrane beside the line

    @property
    def red_to_green(self) -> float:
        """About 0.15 to 0.35 for gold, about 1 for grey; 0 without a line."""
        return max(0.0, self.red / self.green) if self.green > 1e-3 else 0.0

    @property
    def ratio_sd(self) -> float:
        """One standard deviation of `red_to_green`."""
        scale = float(np.hypot(1.0, self.red_to_green))
        return self.noise_sd * scale / max(self.green, 1e-3)


def hue_at(density: NDArray[np.float64], place: float) -> Hue:
    """Colour of what lies at `place` (share of the length) on a strip of `density`."""
    columns = np.arange(STRIP[0]) + 0.5
    offset = columns - place * STRIP[0]
    beside = (np.abs(offset) >= _NEAR) & (np.abs(offset) <= _FAR)
    beside &= (columns > 8) & (columns < STRIP[0] - 8)
    if beside.sum() < 6:
        return Hue(red=0.0, green=0.0, blue=0.0, noise_sd=1.0)
    shape = np.exp(-0.5 * (offset / _SIGMA) ** 2)
    inside = np.abs(offset) < 2 * _SIGMA
    weight = shape * inside
    amount, spread = [], []
    away = offset[beside] - offset[beside].mean()
    for channel in density:  # over a straight level by least squares
        flank = channel[beside]
        slope = float(away @ flank / (away @ away))
        rest = channel - flank.mean() - slope * (offset - offset[beside].mean())
        amount.append(float((rest * weight).sum() / (weight * shape).sum()))
        spread.append(float(rest[beside].std()))
    red, green, blue = amount
    # a line's shape averages about one width of membrane
    noise = float(np.hypot(np.mean(spread[:2]) / 2, 0.002))
    return Hue(red=red, green=green, blue=blue, noise_sd=noise)


def density_of(planes: Floats) -> NDArray[np.float64]:
    """(3, 256): optical density of the membrane by channel (red, green, blue).

    From its white, over the middle rows that are valid.
    """
    light = planes[:3, _ROWS].astype(np.float64)
    counted = planes[3, _ROWS] > 0.5
    weight = np.where(counted.sum(axis=0) >= 6, counted, True).astype(np.float64)
    mean = (light * weight).sum(axis=1) / weight.sum(axis=0)
    density: NDArray[np.float64] = -np.log10(np.maximum(mean, _DARKEST))
    return density
