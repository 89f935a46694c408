"""Lines by a matched filter: a line's shape fitted with the membrane around it.

At every place and three widths, optical density is fitted by least squares as a
constant, a slope, a bend and a line. The line's share is its contrast, so shadows and
tints that change slowly drop out. Where a strong line stands nearby its columns are
left out of the fit.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kennelward.reading import tuning
from kennelward.reading.profile import Profile, Row

_STEP = 2  # columns between places tried
_ENDS = 0.07  # share of the length at each end that is never a line


@dataclass(frozen=True, slots=True, kw_only=True)
class Bump:
    """The best line shape at one place."""

    place: float  # share of the length
    sigma: float  # share of the length
    green: float  # optical density
    red: float
    steady: float  # weakest third of the width against `green`; 1 is even
    fit: float  # share of the local unevenness that the line explains, 0 to 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fits:
    """Line shapes fitted everywhere: (sigmas, places)."""

    places: Row  # share of the length
    green: NDArray[np.float64]
    red: NDArray[np.float64]
    bands: NDArray[np.float64]  # (3, sigmas, places)
    power: NDArray[np.float64]  # contrast x root of what the shape weighs
    fit: NDArray[np.float64]

    def best_in(self, low: float, high: float) -> Bump:
        """The most telling dark bump with its centre from `low` to `high`."""
        inside = (self.places >= low) & (self.places <= high)
        power = np.where(inside[None, :], self.power, -np.inf)
        row, column = np.unravel_index(int(np.argmax(power)), power.shape)
        green = float(self.green[row, column])
        weakest = float(self.bands[:, row, column].min())
        return Bump(
            place=float(self.places[column]),
            sigma=tuning.LINE_SIGMAS[int(row)],
            green=green,
            red=float(self.red[row, column]),
            steady=weakest / green if green > 1e-6 else 0.0,
            fit=float(self.fit[row, column]),
        )


def fit_lines(profile: Profile, *, without: tuple[Bump, ...] = ()) -> Fits:
    """Fit line shapes along the strip, leaving out the columns of `without`."""
    n = profile.size
    use = np.ones(n)
    columns = (np.arange(n) + 0.5) / n
    for bump in without:
        use[np.abs(columns - bump.place) < 2.6 * bump.sigma + 0.012] = 0
    centres = np.arange(round(_ENDS * n), round((1 - _ENDS) * n), _STEP)
    signals = np.stack([profile.green, profile.red, *profile.bands])  # (5, n)
    found = [_fit_at(signals, use, centres, sigma * n) for sigma in tuning.LINE_SIGMAS]
    amplitudes = np.stack([one[0] for one in found], axis=1)  # (5, sigmas, places)
    return Fits(
        places=(centres + 0.5) / n,
        green=amplitudes[0],
        red=amplitudes[1],
        bands=amplitudes[2:],
        power=np.stack([one[1] for one in found]),
        fit=np.stack([one[2] for one in found]),
    )


def line_shape(offset: Row, sigma: float) -> Row:
    """A line's density, 1 at its middle; between a bell and a box."""
    shape: Row = np.exp(-np.power(np.abs(offset) / (1.45 * sigma), 2.5))
    return shape


def _fit_at(
    signals: NDArray[np.float64],
    use: Row,
    centres: NDArray[np.int_],
    sigma_px: float,
) -> tuple[NDArray[np.float64], Row, Row]:
    """Contrast (signals, places), power and share explained (places,)."""
    reach = round(tuning.SUPPORT_SIGMAS * sigma_px)
    offset = np.arange(-reach, reach + 1, dtype=float)
    index = centres[:, None] + offset.astype(int)[None, :]
    inside = (index >= 0) & (index < use.size)
    index = np.clip(index, 0, use.size - 1)
    weight = use[index] * inside  # (places, k)
    scaled = offset / reach
    shape = line_shape(offset, sigma_px)
    design = np.stack([np.ones_like(scaled), scaled, scaled**2, shape])  # (4, k)
    normal = np.einsum("pk,ik,jk->pij", weight, design, design)
    normal += 1e-6 * np.eye(4)
    values = signals[:, index]  # (signals, places, k)
    right = np.einsum("pk,ik,spk->psi", weight, design, values)
    solved = np.linalg.solve(normal, np.swapaxes(right, 1, 2))  # (p, 4, s)
    amplitude = solved[:, 3, :].T
    spread = np.linalg.inv(normal)[:, 3, 3]
    left_of = (weight * (offset < -sigma_px)).sum(axis=1)
    right_of = (weight * (offset > sigma_px)).sum(axis=1)
    core = (weight * (np.abs(offset) < sigma_px)).sum(axis=1)
    usable = (
        (core > 0.8 * (2 * sigma_px - 1))
        & (left_of > 0.9 * sigma_px)
        & (right_of > 0.9 * sigma_px)
    )
    telling = 1 / np.sqrt(np.maximum(spread, 1e-9))
    power = np.where(usable, amplitude[0] * telling, -np.inf)
    rest = values[0] - np.einsum("pi,ik->pk", solved[:, :, 0], design)
    left_over = (weight * rest**2).sum(axis=1)
    explained = np.square(amplitude[0] * telling)
    fit = explained / np.maximum(explained + left_over, 1e-12)
    return amplitude, power, fit


def noise_on_blank(fits: Fits, *, places: tuple[float, ...], within: float) -> float:
    """Noise of a line's contrast where no line belongs, pooled with a prior.

    One strip has only about ten independent blank places; alone their spread would say
    more about luck than about the strip, so it is pooled with what ordinary photos
    have. Places of lines are never looked at.
    """
    blank = np.isfinite(fits.power[1]) & (fits.places > 0.1) & (fits.places < 0.9)
    for place in places:
        blank &= np.abs(fits.places - place) > within
    values = fits.green[1][blank]
    if values.size < 4:
        return tuning.NOISE_PRIOR * 1.5
    # neighbours overlap: about one independent place per three sigmas
    step = _STEP / 320 / tuning.LINE_SIGMAS[1]
    independent = max(1.0, values.size * step / 3)
    spread = float(np.square(np.clip(values, -0.2, 0.2)).mean())
    prior = tuning.NOISE_PRIOR**2 * tuning.NOISE_PRIOR_WEIGHT
    pooled = (prior + independent * spread) / (tuning.NOISE_PRIOR_WEIGHT + independent)
    return float(np.sqrt(pooled))
