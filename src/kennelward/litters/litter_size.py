"""How many puppies: what is expected, and what a count by X-ray or scan adds."""

from dataclasses import dataclass
from math import comb

import numpy as np

from kennelward.litters.breeding import BreedingFacts, PuppyCount
from kennelward.litters.gestation import DueDateModel, LitterSizeModel
from kennelward.terms import BadInput, check_range

LARGEST_LITTER = 24  # the arrays' length; the largest of 37,946 litters had as many


@dataclass(frozen=True, slots=True, kw_only=True)
class CountError:
    """How often one puppy is missed or counted twice."""

    missed: float
    doubled: float

    def __post_init__(self) -> None:
        check_range("share missed", self.missed, low=0, high=0.9)
        check_range("share counted twice", self.doubled, low=0, high=0.9)


@dataclass(frozen=True, slots=True, kw_only=True)
class LitterSize:
    """Puppies to expect: the median, and 80 % of the chance."""

    likely: int
    low: int
    high: int
    counted_by: str  # "x-ray" | "scan", or empty where nobody counted
    counted: int | None
    chances: tuple[float, ...]  # of 1, 2, ... puppies


def count_error(method: str, *, model: LitterSizeModel) -> CountError:
    """How far a count is to be trusted."""
    if method == "x-ray":
        missed, doubled = model.x_ray_missed_share, model.x_ray_doubled_share
    else:
        missed, doubled = model.scan_missed_share, model.scan_doubled_share
    return CountError(missed=missed, doubled=doubled)


def litter_size_prior(*, mean: float, sd: float) -> np.ndarray:
    """Chance of 1 to 24 puppies: (24,) float64, a gamma cut into whole litters."""
    check_range("mean litter size", mean, low=1, high=20)
    check_range("spread of litter size", sd, low=0.1, high=10)
    from scipy.special import gammainc

    edges = np.arange(0.5, LARGEST_LITTER + 1)
    shape, scale = (mean / sd) ** 2, sd**2 / mean
    chances = np.diff(gammainc(shape, edges / scale))
    shares: np.ndarray = chances / chances.sum()
    return shares


def litter_size(
    *, counted: int | None, error: CountError, prior: np.ndarray
) -> np.ndarray:
    """Chance of 1 to 24 puppies after a count: (24,) float64.

    Each puppy is missed or doubled independently. `counted` None gives the prior.
    Raises BadInput for a count that no litter of up to 24 could give.
    """
    if counted is None:
        return prior
    check_range("puppies counted", counted, low=0, high=2 * LARGEST_LITTER)
    chances = np.array(
        [
            prior[size - 1] * _count_chance(counted, size, error)
            for size in range(1, LARGEST_LITTER + 1)
        ]
    )
    if chances.sum() <= 0:
        raise BadInput(f"no litter gives a count of {counted}; count again")
    shares: np.ndarray = chances / chances.sum()
    return shares


def expected_litter(facts: BreedingFacts, *, model: LitterSizeModel) -> LitterSize:
    """Puppies to expect from the bitch's size and every count.

    Counts of one kind share their error (the puppy behind another stays behind it), so
    only the latest of each kind counts.
    """
    chances = litter_size_prior(
        mean=model.mean_for(facts.bitch_size), sd=model.sd_puppies
    )
    best = latest_counts(facts.counts)
    for one in best:
        error = count_error(one.method, model=model)
        chances = litter_size(counted=one.count, error=error, prior=chances)
    running = np.cumsum(chances)
    by = next((c for c in best if c.method == "x-ray"), best[-1] if best else None)
    return LitterSize(
        likely=int(np.searchsorted(running, 0.5)) + 1,
        low=int(np.searchsorted(running, 0.1)) + 1,
        high=int(np.searchsorted(running, 0.9)) + 1,
        counted_by=by.method if by else "",
        counted=by.count if by else None,
        chances=tuple(float(chance) for chance in chances),
    )


def latest_counts(counts: tuple[PuppyCount, ...]) -> tuple[PuppyCount, ...]:
    """The latest count of each kind that found any puppy."""
    latest = {one.method: one for one in counts if one.count > 0}
    return tuple(latest.values())


def chance_of_small_litter(
    facts: BreedingFacts, *, model: DueDateModel
) -> float | None:
    """Chance of a litter small enough to come later; None where nobody counted.

    Without a count the published mean length already holds small and large litters.
    """
    small = model.gestation.small_litter_puppies
    if facts.litter_size is not None:
        return float(facts.litter_size <= small)
    if not latest_counts(facts.counts):
        return None
    found = expected_litter(facts, model=model.litter_size)
    return float(sum(found.chances[:small]))


def _count_chance(counted: int, size: int, error: CountError) -> float:
    """Chance of the count: each puppy counts 0, 1 or 2 times."""
    missed, doubled = error.missed, error.doubled
    once = 1 - missed - doubled
    total = 0.0
    for twice in range(counted // 2 + 1):
        single = counted - 2 * twice
        gone = size - twice - single
        if gone < 0:
            continue
        ways = comb(size, twice) * comb(size - twice, single)
        total += ways * doubled**twice * once**single * missed**gone
    return total
