"""Beta distributions from what a person says: a mode and one quantile, or a range."""

import math
from dataclasses import dataclass
from typing import Literal

from kennelward.evidence.accuracy import BetaChance, beta_chance
from kennelward.terms import BadInput, check_range


def beta_from_mode(mode: float, *, value: float, chance_above: float) -> BetaChance:
    """The Beta with its mode at `mode` and P(X > value) = `chance_above`.

    For a `value` above the mode give the chance of lying above it all the same. Both
    shapes are at least 1. Raises BadInput where no such Beta exists.
    Source: the two equations as stated; (a - 1) / (a + b - 2) = mode.
    """
    from scipy.optimize import brentq
    from scipy.special import betainc

    check_range("mode", mode, low=0, high=1)
    check_range("value", value, low=0, high=1)
    check_range("chance_above", chance_above, low=1e-9, high=1 - 1e-9)

    def shapes(log_extra: float) -> tuple[float, float]:
        extra = math.exp(log_extra)  # a + b - 2
        return 1 + mode * extra, 1 + (1 - mode) * extra

    def surplus(log_extra: float) -> float:
        a, b = shapes(log_extra)
        return 1 - float(betainc(a, b, value)) - chance_above

    low, high = math.log(1e-9), math.log(1e9)
    if surplus(low) * surplus(high) > 0:
        raise BadInput(
            f"no Beta has its mode at {mode:g} and {chance_above:g} of itself above "
            f"{value:g}; move the value away from the mode or change its chance"
        )
    return beta_chance(*shapes(brentq(surplus, low, high, xtol=1e-13)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Pert:
    """A Beta stretched over `low` to `high`."""

    a: float
    b: float
    low: float
    high: float

    @property
    def mean(self) -> float:
        """Mean, in the unit of the range."""
        return self.low + (self.high - self.low) * self.a / (self.a + self.b)

    @property
    def variance(self) -> float:
        """Variance, in the unit of the range squared."""
        total = self.a + self.b
        unit = self.a * self.b / (total * total * (total + 1))
        return unit * (self.high - self.low) ** 2


def beta_pert(
    low: float, mode: float, high: float, *, method: Literal["vose", "classic"] = "vose"
) -> Pert:
    """The PERT distribution of a least, most likely and greatest value.

    "vose": shapes 1 + 4 (mode - low) / range and 1 + 4 (high - mode) / range.
    "classic": mean (low + 4 mode + high) / 6 and sd range / 6, moments matched.
    Source: Malcolm et al. 1959, Oper Res 7:646-669; Vose, Risk Analysis.
    """
    check_range("mode", mode, low=low, high=high)
    if not low < high:
        raise BadInput(f"high must be above low {low:g}, got {high:g}")
    span = high - low
    if method == "vose":
        a, b = 1 + 4 * (mode - low) / span, 1 + 4 * (high - mode) / span
    elif method == "classic":
        mean = (4 * mode + low + high) / 6
        share = (mean - low) / span
        total = share * (1 - share) * 36 - 1
        a, b = share * total, (1 - share) * total
    else:
        raise BadInput(f"method must be vose or classic: {method!r}")
    return Pert(a=a, b=b, low=low, high=high)
