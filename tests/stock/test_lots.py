"""Lots: the printed date is the last day of use, and the first to expire goes first."""

from datetime import date, timedelta

import pytest

from kennelward.stock import Lot, is_expired, pick, usable
from kennelward.terms import OutOfRange

DAY = date(2026, 3, 10)


def lot(
    code: str, expires_on: date, count: int = 5, kit: str = "giardia-antigen"
) -> Lot:
    return Lot(lot=code, kit=kit, lot_code=code, expires_on=expires_on, count=count)


def test_the_printed_date_is_the_last_day_of_use():
    """Usable on the printed date itself, expired the day after."""
    assert not is_expired(expires_on=DAY, on=DAY)
    assert is_expired(expires_on=DAY, on=DAY + timedelta(days=1))
    assert lot("A", DAY).is_usable(DAY)
    assert not lot("A", DAY).is_usable(DAY + timedelta(days=1))


def test_pick_takes_the_first_to_expire_that_may_still_be_used():
    """Expired and empty lots and other kits are passed over."""
    lots = [
        lot("late", DAY + timedelta(days=200)),
        lot("expired", DAY - timedelta(days=1)),
        lot("empty", DAY + timedelta(days=1), count=0),
        lot("soon", DAY + timedelta(days=30)),
        lot("other", DAY, kit="relaxin"),
    ]
    found = pick(lots, kit="giardia-antigen", on=DAY)
    assert found is not None
    assert found.lot_code == "soon"
    codes = [each.lot_code for each in usable(lots, kit="giardia-antigen", on=DAY)]
    assert codes == ["soon", "late"]


def test_pick_says_when_nothing_usable_is_left():
    assert (
        pick([lot("A", DAY - timedelta(days=1))], kit="giardia-antigen", on=DAY) is None
    )
    assert pick([], kit="giardia-antigen", on=DAY) is None


def test_equal_dates_keep_one_order_whatever_order_they_come_in():
    pair = [lot("B", DAY), lot("A", DAY)]
    assert pick(pair, kit="giardia-antigen", on=DAY) == pick(
        pair[::-1], kit="giardia-antigen", on=DAY
    )


def test_a_negative_count_is_refused():
    with pytest.raises(OutOfRange, match="number of kits must be 0 or more"):
        lot("A", DAY, count=-1)
