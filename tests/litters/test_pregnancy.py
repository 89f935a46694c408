"""Test windows follow the surge, and counts are doubted as they deserve."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.litters import (
    BreedingFacts,
    Mating,
    Progesterone,
    PuppyCount,
    due_date,
    expected_litter,
    is_overdue,
)
from kennelward.litters import pregnancy_windows as windows_of
from kennelward.litters.litter_size import (
    count_error,
    litter_size,
    litter_size_prior,
)
from tests.litters.numbers import DUE, NUMBERS

LH = date(2025, 3, 1)
X_RAY_ERROR = count_error("x-ray", model=DUE.litter_size)
SCAN_ERROR = count_error("scan", model=DUE.litter_size)


def pregnancy_windows(facts):
    """Windows by the handbook's own numbers."""
    return windows_of(facts, days=NUMBERS.test_days, model=DUE)


def test_windows_from_the_lh_day():
    """Worked case 1 of the reproduction page: dependable day 31 is 1 April."""
    found = pregnancy_windows(BreedingFacts(lh_on=LH))
    assert found.negative_counts_from == date(2025, 4, 1)
    assert found.strip_earliest == date(2025, 3, 26)
    assert found.scan.first == date(2025, 3, 28)
    assert found.x_ray_count.first == date(2025, 4, 25)


def test_a_negative_counts_33_days_after_the_last_of_two_matings():
    """Laboratory advice: 31-33 days after the last mating where the surge is unknown."""
    facts = BreedingFacts(matings=(Mating(on=LH), Mating(on=LH + timedelta(days=7))))
    found = pregnancy_windows(facts)
    assert found.negative_counts_from == LH + timedelta(days=40)
    assert found.surge_known_to_days > 4


def test_ovulation_is_two_days_after_the_surge():
    by_lh = pregnancy_windows(BreedingFacts(lh_on=LH))
    by_ovulation = pregnancy_windows(BreedingFacts(ovulation_on=LH + timedelta(days=2)))
    assert by_ovulation.negative_counts_from == by_lh.negative_counts_from


def test_prior_litter_size_is_as_published():
    """Chastant-Maillard 2017: 5.4 +/- 2.8, 1 to 24."""
    prior = litter_size_prior(mean=5.4, sd=2.8)
    sizes = np.arange(1, 25)
    mean = (prior * sizes).sum()
    assert mean == pytest.approx(5.4, abs=0.1)
    assert np.sqrt((prior * sizes**2).sum() - mean**2) == pytest.approx(2.8, abs=0.1)


@given(st.integers(1, 14))
def test_an_x_ray_count_is_trusted_more_than_a_scan(counted):
    prior = litter_size_prior(mean=5.4, sd=2.8)
    x_ray = litter_size(counted=counted, error=X_RAY_ERROR, prior=prior)
    scan = litter_size(counted=counted, error=SCAN_ERROR, prior=prior)
    assert x_ray.sum() == pytest.approx(1)
    assert x_ray[counted - 1] > scan[counted - 1]


def test_a_count_agrees_with_counting_every_way():
    """Slow twin: three puppies, each counted 0, 1 or 2 times, 27 ways."""
    import itertools

    prior = np.zeros(24)
    prior[2] = prior[3] = 0.5
    ways = {0: 0.15, 1: 0.77, 2: 0.08}
    chance = {
        size: sum(
            np.prod([ways[x] for x in counts])
            for counts in itertools.product(ways, repeat=size)
            if sum(counts) == 3
        )
        for size in (3, 4)
    }
    found = litter_size(counted=3, error=SCAN_ERROR, prior=prior)
    assert found[2] == pytest.approx(chance[3] / (chance[3] + chance[4]))


def test_no_count_leaves_the_prior():
    prior = litter_size_prior(mean=5.4, sd=2.8)
    assert litter_size(counted=None, error=SCAN_ERROR, prior=prior) is prior


def test_overdue_by_day_68_from_lh_or_70_from_the_last_mating():
    due = due_date(BreedingFacts(lh_on=LH), model=DUE)
    for days, overdue in ((67, False), (68, True)):
        on = LH + timedelta(days=days)
        assert (
            is_overdue(
                due=due, on=on, lh_on=LH, last_mating_on=None, days=NUMBERS.test_days
            )
            is overdue
        )
    on = LH + timedelta(days=70)
    assert is_overdue(
        due=due, on=on, lh_on=None, last_mating_on=LH, days=NUMBERS.test_days
    )


def test_progesterone_alone_counts_from_the_late_end_of_the_surge():
    """Never sooner than the day 31 that the data sheet names, from a late surge."""
    rise = tuple(
        Progesterone(on=LH + timedelta(days=day), ng_per_ml=ng)
        for day, ng in ((-2, 1.0), (0, 2.7), (2, 4.8))
    )
    found = pregnancy_windows(BreedingFacts(progesterone=rise))
    assert found.negative_counts_from >= LH + timedelta(days=31)
    assert found.negative_counts_from <= LH + timedelta(days=35)


def test_a_mating_that_nobody_saw_counts_from_its_last_day():
    unseen = Mating(on=LH + timedelta(days=9), since=LH)
    found = pregnancy_windows(BreedingFacts(matings=(unseen,)))
    assert found.negative_counts_from == LH + timedelta(days=9 + 33)


def test_two_in_one_sac_stay_within_the_window_of_a_scan():
    """A scan that saw four sacs where one held twins: five is not surprising."""
    facts = BreedingFacts(lh_on=LH, counts=(PuppyCount(method="scan", count=4),))
    found = expected_litter(facts, model=DUE.litter_size)
    assert found.low <= 4 <= 5 <= found.high
    assert found.counted_by == "scan"


@pytest.mark.parametrize("counted", [1, 14])
def test_a_single_puppy_and_a_litter_of_fourteen_are_believed(counted):
    facts = BreedingFacts(lh_on=LH, counts=(PuppyCount(method="x-ray", count=counted),))
    found = expected_litter(facts, model=DUE.litter_size)
    assert found.low <= counted <= found.high
    assert abs(found.likely - counted) <= 1
    assert found.high - found.low <= 4


def test_counts_of_one_kind_do_not_add_up():
    """The puppy behind another stays behind it: only the latest of a kind counts."""
    one = BreedingFacts(lh_on=LH, counts=(PuppyCount(method="scan", count=6),))
    two = BreedingFacts(lh_on=LH, counts=2 * (PuppyCount(method="scan", count=6),))
    assert expected_litter(one, model=DUE.litter_size) == expected_litter(
        two, model=DUE.litter_size
    )
    both = BreedingFacts(
        lh_on=LH,
        counts=(
            PuppyCount(method="scan", count=6),
            PuppyCount(method="x-ray", count=8),
        ),
    )
    found = expected_litter(both, model=DUE.litter_size)
    assert (found.counted_by, found.counted) == ("x-ray", 8)
    assert found.likely == 8


@pytest.mark.parametrize(
    ("size", "mean"), [("small", 4.4), ("medium", 5.2), ("large", 5.9), ("giant", 6.7)]
)
def test_the_size_of_the_bitch_moves_the_litter_to_expect(size, mean):
    """Hollinshead and Hanlon 2017: 4.4, 5.2, 5.9, 6.7 puppies."""
    found = expected_litter(
        BreedingFacts(lh_on=LH, bitch_size=size), model=DUE.litter_size
    )
    average = sum(n * chance for n, chance in enumerate(found.chances, 1))
    assert average == pytest.approx(mean, abs=0.15)
