"""Tabular CUSUM and EWMA of a run of observations, and the scan statistic.

Reference schemes: the litter alarm is held against them in the tests.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb, exp, log, sqrt

from kennelward.terms import check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class CusumRun:
    """A tabular CUSUM over observations; all tuples have one value an observation."""

    upper: tuple[float, ...]
    lower: tuple[float, ...]
    upper_count: tuple[int, ...]  # consecutive observations with upper above 0
    first_signal: int | None  # 1-based observation, or None
    last_in_control: int | None  # 1-based observation before the run that signalled


def cusum(
    observations: Sequence[float], *, target: float, allowance: float, limit: float
) -> CusumRun:
    """C+ = max(0, x - (target + allowance) + C+), and C- likewise downwards.

    Signals where either exceeds `limit`. Source: Montgomery DC, Introduction to
    Statistical Quality Control, section 9.1.2.
    """
    upper, lower, counts = [], [], []
    high = low = 0.0
    run = 0
    signal = None
    for number, x in enumerate(observations, 1):
        high = max(0.0, x - (target + allowance) + high)
        low = max(0.0, (target - allowance) - x + low)
        run = run + 1 if high > 0 else 0
        upper.append(high)
        lower.append(low)
        counts.append(run)
        if signal is None and (high > limit or low > limit):
            signal = number
    in_control = None if signal is None else signal - counts[signal - 1]
    return CusumRun(
        upper=tuple(upper),
        lower=tuple(lower),
        upper_count=tuple(counts),
        first_signal=signal,
        last_in_control=in_control,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class EwmaRun:
    """An EWMA over observations, with its limits; one value an observation."""

    values: tuple[float, ...]
    lower_limits: tuple[float, ...]
    upper_limits: tuple[float, ...]


def ewma(
    observations: Sequence[float],
    *,
    target: float,
    sd: float,
    weight: float,
    width: float,
) -> EwmaRun:
    """z = weight x + (1 - weight) z, from target; limits widen to their asymptote.

    Source: Montgomery DC, Introduction to Statistical Quality Control, section 9.2.
    """
    check_range("weight", weight, low=1e-9, high=1)
    z = target
    values, lower, upper = [], [], []
    for number, x in enumerate(observations, 1):
        z = weight * x + (1 - weight) * z
        spread = 1 - (1 - weight) ** (2 * number)
        reach = width * sd * sqrt(weight / (2 - weight) * spread)
        values.append(z)
        lower.append(target - reach)
        upper.append(target + reach)
    return EwmaRun(
        values=tuple(values), lower_limits=tuple(lower), upper_limits=tuple(upper)
    )


def loss_weights(*, chance: float, odds_ratio: float) -> tuple[float, float]:
    """Log-likelihood weights of a puppy that died and one that lived.

    Tests odds multiplied by `odds_ratio` against the baseline `chance`. Source: Steiner
    SH et al. 2000, Biostatistics 1:441-452.
    """
    check_range("chance of loss", chance, low=0, high=1)
    base = 1 - chance + odds_ratio * chance
    return log(odds_ratio / base), log(1 / base)


def scan_chance(*, deaths: int, at_least: int, window_share: float) -> float:
    """Chance that some window of `window_share` of the period holds `at_least` deaths.

    Deaths scattered evenly. Exact for at_least > deaths / 2; above 1 is cut to 1.
    Source: Naus JI 1965, J American Statistical Association 60:532-538.
    """
    check_range("at least", at_least, low=2, high=deaths)
    check_range("window share", window_share, low=1e-6, high=0.5)

    def b(k: int) -> float:
        log_value = k * log(window_share) + (deaths - k) * log(1 - window_share)
        return comb(deaths, k) * exp(log_value)

    first = (at_least / window_share - deaths - 1) * b(at_least)
    return min(1.0, first + 2 * sum(b(k) for k in range(at_least, deaths + 1)))
