"""Distributions as tables of 257 quantiles: monotone in luck, the same in both engines."""

from collections.abc import Sequence
from functools import lru_cache
from math import floor

import numpy as np

from kennelward.terms import check_range

STEPS = 256
EDGE = 0.5 / STEPS  # shares 0 and 1 are taken half a step inside


def from_table(table: Sequence[float], share: float) -> float:
    """The quantile at `share` (0 to 1), linear between the table's points."""
    at = share * STEPS
    low = min(floor(at), STEPS - 1)
    part = at - low
    return table[low] + part * (table[low + 1] - table[low])


def middles(table: Sequence[float]) -> np.ndarray:
    """(256,) the middle of each of the table's steps: equally likely values."""
    held = np.array(table)
    found: np.ndarray = (held[:-1] + held[1:]) / 2
    return found


def _shares() -> np.ndarray:
    shares = np.arange(STEPS + 1) / STEPS
    clipped: np.ndarray = np.clip(shares, EDGE, 1 - EDGE)
    return clipped


def gamma_table(*, mean: float, sd: float) -> tuple[float, ...]:
    """Quantiles of a gamma by mean and SD."""
    check_range("mean", mean, low=1e-9)
    if sd == 0:
        return constant_table(mean)
    from scipy.special import gammaincinv

    shape, scale = (mean / sd) ** 2, sd**2 / mean
    return tuple((scale * gammaincinv(shape, _shares())).tolist())


def lognormal_table(
    *, median: float, log_sd: float, longest: float = 1e9
) -> tuple[float, ...]:
    """Quantiles of a lognormal, cut at `longest`."""
    from scipy.special import ndtri

    values = median * np.exp(log_sd * ndtri(_shares()))
    return tuple(np.minimum(values, longest).tolist())


def exponential_table(*, mean: float) -> tuple[float, ...]:
    """Quantiles of an exponential."""
    return tuple((-mean * np.log1p(-_shares())).tolist())


def constant_table(value: float) -> tuple[float, ...]:
    """Always the same."""
    return (float(value),) * (STEPS + 1)


@lru_cache(maxsize=256)
def detectability(*, mean: float, correlation: float) -> tuple[float, ...]:
    """Quantiles of one infection's own sensitivity, Beta with intraclass correlation.

    At correlation 0, or a mean of 0 or 1, it is the mean itself.
    """
    if correlation == 0 or mean in (0, 1):
        return constant_table(mean)
    from scipy.special import betaincinv

    size = (1 - correlation) / correlation
    return tuple(betaincinv(mean * size, (1 - mean) * size, _shares()).tolist())


@lru_cache(maxsize=1)
def normal_table() -> tuple[float, ...]:
    """Quantiles of the standard normal."""
    from scipy.special import ndtri

    return tuple(ndtri(_shares()).tolist())


def normal(share: float) -> float:
    """Standard normal quantile at `share`, by the table."""
    return from_table(normal_table(), share)
