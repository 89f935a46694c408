"""The month played through exactly, against an obvious slow twin that moves single kits."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.stock import Lot, TestsDue, needs
from kennelward.terms import OutOfRange

DAY = date(2026, 3, 10)
KIT = "giardia-antigen"


def lot(code: str, in_days: int, count: int, kit: str = KIT) -> Lot:
    return Lot(
        lot=code,
        kit=kit,
        lot_code=code,
        expires_on=DAY + timedelta(days=in_days),
        count=count,
    )


def due(in_days: int, count: int = 1, kit: str = KIT) -> TestsDue:
    return TestsDue(kit=kit, on=DAY + timedelta(days=in_days), count=count)


def test_a_box_that_expires_before_the_tests_does_not_help():
    """Ten kits expire on day 3; of six tests due on day 5, the other box covers two."""
    (need,) = needs(lots=[lot("A", 3, 10), lot("B", 60, 2)], due=[due(5, 6)], on=DAY)
    assert (need.needed, need.usable_now, need.used, need.short) == (6, 12, 2, 4)
    assert need.short_from == DAY + timedelta(days=5)
    assert need.expiring == 10
    assert need.left == 0
    assert need.days[3].usable == 12  # the printed date itself is a day of use
    assert need.days[4].expired == 10


def test_the_first_to_expire_is_used_first_so_that_less_is_wasted():
    """Two tests before day 3 come out of the old box."""
    (need,) = needs(lots=[lot("new", 60, 2), lot("old", 3, 2)], due=[due(1, 2)], on=DAY)
    assert need.expiring == 0
    assert need.left == 2


def test_overdue_tests_count_today_and_far_ones_do_not_count():
    (need,) = needs(lots=[], due=[due(-9, 2), due(29), due(30)], on=DAY, days=30)
    assert need.needed == 3
    assert need.days[0].needed == 2
    assert need.short_from == DAY


def test_kits_are_kept_apart_and_an_expired_lot_alone_is_listed_as_not_usable():
    found = needs(
        lots=[lot("A", -1, 4), lot("B", 9, 4, kit="relaxin")], due=[due(0)], on=DAY
    )
    assert [(need.kit, need.usable_now, need.short) for need in found] == [
        (KIT, 0, 1),
        ("relaxin", 4, 0),
    ]


def test_a_window_of_no_days_is_refused():
    with pytest.raises(OutOfRange, match="days to look ahead"):
        needs(lots=[], due=[], on=DAY, days=0)


def single_kits(lots: list[Lot], dues: list[TestsDue], days: int) -> tuple[int, int]:
    """Slow twin: every kit its own, one test at a time. Gives (used, left usable)."""
    kits = [each.expires_on for each in lots for _ in range(each.count)]
    used = 0
    for step in range(days):
        day = DAY + timedelta(days=step)
        kits = [expiry for expiry in kits if expiry >= day]
        for tests in dues:
            if max(tests.on, DAY) == day:
                for _ in range(tests.count):
                    if kits:
                        kits.remove(min(kits))
                        used += 1
    return used, len(kits)


@given(
    st.lists(st.tuples(st.integers(-3, 20), st.integers(0, 4)), max_size=5),
    st.lists(st.tuples(st.integers(-3, 20), st.integers(0, 3)), max_size=8),
    st.integers(1, 15),
)
def test_the_play_agrees_with_moving_single_kits(shelf, tests, days):
    """Used, left and the sums agree with the slow twin on any shelf."""
    lots = [lot(f"L{i}", day, count) for i, (day, count) in enumerate(shelf)]
    dues = [due(day, count) for day, count in tests]
    used, left = single_kits(lots, dues, days)
    found = needs(lots=lots, due=dues, on=DAY, days=days)
    need = next((each for each in found if each.kit == KIT), None)
    if need is None:
        assert used == left == 0
        return
    assert (need.used, need.left) == (used, left)
    assert need.used + need.short == need.needed
    assert need.usable_now == need.used + need.left + need.expiring


@given(st.lists(st.tuples(st.integers(0, 20), st.integers(1, 4)), max_size=5))
def test_one_more_kit_never_makes_it_worse(shelf):
    lots = [lot(f"L{i}", day, count) for i, (day, count) in enumerate(shelf)]
    dues = [due(day, 2) for day in (0, 4, 9, 16)]
    (before,) = needs(lots=lots, due=dues, on=DAY)
    (after,) = needs(lots=[*lots, lot("more", 25, 1)], due=dues, on=DAY)
    assert after.short <= before.short
