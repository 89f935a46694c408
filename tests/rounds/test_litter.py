"""Pregnancies, nights, growth and losses are read off the book."""

from datetime import date, timedelta

import pytest

from kennelward.handbook import load_handbook
from kennelward.kennel import facts as f
from kennelward.litters import GrowthFlag
from kennelward.rounds import (
    dated_litters,
    kennel_losses,
    litter_growth,
    parents_compared,
    pregnancy_plan,
    whelping_night,
)
from tests.kennel.making import DAY_ZERO, Story, moment

DAY = DAY_ZERO.date()
HANDBOOK = load_handbook()


@pytest.fixture
def story() -> Story:
    told = Story()
    told.pen("a")
    told.dog("fern")
    return told


def on(days: int) -> date:
    return DAY + timedelta(days=days)


def test_an_lh_day_gives_a_due_date(story):
    story.tell(0, f.CycleNoted(dam="fern", what="lh-surge"))
    plan = pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(30))
    assert plan.due.median == on(65)
    assert plan.windows.negative_counts_from == on(31)
    assert not plan.is_overdue


def test_no_mating_no_pregnancy(story):
    assert (
        pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(1)) is None
    )
    story.tell(0, f.Mated(dam="fern", sire_outside="Stranger"))
    assert (
        pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(90))
        is None
    )


@pytest.mark.parametrize(
    "end",
    [
        f.PregnancyLost(dam="fern"),
        f.Whelped(litter="l", name="March", dam="fern", born_alive=3),
    ],
)
def test_a_birth_or_a_loss_ends_it(story, end):
    story.tell(0, f.Mated(dam="fern", sire_outside="Stranger"))
    story.tell(40, end)
    assert (
        pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(45))
        is None
    )


def test_overdue_says_so_instead_of_failing(story):
    story.tell(0, f.CycleNoted(dam="fern", what="lh-surge"))
    plan = pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(76))
    assert plan.is_overdue


def test_a_temperature_drop_brings_the_day_near(story):
    story.tell(0, f.CycleNoted(dam="fern", what="lh-surge"))
    for day, celsius in ((60, 38.4), (61, 38.3), (62, 38.3), (63, 37.2)):
        story.tell(day, f.TemperatureTaken(dog="fern", celsius=celsius))
    plan = pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(63))
    assert "temperature drop" in plan.due.because
    assert plan.due.chance_by(on(64)) > 0.7
    later = pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(67))
    assert "temperature drop" not in later.due.because


def test_nmol_values_are_taken_in_their_unit(story):
    story.tell(0, f.Mated(dam="fern", sire_outside="Stranger"))
    story.tell(0, f.ProgesteroneMeasured(dam="fern", value=15.3, unit="nmol/L"))
    plan = pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(20))
    assert plan.facts.progesterone[0].ng_per_ml == pytest.approx(4.81, abs=0.01)


def test_the_night_runs_from_its_first_entry_until_it_is_closed(story):
    assert (
        whelping_night(book=story.book, handbook=HANDBOOK, dam="fern", now=moment(1))
        is None
    )
    story.tell(1, f.WhelpingNoted(dam="fern", sign="stage-one"))
    story.tell(1.1, f.PuppyBorn(puppy="p1", dam="fern", weight_g=410))
    story.tell(1.11, f.WhelpingNoted(dam="fern", sign="placenta"))
    night = whelping_night(
        book=story.book, handbook=HANDBOOK, dam="fern", now=moment(1.2)
    )
    assert (night.puppies, night.placentas) == (1, 1)
    assert [alert.rule for alert in night.alerts] == ["gap"]
    story.tell(1.25, f.WhelpingEnded(dam="fern"))
    assert (
        whelping_night(book=story.book, handbook=HANDBOOK, dam="fern", now=moment(1.3))
        is None
    )


def test_growth_of_a_litter_in_its_order(story):
    story.tell(0, f.Whelped(litter="l", name="March", dam="fern", born_alive=2))
    for pup, grams in (("one", (400, 380)), ("two", (410, 450))):
        story.dog(pup, day=0, litter="l", dam="fern", born_on=DAY)
        for day, weight in zip((0.1, 2), grams, strict=True):
            story.tell(day, f.Weighed(dog=pup, weight_g=weight))
    failing, well = litter_growth(book=story.book, handbook=HANDBOOK, litter="l")
    assert failing.flag is GrowthFlag.RED
    assert failing.warnings[0].code == "early-loss"
    assert well.flag is GrowthFlag.GREEN


def test_losses_count_stillborn_and_deaths_by_day_seven(story):
    story.tell(
        0, f.Whelped(litter="l", name="March", dam="fern", born_alive=5, stillborn=1)
    )
    story.tell(3, f.PuppyDied(litter="l"))
    story.tell(20, f.PuppyDied(litter="l"))
    (one,) = dated_litters(book=story.book, handbook=HANDBOOK, on=on(30))
    assert (one.loss.born, one.loss.lost) == (6, 2)
    (early,) = dated_litters(book=story.book, handbook=HANDBOOK, on=on(1))
    assert early.loss.lost == 1


def test_two_whole_litters_lost_show_and_the_dam_stands_out(story):
    for day, litter in ((0, "l1"), (200, "l2")):
        story.tell(
            day,
            f.Whelped(
                litter=litter, name=litter, dam="fern", born_alive=0, stillborn=5
            ),
        )
    found = kennel_losses(book=story.book, handbook=HANDBOOK, on=on(210))
    assert found.whole_litters_lost == 2
    assert found.alarm
    (dam,) = parents_compared(
        book=story.book, handbook=HANDBOOK, on=on(210), role="dam"
    )
    assert dam.parent == "fern"
    assert dam.shrunk > found.baseline
    assert (
        parents_compared(book=story.book, handbook=HANDBOOK, on=on(210), role="sire")
        == ()
    )
