"""The tests of a pregnancy: one early negative never rules a bitch out."""

from datetime import date, timedelta

import pytest

from kennelward.handbook import load_handbook
from kennelward.kennel import facts as f
from kennelward.rounds import PregnancyState, pregnancy_plan, pregnancy_worth
from tests.kennel.making import DAY_ZERO, Story

DAY = DAY_ZERO.date()
HANDBOOK = load_handbook()


def on(days: int) -> date:
    return DAY + timedelta(days=days)


@pytest.fixture
def story() -> Story:
    told = Story()
    told.pen("a")
    told.dog("fern")
    told.tell(
        0,
        f.LeafletConfirmed(
            kit="relaxin",
            storage_low_c=2.0,
            storage_high_c=30.0,
            samples=("blood",),
            drops=3,
            read_from_minutes=10.0,
            read_until_minutes=15.0,
        ),
    )
    told.tell(0, f.Mated(dam="fern", sire_outside="Stranger"))
    return told


def strip(story: Story, day: float, call: str) -> None:
    test = f"t{day}"
    story.tell(day, f.TestStarted(test=test, dog="fern", kit="relaxin", sample="blood"))
    story.tell(day + 0.009, f.StripSeen(test=test, call=call, minutes=12.0))


def scan(story: Story, day: float, call: str) -> None:
    story.tell(
        day,
        f.OtherResult(
            dog="fern", infection="pregnancy", method="ultrasound", call=call
        ),
    )


def plan(story: Story, day: int):
    return pregnancy_plan(book=story.book, handbook=HANDBOOK, dam="fern", on=on(day))


def test_untested_at_first(story):
    found = plan(story, 20).standing
    assert found.state is PregnancyState.UNTESTED
    assert found.is_expecting
    assert found.repeat_from is None


def test_a_season_without_a_mating_says_so():
    """An LH day or progesterone alone: her days if she was mated, and no claim."""
    told = Story()
    told.pen("a")
    told.dog("fern")
    told.tell(0, f.CycleNoted(dam="fern", what="lh-surge"))
    assert plan(told, 20).standing.state is PregnancyState.NO_MATING
    told.tell(2, f.Mated(dam="fern", sire_outside="Stranger"))
    assert plan(told, 20).standing.state is PregnancyState.UNTESTED


def test_an_early_negative_says_nothing_and_she_stays_expecting(story):
    """Day 25 after the mating: negatives count from day 33; repeat from there."""
    strip(story, 25, "negative")
    found = plan(story, 26).standing
    assert found.state is PregnancyState.EARLY_NEGATIVE
    assert found.is_expecting
    assert found.repeat_from == on(33)
    (test,) = found.tests
    assert test.is_early
    assert not test.counts


def test_one_late_negative_is_repeated_a_week_later(story):
    strip(story, 35, "negative")
    found = plan(story, 36).standing
    assert found.state is PregnancyState.ONE_LATE_NEGATIVE
    assert found.is_expecting
    assert found.repeat_from == on(42)


def test_two_late_negatives_a_week_apart_rule_out_and_two_on_one_day_do_not(story):
    strip(story, 35, "negative")
    strip(story, 35.2, "negative")
    assert plan(story, 36).standing.state is PregnancyState.ONE_LATE_NEGATIVE
    strip(story, 42, "negative")
    found = plan(story, 43)
    assert found.standing.state is PregnancyState.RULED_OUT
    assert not found.standing.is_expecting


def test_a_positive_is_likely_until_a_scan_confirms(story):
    strip(story, 30, "positive")
    assert plan(story, 31).standing.state is PregnancyState.LIKELY
    scan(story, 33, "positive")
    assert plan(story, 34).standing.state is PregnancyState.CONFIRMED


def test_yes_and_later_no_may_be_a_loss(story):
    strip(story, 34, "positive")
    strip(story, 44, "negative")
    found = plan(story, 45).standing
    assert found.state is PregnancyState.MAYBE_LOST
    assert found.is_expecting


def test_a_scan_before_its_window_does_not_rule_out(story):
    scan(story, 16, "negative")
    assert plan(story, 17).standing.state is PregnancyState.EARLY_NEGATIVE
    scan(story, 33, "negative")
    assert plan(story, 34).standing.state is PregnancyState.RULED_OUT


def test_a_strip_read_too_late_counts_for_nothing(story):
    story.tell(35, f.TestStarted(test="t", dog="fern", kit="relaxin", sample="blood"))
    story.tell(35.05, f.StripSeen(test="t", call="negative", minutes=72.0))
    assert plan(story, 36).standing.state is PregnancyState.UNTESTED


def test_the_chance_starts_with_the_mating_and_an_early_negative_moves_it_little(story):
    """87.8 % pregnant per heat (Chastant-Maillard 2017); a late negative weighs more."""
    before = pregnancy_worth(
        book=story.book, handbook=HANDBOOK, dam="fern", on=on(20)
    ).worth.chance
    strip(story, 22, "negative")
    early = pregnancy_worth(
        book=story.book, handbook=HANDBOOK, dam="fern", on=on(23)
    ).worth.chance
    strip(story, 36, "negative")
    late = pregnancy_worth(
        book=story.book, handbook=HANDBOOK, dam="fern", on=on(37)
    ).worth.chance
    assert before.median == pytest.approx(0.878, abs=0.03)
    assert before.median >= early.median > 0.4
    assert late.median < 0.4 < early.median
