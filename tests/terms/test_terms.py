"""Ranges, windows, intervals and random streams keep their promises."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.terms import (
    BadInput,
    DateWindow,
    Interval,
    OutOfRange,
    check_range,
    stream,
)


@pytest.mark.parametrize("value", [-0.1, 1.1, float("nan"), float("inf")])
def test_a_value_out_of_range_is_named_with_the_range(value):
    with pytest.raises(OutOfRange, match="sensitivity must be from 0 to 1, got"):
        check_range("sensitivity", value, low=0, high=1)


def test_windows_include_both_ends():
    window = DateWindow(date(2026, 3, 1), date(2026, 3, 3))
    assert window.days == 3
    assert [day.day for day in window] == [1, 2, 3]
    assert date(2026, 3, 3) in window
    assert date(2026, 3, 4) not in window


def test_a_window_that_ends_before_it_starts_is_refused():
    with pytest.raises(BadInput):
        DateWindow(date(2026, 3, 2), date(2026, 3, 1))


@given(st.dates(), st.dates(), st.dates(), st.dates())
def test_overlap_holds_just_the_days_in_both(a, b, c, d):
    one, two = DateWindow(min(a, b), max(a, b)), DateWindow(min(c, d), max(c, d))
    both = one.overlap(two)
    assert both == two.overlap(one)
    for day in (one.first, one.last, two.first, two.last):
        assert (both is not None and day in both) == (day in one and day in two)


def test_an_interval_out_of_order_is_refused():
    with pytest.raises(BadInput):
        Interval(low=0.5, median=0.4, high=0.6)


def test_streams_depend_on_seed_name_and_replicate_alone():
    first = stream(7, "spread.infection").random(3).tolist()
    assert stream(7, "spread.infection").random(3).tolist() == first
    for other in (
        stream(8, "spread.infection"),
        stream(7, "spread.recovery"),
        stream(7, "spread.infection", replicate=1),
    ):
        assert other.random(3).tolist() != first
