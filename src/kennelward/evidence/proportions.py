"""Shares and their limits: one proportion, and a two-by-two table of test and truth."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kennelward.terms import BadInput, check_range

Method = Literal["wilson", "wilson_cc", "clopper_pearson", "jeffreys", "blaker"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A value and its limits at a level of confidence."""

    value: float
    low: float
    high: float
    confidence: float = 0.95


def proportion_ci(
    successes: int,
    trials: int,
    *,
    method: Method = "clopper_pearson",
    confidence: float = 0.95,
) -> Estimate:
    """Share `successes` of `trials` with two-sided limits.

    Methods: "wilson" score; "wilson_cc" with continuity correction, exactly 0 and 1 at
    the ends; "clopper_pearson" exact, equal-tailed; "jeffreys" Beta(k + 1/2,
    n - k + 1/2), equal-tailed; "blaker" exact, never wider than Clopper-Pearson.
    Raises OutOfRange for more successes than trials.
    Source: Newcombe 1998, Stat Med 17:857-872; Blaker 2000, Can J Stat 28:783-798.
    """
    check_range("trials", trials, low=1)
    check_range("successes", successes, low=0, high=trials)
    check_range("confidence", confidence, low=0.5, high=0.9999)
    if method not in _METHODS:
        raise BadInput(f"method must be one of {', '.join(_METHODS)}: {method!r}")
    low, high = _METHODS[method](successes, trials, 1 - confidence)
    return Estimate(value=successes / trials, low=low, high=high, confidence=confidence)


def normal_quantile(share: float) -> float:
    """The standard normal's quantile."""
    from scipy.special import ndtri

    return float(ndtri(share))


def _wilson(k: int, n: int, alpha: float) -> tuple[float, float]:
    z = normal_quantile(1 - alpha / 2)
    share = k / n
    centre = (share + z * z / (2 * n)) / (1 + z * z / n)
    root = math.sqrt(share * (1 - share) / n + z * z / (4 * n * n))
    half = z * root / (1 + z * z / n)
    # At the ends the limit is exact; rounding would leave a tiny negative.
    low = 0.0 if k == 0 else centre - half
    high = 1.0 if k == n else centre + half
    return low, high


def _wilson_cc(k: int, n: int, alpha: float) -> tuple[float, float]:
    z = normal_quantile(1 - alpha / 2)
    share = k / n
    bottom = 2 * (n + z * z)

    def end(sign: int) -> float:
        inside = z * z + sign * 2 - 1 / n + 4 * share * (n * (1 - share) - sign * 1)
        return (2 * n * share + z * z + sign * (1 + z * math.sqrt(inside))) / bottom

    low = 0.0 if k == 0 else max(0.0, end(-1))
    high = 1.0 if k == n else min(1.0, end(1))
    return low, high


def _clopper_pearson(k: int, n: int, alpha: float) -> tuple[float, float]:
    from scipy.special import betaincinv

    low = 0.0 if k == 0 else float(betaincinv(k, n - k + 1, alpha / 2))
    high = 1.0 if k == n else float(betaincinv(k + 1, n - k, 1 - alpha / 2))
    return low, high


def _jeffreys(k: int, n: int, alpha: float) -> tuple[float, float]:
    from scipy.special import betaincinv

    low, high = betaincinv(k + 0.5, n - k + 0.5, (alpha / 2, 1 - alpha / 2))
    return float(low), float(high)


def _blaker(k: int, n: int, alpha: float) -> tuple[float, float]:
    """Hull of the shares whose acceptability is at least alpha, to 1e-14."""
    cp_low, cp_high = _clopper_pearson(k, n, alpha)
    share = k / n
    low = 0.0 if k == 0 else _blaker_end(k, n, alpha, inside=share, outside=cp_low)
    high = 1.0 if k == n else _blaker_end(k, n, alpha, inside=share, outside=cp_high)
    return low, high


def _blaker_end(
    k: int, n: int, alpha: float, *, inside: float, outside: float
) -> float:
    """The outermost share that is still acceptable.

    Acceptability is continuous between the jumps where the opposite tail gains a
    count, and within a piece falls towards the outside; so walk in from the outside
    to the first piece that holds an acceptable share, then bisect there.
    """
    steps = 4_000
    previous = outside
    for i in range(steps + 1):
        at = outside + (inside - outside) * i / steps
        if _acceptability(k, n, at) >= alpha:
            out, kept = previous, at
            for _ in range(100):
                middle = (out + kept) / 2
                if _acceptability(k, n, middle) >= alpha:
                    kept = middle
                else:
                    out = middle
            return kept
        previous = at
    return inside


def _acceptability(k: int, n: int, share: float) -> float:
    """Blaker's acceptability: own tail plus the largest opposite tail no bigger."""
    from scipy.special import bdtr, bdtrc

    lower = float(bdtr(k, n, share))
    upper = 1.0 if k == 0 else float(bdtrc(k - 1, n, share))
    own = min(lower, upper)
    if lower < upper:
        others = bdtrc(np.arange(k, n), n, share)  # P(X > j) for j from k
    else:
        others = bdtr(np.arange(k), n, share)
    small = others[others <= own * (1 + 1e-12)]
    return own + (float(small.max()) if small.size else 0.0)


_METHODS = {
    "wilson": _wilson,
    "wilson_cc": _wilson_cc,
    "clopper_pearson": _clopper_pearson,
    "exact": _clopper_pearson,
    "jeffreys": _jeffreys,
    "blaker": _blaker,
}


def zero_numerator_upper(trials: int, *, confidence: float = 0.95) -> dict[str, float]:
    """Upper limits of a share when 0 of `trials` were found, by four rules.

    "one_sided" exact; "two_sided" Clopper-Pearson; "bayes_uniform" with a uniform
    prior; "three_over_n" the rule of three, for a confidence of 0.95.
    Source: Hanley & Lippman-Hand 1983, JAMA 249:1743-1745.
    """
    check_range("trials", trials, low=1)
    check_range("confidence", confidence, low=0.5, high=0.9999)
    alpha = 1 - confidence
    return {
        "one_sided": 1 - alpha ** (1 / trials),
        "two_sided": 1 - (alpha / 2) ** (1 / trials),
        "bayes_uniform": 1 - alpha ** (1 / (trials + 1)),
        "three_over_n": 3 / trials,
    }
