"""When each pregnancy test can answer, and how many puppies to expect."""

from dataclasses import dataclass
from datetime import date, timedelta
from math import comb

import numpy as np

from kennelward.litters.due_date import BreedingFacts, DueDate, due_date
from kennelward.terms import BadInput, DateWindow, check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class TestDays:
    """Days from the LH surge on which tests answer; the handbook holds the sources."""

    __test__ = False  # not a test case of pytest

    relaxin_earliest: int = 25  # a positive may show; a negative says nothing
    relaxin_counts: int = 31  # Root Kustritz 2007 and data sheet: last to turn
    relaxin_counts_from_mating: int = 33  # two laboratories: 31-33 days
    scan_first: int = 27  # 25 from ovulation
    scan_best: int = 30
    scan_last: int = 37
    count_first: int = 55  # X-ray, breeders' practice; 58 is safer
    count_last: int = 62


@dataclass(frozen=True, slots=True, kw_only=True)
class PregnancyWindows:
    """Days for each test, from what is known about the surge."""

    strip_earliest: date
    negative_counts_from: date
    scan: DateWindow
    x_ray_count: DateWindow
    surge_known_to_days: float  # half of the 80 % window of the surge


def pregnancy_windows(
    facts: BreedingFacts, *, days: TestDays | None = None
) -> PregnancyWindows:
    """Test windows, safe for the late end of what the surge may be.

    A negative counts from LH + 31; where only mating dates are known, from 33 days
    after the last one, if that is later.
    """
    held = days or TestDays()
    due = due_date(
        BreedingFacts(
            lh_on=facts.lh_on,
            ovulation_on=facts.ovulation_on,
            matings=facts.matings,
            progesterone=facts.progesterone,
        )
    )
    middle = due.median - timedelta(days=65)
    late = due.high - timedelta(days=65)
    known = facts.lh_on is not None or facts.ovulation_on is not None
    surge = facts.lh_on or (
        facts.ovulation_on - timedelta(days=2) if facts.ovulation_on else middle
    )
    counts_from = surge + timedelta(days=held.relaxin_counts)
    if not known:
        counts_from = late + timedelta(days=held.relaxin_counts)
        if facts.matings:
            last = max(mating.on for mating in facts.matings)
            by_mating = last + timedelta(days=held.relaxin_counts_from_mating)
            counts_from = max(by_mating, surge + timedelta(days=held.relaxin_counts))
    return PregnancyWindows(
        strip_earliest=surge + timedelta(days=held.relaxin_earliest),
        negative_counts_from=counts_from,
        scan=DateWindow(
            surge + timedelta(days=held.scan_first),
            surge + timedelta(days=held.scan_last),
        ),
        x_ray_count=DateWindow(
            surge + timedelta(days=held.count_first),
            surge + timedelta(days=held.count_last),
        ),
        surge_known_to_days=(due.high - due.low).days / 2,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CountError:
    """How often one puppy is missed or counted twice; from memory, per method."""

    missed: float
    doubled: float


X_RAY_ERROR = CountError(missed=0.04, doubled=0.01)  # from memory
SCAN_ERROR = CountError(missed=0.15, doubled=0.08)  # from memory; scans count badly
LARGEST_LITTER = 24  # Chastant-Maillard 2017: 1 to 24


def litter_size_prior(*, mean: float, sd: float) -> np.ndarray:
    """Chance of 1 to 24 puppies: (24,) float64, a gamma cut into whole litters.

    Sources for mean and sd: 5.4 +/- 2.8 in 37,946 litters (Chastant-Maillard 2017,
    doi 10.1111/rda.12845); by size class in the handbook.
    """
    check_range("mean litter size", mean, low=1, high=20)
    check_range("spread of litter size", sd, low=0.1, high=10)
    from scipy.stats import gamma

    edges = np.arange(0.5, LARGEST_LITTER + 1)
    shape, scale = (mean / sd) ** 2, sd**2 / mean
    chances = np.diff(gamma.cdf(edges, shape, scale=scale))
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


def is_overdue(
    *, due: DueDate, on: date, lh_on: date | None, last_mating_on: date | None
) -> bool:
    """True past day 68 from LH or 70 from the last mating: call the vet.

    Sources: Jutkowitz 2005 (over 70 days); safe side for a known surge.
    """
    if lh_on is not None and (on - lh_on).days >= 68:
        return True
    if last_mating_on is not None and (on - last_mating_on).days >= 70:
        return True
    return lh_on is None and last_mating_on is None and due.chance_by(on) > 0.99
