"""An uncertain chance as a Beta distribution, from counts or from a range.

Rules used here:
- from counts: Beta(k + 1, n - k + 1), the uniform prior. The Jeffreys prior is left to
  intervals (`proportion_ci`): with 17 right of 17 it piles up at 1 and would make a
  test that was never seen wrong look as if it never is;
- from a range: the mean is the best value and the concentration is the one at which
  the middle 90 % of the Beta is as wide as the range, but never so low that the Beta
  piles up at 0 or 1 (both shapes at least 1). A published spread between studies is
  wider than the standard error of any one of them, so it is not taken as a hard limit.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

from kennelward.terms import BadInput, Interval, Provenance, check_range

RANGE_HOLDS = 0.90  # share of the Beta that is as wide as a published range
MOST_CERTAIN = 1e6  # concentration beyond which a range is as good as a point


@dataclass(frozen=True, slots=True, kw_only=True)
class BetaChance:
    """A chance from 0 to 1 that is itself known with more or less certainty.

    Beta(a, b) with `mean` = a / (a + b) and `strength` = a + b. A strength of
    infinity means known exactly; a mean of 0 or 1 can only be known exactly.
    """

    mean: float  # 0 to 1
    strength: float = math.inf  # a + b, about the number of dogs it rests on
    source: str = ""
    provenance: Provenance = Provenance.FROM_MEMORY

    def __post_init__(self) -> None:
        check_range("mean", self.mean, low=0, high=1)
        if not self.strength > 0:
            raise BadInput(f"strength must be more than 0, got {self.strength}")
        if self.mean in (0, 1) and not self.is_exact:
            raise BadInput(
                f"a chance of exactly {self.mean:g} has no Beta; give counts or a "
                "range, or leave the strength out to mean it is known exactly"
            )

    @property
    def is_exact(self) -> bool:
        """True where no uncertainty is carried."""
        return math.isinf(self.strength)

    @property
    def a(self) -> float:
        """First shape of the Beta."""
        return self.mean * self.strength

    @property
    def b(self) -> float:
        """Second shape of the Beta."""
        return (1 - self.mean) * self.strength

    def quantile(self, share: float) -> float:
        """Value below which `share` (0 to 1) of the distribution lies."""
        check_range("share", share, low=0, high=1)
        if self.is_exact:
            return self.mean
        from scipy.special import betaincinv

        return float(betaincinv(self.a, self.b, share))

    def interval(self, *, level: float = 0.90) -> Interval:
        """Median and equal-tailed interval that holds `level` of the distribution."""
        check_range("level", level, low=0, high=1)
        tail = (1 - level) / 2
        low, median, high = map(self.quantile, (tail, 0.5, 1 - tail))
        return Interval(low=low, median=median, high=high, level=level)


def known_chance(
    value: float, *, source: str = "", provenance: Provenance = Provenance.FROM_MEMORY
) -> BetaChance:
    """A chance taken as exactly `value`, 0 to 1."""
    return BetaChance(mean=value, source=source, provenance=provenance)


def beta_chance(
    a: float,
    b: float,
    *,
    source: str = "",
    provenance: Provenance = Provenance.FROM_MEMORY,
) -> BetaChance:
    """Beta(a, b), both more than 0."""
    for name, shape in (("a", a), ("b", b)):
        if not 0 < shape < math.inf:
            raise BadInput(f"Beta shape {name} must be more than 0, got {shape}")
    return BetaChance(
        mean=a / (a + b), strength=a + b, source=source, provenance=provenance
    )


def chance_from_counts(
    successes: int,
    out_of: int,
    *,
    source: str = "",
    provenance: Provenance = Provenance.PUBLISHED,
) -> BetaChance:
    """What `successes` of `out_of` say: Beta(k + 1, n - k + 1).

    Raises OutOfRange for more successes than trials.
    Source: Bayes 1763, uniform prior; docs/methods/evidence.md, section 1.
    """
    check_range("out_of", out_of, low=1)
    check_range("successes", successes, low=0, high=out_of)
    return beta_chance(
        successes + 1, out_of - successes + 1, source=source, provenance=provenance
    )


def chance_from_range(
    best: float,
    low: float,
    high: float,
    *,
    holds: float = RANGE_HOLDS,
    source: str = "",
    provenance: Provenance = Provenance.PUBLISHED,
) -> BetaChance:
    """The Beta with mean `best` whose middle `holds` is as wide as `low` to `high`.

    `best` must lie strictly between 0 and 1 and inside the range. Where no Beta with
    that mean and both shapes at least 1 is as wide, the widest such is given.
    """
    check_range("low", low, low=0, high=1)
    check_range("high", high, low=low, high=1)
    check_range("holds", holds, low=0.5, high=0.999)
    if not low < best < high:
        raise BadInput(
            f"best value {best} must lie between low {low} and high {high}, not on them"
        )
    strength = _strength_for_width(best, high - low, holds)
    return BetaChance(
        mean=best, strength=strength, source=source, provenance=provenance
    )


@lru_cache(maxsize=512)
def _strength_for_width(best: float, width: float, holds: float) -> float:
    from scipy.optimize import brentq
    from scipy.special import betaincinv

    tail = (1 - holds) / 2

    def surplus(log_strength: float) -> float:
        strength = math.exp(log_strength)
        a, b = best * strength, (1 - best) * strength
        found = betaincinv(a, b, 1 - tail) - betaincinv(a, b, tail)
        return float(found) - width

    vaguest = math.log(1 / min(best, 1 - best))  # the smaller shape is 1
    surest = math.log(MOST_CERTAIN)
    if surplus(vaguest) <= 0:
        return math.exp(vaguest)
    if surplus(surest) >= 0:
        return MOST_CERTAIN
    return math.exp(brentq(surplus, vaguest, surest, xtol=1e-12))
