"""Unplanned tests: published base-stock and box-expiry values, and properties.

The values marked I08 and I11 are records of the shared list of statistical checks
(topic "inventory"); both follow from the Poisson distribution and were computed there
with scipy 1.17.1.
"""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.stock import (
    chance_enough,
    chance_used_up,
    enough_for,
    expected_waste,
    tests_a_month,
)
from kennelward.terms import OutOfRange

I08 = "I08: base stock, periodic review, Poisson demand (standard base-stock theory)"
I11 = "I11: probability that a box is used before it expires (definition)"


@pytest.mark.parametrize(
    ("kits", "expected"),
    [(11, 0.888075998981481), (12, 0.936202803263438), (13, 0.965819298206181)],
)
def test_cycle_service_is_as_listed(kits, expected):
    """Four periods of Poisson(2): mean 8."""
    found = chance_enough(kits=kits, expected=8)
    assert found == pytest.approx(expected, abs=1e-9), I08


def test_base_stock_level_is_as_listed():
    """The critical ratio 9 / (9 + 1) gives S = 12."""
    assert enough_for(expected=8, chance=0.9) == 12, I08


def test_a_box_of_ten_is_used_in_time_as_listed():
    """Ten kits, 1.5 a month, six months of shelf life."""
    assert chance_used_up(kits=10, a_month=1.5, months=6) == pytest.approx(
        0.412591755668058, abs=1e-10
    ), I11
    assert expected_waste(kits=10, a_month=1.5, months=6) == pytest.approx(
        1.77320900441765, abs=1e-10
    ), I11


def test_no_tests_expected_needs_no_kit_and_wastes_the_box():
    assert enough_for(expected=0, chance=0.95) == 0
    assert chance_enough(kits=0, expected=0) == 1
    assert expected_waste(kits=5, a_month=0, months=24) == 5
    assert chance_used_up(kits=0, a_month=0, months=1) == 1


@given(st.floats(0, 50), st.floats(0, 0.999))
def test_enough_is_the_smallest_that_is_enough(expected, chance):
    kits = enough_for(expected=expected, chance=chance)
    assert chance_enough(kits=kits, expected=expected) >= chance - 1e-12
    if kits:
        assert chance_enough(kits=kits - 1, expected=expected) < chance + 1e-12


@given(st.integers(0, 40), st.floats(0, 30), st.floats(0, 10))
def test_more_months_never_waste_more(kits, a_month, months):
    sooner = expected_waste(kits=kits, a_month=a_month, months=months)
    later = expected_waste(kits=kits, a_month=a_month, months=months + 1)
    assert later <= sooner + 1e-9
    assert 0 <= sooner <= kits + 1e-9


def test_the_past_rate_counts_the_days_before_today():
    """Six tests in 180 days are 1.01 a mean month; today and older days stay out."""
    on = date(2026, 3, 10)
    days = [on - timedelta(days=step) for step in (1, 2, 3, 90, 179, 180)]
    out = [on, on - timedelta(days=181)]
    found = tests_a_month([*days, *out], on=on)
    assert found == pytest.approx(6 * 30.4375 / 180)


def test_a_certain_stock_is_refused():
    with pytest.raises(OutOfRange, match="chance that it is enough"):
        enough_for(expected=8, chance=1.0)
