"""What a kennel's own records teach, as far as is honest: prior and posterior together.

Shares are learnt from counts (Beta). No rate of spread is ever fitted: a half-year's
history leaves it where it was (docs/methods/spread.md, "Learning").
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt

import numpy as np

from kennelward.spread.knowledge import Grade, Known
from kennelward.terms import BadInput, check_range

GRID = 4001  # points on which a share corrected for the test is worked out


@dataclass(frozen=True, slots=True, kw_only=True)
class Beta:
    """A share from 0 to 1 that is known as Beta(a, b)."""

    a: float
    b: float

    def __post_init__(self) -> None:
        check_range("a", self.a, low=1e-6)
        check_range("b", self.b, low=1e-6)

    @property
    def mean(self) -> float:
        """Its mean."""
        return self.a / (self.a + self.b)

    @property
    def sd(self) -> float:
        """Its standard deviation."""
        size = self.a + self.b
        return sqrt(self.a * self.b / (size * size * (size + 1)))

    def quantile(self, share: float) -> float:
        """Value below which `share` of it lies."""
        from scipy.special import betaincinv

        return float(betaincinv(self.a, self.b, share))

    def after(self, *, yes: int, no: int) -> "Beta":
        """The share after so many dogs of each kind."""
        check_range("yes", yes, low=0)
        check_range("no", no, low=0)
        return Beta(a=self.a + yes, b=self.b + no)


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """One number before and after the kennel's records."""

    name: str
    says: str  # what was counted
    found: int
    of: int
    before: Known
    after: Known

    @property
    def moved(self) -> bool:
        """True where the records say anything at all."""
        return self.of > 0


def beta_of(mean: float, sd: float) -> Beta:
    """The Beta with this mean and SD."""
    check_range("mean", mean, low=1e-9, high=1 - 1e-9)
    size = mean * (1 - mean) / (sd * sd) - 1 if sd > 0 else 1e9
    if size <= 0:
        raise BadInput(f"no Beta has mean {mean:g} and SD {sd:g}")
    return Beta(a=mean * size, b=(1 - mean) * size)


def beta_from_range(known: Known) -> Beta:
    """The Beta nearest to a known chance: its middle as mean, its range as 3.29 SDs."""
    mean = min(max(known.value, 1e-4), 1 - 1e-4)
    sd = max((known.high - known.low) / 3.29, 1e-4)
    widest = sqrt(mean * (1 - mean)) * 0.95
    return beta_of(mean, min(sd, widest))


def learn_share(known: Known, *, found: int, of: int, says: str) -> Learnt:
    """A share after `found` of `of` dogs, each counted for certain."""
    check_range("found", found, low=0, high=of)
    prior = beta_from_range(known)
    return _learnt(
        known, prior.after(yes=found, no=of - found), found=found, of=of, says=says
    )


def learn_prevalence(
    known: Known,
    *,
    positive: int,
    tested: int,
    sensitivity: float,
    specificity: float,
    says: str,
) -> Learnt:
    """A prevalence after test results, corrected for what the test misses and invents.

    The posterior on a grid: Beta prior x (p se + (1 - p)(1 - sp))^k (...)^(n - k); its
    mean and SD are handed on as a Beta.
    """
    check_range("positive", positive, low=0, high=tested)
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("specificity", specificity, low=0, high=1)
    prior = beta_from_range(known)
    p = (np.arange(GRID) + 0.5) / GRID
    seen = p * sensitivity + (1 - p) * (1 - specificity)
    with np.errstate(divide="ignore"):
        weight = (prior.a - 1) * np.log(p) + (prior.b - 1) * np.log1p(-p)
        if positive:
            weight = weight + positive * np.log(seen)
        if tested - positive:
            weight = weight + (tested - positive) * np.log1p(-seen)
    weight = np.exp(weight - weight.max())
    weight /= weight.sum()
    mean = float((weight * p).sum())
    sd = sqrt(float((weight * (p - mean) ** 2).sum()))
    after = prior if tested == 0 else beta_of(mean, sd)
    return _learnt(known, after, found=positive, of=tested, says=says)


def learn_delay(known: Known, *, days: Sequence[float], says: str) -> Learnt:
    """A mean delay after so many observed ones (gamma prior, exponential delays)."""
    if any(day < 0 for day in days):
        raise BadInput("a delay cannot be negative")
    sd = max((known.high - known.low) / 3.29, 1e-3)
    # The mean delay 1/rate: with rate ~ Gamma(k, t), its mean is t / (k - 1).
    k = (known.value / sd) ** 2 + 2
    total = known.value * (k - 1)
    k, total = k + len(days), total + sum(days)
    mean = total / (k - 1)
    spread = mean / sqrt(k - 2)
    after = replace(
        known,
        value=mean,
        low=max(0.0, mean - 1.645 * spread),
        high=mean + 1.645 * spread,
        grade=Grade.RECORDS if days else known.grade,
        source="your records" if days else known.source,
    )
    return Learnt(
        name=known.name,
        says=says,
        found=len(days),
        of=len(days),
        before=known,
        after=after,
    )


def _learnt(known: Known, after: Beta, *, found: int, of: int, says: str) -> Learnt:
    middle = after.mean
    return Learnt(
        name=known.name,
        says=says,
        found=found,
        of=of,
        before=known,
        after=replace(
            known,
            value=middle,
            low=min(after.quantile(0.05), middle),
            high=max(after.quantile(0.95), middle),
            grade=Grade.RECORDS,
            source="your records",
        )
        if of
        else known,
    )
