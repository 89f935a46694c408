"""What would make the kennel surer: the cheapest tests, and when there are none."""

from datetime import timedelta
from math import comb

import pytest

from kennelward.kennel import facts as f
from kennelward.rounds import plan_sure
from tests.kennel.making import Story
from tests.rounds.sure_story import (
    HANDBOOK,
    STRIP,
    ZERO,
    asked,
    ten_dogs,
)


@pytest.fixture
def story() -> Story:
    """Ten grown dogs at home."""
    return ten_dogs()


def priced(story, cents=650):
    story.tell(
        0,
        f.LotReceived(
            lot="l",
            kit=STRIP,
            lot_code="A1",
            expires_on=ZERO + timedelta(days=400),
            count=50,
            cents_each=cents,
        ),
    )


def planned(story, wanted=0.8, days=30, **changes):
    sure = asked(story, **changes)
    return plan_sure(
        sure,
        book=story.book,
        handbook=HANDBOOK,
        by=sure.on + timedelta(days=days),
        wanted=wanted,
    )


def test_the_plan_is_the_cheapest_that_reaches_the_level(story):
    """Against trying every number of dogs on one date."""
    priced(story)
    found = planned(story)
    assert found.plan is not None
    assert found.plan.is_reached
    tests = sum(len(one.dogs) for one in found.plan.rounds)
    assert found.plan.price_cents == tests * 650
    # One date, every dog alike: the least number of dogs by trying them all.
    figures = HANDBOOK.kits[STRIP].performances[-1].sensitivity
    prior = asked(story).today.chance.median
    for n in range(11):
        silent = sum(
            comb(2, k) * comb(8, n - k) / comb(10, n) * (1 - figures.mean) ** k
            for k in range(max(0, n - 8), min(2, n) + 1)
        )
        if 0.2 / (0.2 + 0.8 * silent) >= 0.8:
            break
    assert tests <= n
    assert prior < 0.8


def test_without_a_price_the_fewest_tests_are_planned_and_it_says_so(story):
    found = planned(story)
    assert found.cents_each == 0
    assert "No price of this strip is known" in str(found.says[-1])


def test_what_cannot_be_reached_is_said(story):
    """With what the most would bring."""
    priced(story)
    found = planned(story, wanted=0.999, days=0)
    assert found.plan is not None
    assert not found.plan.is_reached
    assert "cannot be reached" in str(found.says[0])


def test_a_level_that_holds_already_asks_for_nothing_and_lifts_nothing(story):
    """Said as such; what a rule asks for stays due."""
    priced(story)
    found = planned(story, wanted=0.5, absent_at_start=0.9)
    assert found.plan is not None
    assert found.plan.rounds == ()
    assert "Tests that a rule asks for stay due" in str(found.says[0])


def test_no_plan_of_strips_for_parvovirus(story):
    """Never strip-test healthy dogs to clear them."""
    sure = asked(story, infection="parvovirus")
    found = plan_sure(
        sure, book=story.book, handbook=HANDBOOK, by=sure.on + timedelta(days=30)
    )
    assert found.plan is None
    assert "never run to clear healthy dogs" in str(found.refused)


def test_dogs_whose_negative_would_not_count_are_left_out(story):
    """A course that ended lately voids the Giardia strip for thirty days."""
    story.tell(
        20,
        f.CourseWritten(
            course="c",
            dog="dog3",
            text="as written",
            prescribed_by="the vet",
            starts_on=ZERO + timedelta(days=20),
            ends_on=ZERO + timedelta(days=24),
            times_a_day=1,
            infection="giardia",
        ),
    )
    priced(story)
    found = planned(story)
    assert found.left_out == ("dog3",)
    assert all("dog3" not in one.dogs for one in found.plan.rounds)
