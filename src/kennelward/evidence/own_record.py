"""A kennel's own results as counts for a prior, once the tests' mistakes are weighed."""

from collections.abc import Sequence

import numpy as np

from kennelward.evidence.accuracy import BetaChance
from kennelward.evidence.prior import OwnRecord
from kennelward.evidence.results import ResultSeen
from kennelward.terms import BadInput, Call, check_range

GRID = 4_096  # equally likely quantiles of the base


def record_from_results(
    base: BetaChance, results: Sequence[ResultSeen], *, weight: float, says: str = ""
) -> OwnRecord | None:
    """What one result each of other dogs says of a base chance; None without results.

    With imperfect tests a positive is not a finding. Each dog's likelihood
    p P(result | infected) + (1 - p) P(result | clean), figures at their means, is taken
    to the power `weight` (0 to 1), and the posterior's mean and variance are told as
    `found` of `tested` that give the same Beta(a + w found, b + w (tested - found)).
    Where results leave more doubt than the base had, `tested` is the least that gives
    the mean. Exact for tests that are never wrong: the counts themselves.
    Source: power prior, Ibrahim & Chen 2000, Stat Sci 15:46-60; moments matched.
    """
    check_range("weight", weight, low=0, high=1)
    if any(not one.counts for one in results):
        raise BadInput("only results that count can be a record; leave the others out")
    if not results:
        return None
    positive = sum(one.call is Call.POSITIVE for one in results)
    told = {"weight": weight, "says": says, "positive": positive, "dogs": len(results)}
    if base.is_exact or weight == 0:
        return OwnRecord(found=0, tested=0, **told)  # type: ignore[arg-type]
    mean, variance = _posterior_moments(base, results, weight=weight)
    strength = mean * (1 - mean) / variance - 1
    more = max(strength - base.strength, _least(base, mean))
    found = mean * (base.strength + more) - base.a
    return OwnRecord(
        found=min(max(found, 0.0), more) / weight,
        tested=more / weight,
        **told,  # type: ignore[arg-type]
    )


def _posterior_moments(
    base: BetaChance, results: Sequence[ResultSeen], *, weight: float
) -> tuple[float, float]:
    """Mean and variance of the base after all results, on quantiles of the base."""
    from scipy.special import betaincinv

    shares = (np.arange(GRID) + 0.5) / GRID
    chance = betaincinv(base.a, base.b, shares)
    log = np.zeros(GRID)
    for one in results:
        there, clean = (
            one.performance.sensitivity.mean,
            1 - one.performance.specificity.mean,
        )
        positive = chance * there + (1 - chance) * clean
        seen = positive if one.call is Call.POSITIVE else 1 - positive
        log += weight * np.log(np.maximum(seen, 1e-300))
    likely = np.exp(log - log.max())
    likely /= likely.sum()
    mean = float(likely @ chance)
    return mean, float(likely @ (chance - mean) ** 2)


def _least(base: BetaChance, mean: float) -> float:
    """The least added strength that can move the base's mean so far."""
    if mean > base.mean:
        return (mean * base.strength - base.a) / (1 - mean)
    return base.a / mean - base.strength
