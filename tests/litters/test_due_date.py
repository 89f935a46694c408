"""Due dates agree with published gestation lengths, and every fact narrows or shifts them."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.litters import (
    BreedingFacts,
    Mating,
    MatingMethod,
    Progesterone,
    TemperatureDrop,
)
from kennelward.litters import due_date as due_date_of
from kennelward.terms import BadInput
from tests.litters.numbers import DUE

LH = date(2025, 3, 1)


def due_date(facts):
    """The due date by the handbook's own numbers."""
    return due_date_of(facts, model=DUE)


@pytest.mark.parametrize(
    ("lh_on", "born"), [(LH, date(2025, 5, 5)), (date(2024, 2, 20), date(2024, 4, 25))]
)
def test_from_the_lh_day(lh_on, born):
    """Worked case 1 of the reproduction page: LH + 65, a leap year included."""
    assert due_date(BreedingFacts(lh_on=lh_on)).median == born


PUBLISHED = [  # facts, days from the named day, half of the last printed digit, source
    (
        BreedingFacts(ovulation_on=LH),
        63.1,
        "Mir 2011, ovulation at P4 6 ng/mL: 63.1 +/- 2.1",
    ),
    (
        BreedingFacts(matings=(Mating(on=LH),)),
        62.1,
        "Okkens 1993, mating timed by P4: 62.1",
    ),
    (
        BreedingFacts(matings=(Mating(on=LH, method=MatingMethod.FROZEN),)),
        61.8,
        "Linde-Forsberg 1999, first AI with frozen semen: 61.8 +/- 2.4",
    ),
    (
        BreedingFacts(progesterone=(Progesterone(on=LH, ng_per_ml=2.02),)),
        65,
        "Kutzler 2003, first rise of P4 (2.02 ng/mL on that day): 65",
    ),
]


@pytest.mark.parametrize(("facts", "days", "source"), PUBLISHED)
def test_gestation_length_is_as_published(facts, days, source):
    """Whole days are printed, so a day either way agrees."""
    assert abs((due_date(facts).median - LH).days - days) <= 1.0, source


def test_single_known_day_window_holds_about_the_published_spread():
    """80 % of N(65, 1.9) lies within 2.4 days: 62.6 to 67.4."""
    found = due_date(BreedingFacts(lh_on=LH))
    assert (found.low - LH).days == 63
    assert (found.high - LH).days == 67
    assert sum(found.chances) == pytest.approx(1)


def test_untimed_natural_mating_spans_the_published_range():
    """First mating to birth 56-72, mean 63 (Linde-Forsberg review): nearly all inside."""
    found = due_date(BreedingFacts(matings=(Mating(on=LH),)))
    inside = found.chance_by(LH + timedelta(days=72)) - found.chance_by(
        LH + timedelta(days=55)
    )
    assert inside > 0.98


def test_two_matings_a_week_apart_widen_the_window():
    one = due_date(BreedingFacts(matings=(Mating(on=LH),)))
    two = due_date(
        BreedingFacts(matings=(Mating(on=LH), Mating(on=LH + timedelta(days=7))))
    )
    assert (two.high - two.low).days > (one.high - one.low).days
    assert one.median < two.median


def test_more_facts_narrow_the_window():
    mated = Mating(on=LH + timedelta(days=3))
    wide = due_date(BreedingFacts(matings=(mated,)))
    narrow = due_date(BreedingFacts(matings=(mated,), lh_on=LH))
    assert narrow.high - narrow.low < wide.high - wide.low
    assert set(narrow.because) == {"LH day", "mating dates"}


def test_a_small_litter_is_later_by_about_a_day():
    """Eilts 2005, 764 litters: four puppies or fewer, one day longer on average."""
    four = due_date(BreedingFacts(lh_on=LH, litter_size=4))
    five = due_date(BreedingFacts(lh_on=LH, litter_size=5))
    assert four.median - five.median == timedelta(days=1)


def test_a_temperature_drop_means_soon_but_not_surely():
    """Birth 13-33 h after the drop; a fifth of drops are taken for false."""
    drop = datetime(2025, 5, 4, 9, 0, tzinfo=UTC)
    found = due_date(BreedingFacts(lh_on=LH, temperature_drop=TemperatureDrop(at=drop)))
    soon = found.chance_by(date(2025, 5, 5)) - found.chance_by(date(2025, 5, 3))
    assert 0.75 < soon < 0.95


def test_low_progesterone_near_term_means_within_two_days():
    """Below 2.7 ng/mL 95 % whelp within 48 h (40 bitches sampled 12-hourly)."""
    on = date(2025, 5, 4)
    low = due_date(
        BreedingFacts(lh_on=LH, progesterone=(Progesterone(on=on, ng_per_ml=2.0),))
    )
    high = due_date(
        BreedingFacts(lh_on=LH, progesterone=(Progesterone(on=on, ng_per_ml=7),))
    )
    within = on + timedelta(days=2)
    assert low.chance_by(within) > 0.9
    assert high.chance_by(on) < 0.1


def test_days_without_a_birth_move_the_due_date_on():
    found = due_date(BreedingFacts(lh_on=LH, not_born_by=date(2025, 5, 6)))
    assert found.chance_by(date(2025, 5, 6)) == 0
    assert found.low > date(2025, 5, 6)


def test_long_past_every_day_says_call_the_vet():
    with pytest.raises(BadInput, match="call the vet"):
        due_date(BreedingFacts(lh_on=LH, not_born_by=date(2025, 6, 10)))


def test_dates_that_cannot_belong_together_are_refused():
    with pytest.raises(BadInput, match="do not fit one pregnancy"):
        due_date(BreedingFacts(lh_on=LH, ovulation_on=date(2025, 4, 20)))


def test_no_facts_at_all_say_what_is_needed():
    with pytest.raises(BadInput, match="needs the LH day"):
        BreedingFacts()


@given(st.integers(-12, 12), st.dates(date(2000, 1, 1), date(2060, 1, 1)))
def test_the_whole_answer_moves_with_the_calendar(shift, lh_on):
    one = due_date(BreedingFacts(lh_on=lh_on))
    other = due_date(BreedingFacts(lh_on=lh_on + timedelta(days=shift)))
    assert other.median - one.median == timedelta(days=shift)
    assert other.chances == one.chances
