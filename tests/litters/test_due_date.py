"""Due dates agree with published gestation lengths, and every fact narrows or shifts them."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.litters import bench_due_date as bench
from kennelward.litters import (
    AgedByScan,
    BreedingFacts,
    Mating,
    MatingMethod,
    Progesterone,
    PuppyCount,
    TemperatureDrop,
    each_fact_says,
    surge_day,
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


def values(*pairs, assay=""):
    """Progesterone by days from LH."""
    return tuple(
        Progesterone(on=LH + timedelta(days=day), ng_per_ml=ng, assay=assay)
        for day, ng in pairs
    )


def width(found):
    return (found.high - found.low).days


def test_serial_progesterone_alone_finds_the_surge():
    """Hollinshead and Hanlon 2019: 2.7 at LH, 4.8 two and 7.2 three days on.

    The days -2, 0, 2, 3 of the published rise give the surge within a day, so the due
    date is LH + 65.
    """
    rise = values((-2, 1.0), (0, 2.7), (2, 4.8), (3, 7.2))
    found = surge_day(BreedingFacts(progesterone=rise), model=DUE)
    assert abs((found.median - LH).days) <= 1
    due = due_date(BreedingFacts(progesterone=rise))
    assert abs((due.median - LH).days - 65) <= 1
    assert due.because == ("progesterone in season",)


def test_more_values_of_one_laboratory_do_not_count_as_more_laboratories():
    """A laboratory's method reads high or low as a whole: that error is shared."""
    often = ((-2, 1.0), (-1, 1.6), (0, 2.7), (1, 3.6), (2, 4.8), (3, 7.2))
    one = BreedingFacts(progesterone=values(*often, assay="A"))
    many = BreedingFacts(
        progesterone=tuple(
            Progesterone(on=LH + timedelta(days=day), ng_per_ml=ng, assay=str(day))
            for day, ng in often
        )
    )
    found_one, found_many = (surge_day(x, model=DUE) for x in (one, many))
    assert width(found_one) >= width(found_many)
    high = BreedingFacts(
        progesterone=values(*((d, 1.3 * ng) for d, ng in often), assay="A")
    )
    assert abs((surge_day(high, model=DUE).median - LH).days) <= 1


def test_values_that_have_not_risen_say_measure_again():
    with pytest.raises(BadInput, match="measure again"):
        due_date(BreedingFacts(progesterone=values((0, 0.4), (2, 0.9))))


def test_a_value_near_term_does_not_speak_of_the_season():
    """Day 62: it says birth is near, and leaves the surge where the LH day has it."""
    facts = BreedingFacts(lh_on=LH, progesterone=values((62, 0.8)))
    assert surge_day(facts, model=DUE) == surge_day(BreedingFacts(lh_on=LH), model=DUE)
    assert due_date(facts).because[0] == "progesterone near term"


def test_a_mating_that_nobody_saw_spreads_over_its_days():
    """Between two days: as the average over them, so wider than one day, no wider than
    the reach of both ends."""
    unseen = due_date(
        BreedingFacts(matings=(Mating(on=LH + timedelta(days=8), since=LH),))
    )
    first = due_date(BreedingFacts(matings=(Mating(on=LH),)))
    last = due_date(BreedingFacts(matings=(Mating(on=LH + timedelta(days=8)),)))
    assert width(unseen) > width(first)
    assert first.low <= unseen.low
    assert unseen.high <= last.high
    assert unseen.median - first.median == timedelta(days=4)
    with pytest.raises(BadInput, match="first day must not be after"):
        Mating(on=LH, since=LH + timedelta(days=1))


def test_the_age_on_a_scan_dates_a_mating_that_nobody_saw():
    """28 days from ovulation on the day: birth 63 days from ovulation (Mir 2011: 63.1)."""
    scan = AgedByScan(on=LH, days_from_ovulation=28)
    due = due_date(BreedingFacts(aged=(scan,)))
    assert abs((due.median - LH).days - 35) <= 1
    unseen = Mating(on=LH - timedelta(days=15), since=LH - timedelta(days=40))
    both = due_date(BreedingFacts(aged=(scan,), matings=(unseen,)))
    alone = due_date(BreedingFacts(matings=(unseen,)))
    assert width(both) < width(alone)


def test_the_start_of_the_season_says_little_and_never_overrules_the_surge():
    alone = due_date(BreedingFacts(season_on=LH - timedelta(days=10)))
    with_lh = due_date(BreedingFacts(season_on=LH - timedelta(days=10), lh_on=LH))
    assert width(alone) > 2 * width(with_lh)
    assert with_lh.because == ("LH day", "start of the season")


def test_a_count_moves_the_due_date_as_far_as_it_is_believed():
    """Eilts 2005: a day later at four or fewer. An X-ray of 2 is believed, one of 9 not
    small; a count of 4 lies between."""
    days = {
        count: sum(
            number * chance
            for number, chance in enumerate(
                due_date(
                    BreedingFacts(
                        lh_on=LH,
                        counts=(PuppyCount(method="x-ray", count=count),),
                    )
                ).chances
            )
        )
        for count in (2, 4, 9)
    }
    assert days[2] - days[9] == pytest.approx(1.0, abs=0.01)
    assert days[9] < days[4] < days[2]


def test_each_fact_says_what_it_says_alone():
    facts = BreedingFacts(
        lh_on=LH,
        matings=(Mating(on=LH + timedelta(days=2)),),
        progesterone=values((0, 0.5)),
        season_on=LH - timedelta(days=9),
    )
    found = {one.fact: one for one in each_fact_says(facts, model=DUE)}
    assert list(found) == ["LH day", "mating dates", "start of the season"]
    alone = due_date(BreedingFacts(lh_on=LH))
    assert (found["LH day"].low, found["LH day"].high) == (alone.low, alone.high)


def test_a_drop_just_before_midnight_and_just_after_say_the_same_hour():
    """21.5 h later (45 bitches): ten minutes across midnight move nothing much."""
    late, early = (
        due_date(BreedingFacts(lh_on=LH, temperature_drop=TemperatureDrop(at=at)))
        for at in (
            datetime(2025, 5, 4, 23, 55, tzinfo=UTC),
            datetime(2025, 5, 5, 0, 5, tzinfo=UTC),
        )
    )
    assert late.median == early.median == date(2025, 5, 5)
    assert sum(late.chances) == pytest.approx(1)


@pytest.mark.slow
def test_the_window_holds_eight_of_ten_simulated_births():
    """1 000 pregnancies drawn from the model, each with its own facts: 0.80, give or
    take what whole days do (0.06) and luck (4 sd), and 0.80 over all kinds of facts."""
    rng = np.random.default_rng(7)
    pregnancies = [bench.drawn(rng) for _ in range(1_000)]
    shares = []
    for what in bench.WHATS:
        inside = []
        for one in pregnancies:
            facts = bench.known(one, what)
            if what == "serial progesterone alone" and not any(
                v.ng_per_ml >= DUE.season.risen_ng for v in facts.progesterone
            ):
                continue
            due = due_date(facts)
            born = bench.on(int(np.floor(one.born + 0.5)))
            inside.append(due.low <= born <= due.high)
        shares.append(np.mean(inside))
        assert abs(shares[-1] - 0.80) < 0.06 + 4 * np.sqrt(0.16 / len(inside)), what
    assert abs(np.mean(shares) - 0.80) < 0.025
