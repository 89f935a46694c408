"""What to order, and what a test costs: whole boxes, whole cents, worked by hand."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.stock import Lot, TestsDue, cost_per_test, money, needs, suggest_order
from kennelward.terms import OutOfRange

DAY = date(2026, 3, 10)
KIT = "giardia-antigen"


def need_of(*, on_shelf: int, wanted: int, in_days: int = 20):
    shelf = Lot(
        lot="A",
        kit=KIT,
        lot_code="A",
        expires_on=DAY + timedelta(days=300),
        count=on_shelf,
    )
    tests = TestsDue(kit=KIT, on=DAY + timedelta(days=in_days), count=wanted)
    (need,) = needs(lots=[shelf], due=[tests], on=DAY)
    return need


def test_enough_on_the_shelf_orders_nothing():
    found = suggest_order(need=need_of(on_shelf=8, wanted=3))
    assert (found.count, found.boxes, found.order_by) == (0, 0, None)
    assert found.chance_enough_now == 1
    assert str(found.because).endswith("enough.")


def test_what_is_short_comes_in_whole_boxes_and_in_time():
    """Seven wanted on day 20, two there: five short, two boxes of four, a week ahead."""
    found = suggest_order(need=need_of(on_shelf=2, wanted=7), box_of=4, delivery_days=7)
    assert (found.count, found.boxes) == (8, 2)
    assert found.order_by == DAY + timedelta(days=13)
    assert found.chance_enough_now == 0


def test_surprises_add_the_base_stock():
    """Eight unplanned tests over the window: 12 kits are the 90 % base stock (I08)."""
    months = (30 + 7) / 30.4375
    found = suggest_order(
        need=need_of(on_shelf=1, wanted=1),
        unplanned_a_month=8 / months,
        chance=0.9,
    )
    assert found.count == 12


def test_an_order_already_late_is_due_on_the_first_day():
    found = suggest_order(need=need_of(on_shelf=0, wanted=2, in_days=3))
    assert found.order_by == DAY


@given(st.integers(0, 20), st.integers(0, 20), st.integers(1, 6), st.floats(0, 10))
def test_with_the_order_the_planned_tests_can_all_be_run(shelf, wanted, box, rate):
    need = need_of(on_shelf=shelf, wanted=wanted) if shelf or wanted else None
    if need is None:
        return
    found = suggest_order(need=need, box_of=box, unplanned_a_month=rate)
    assert found.count % box == 0
    assert shelf + found.count >= wanted
    assert 0 <= found.wasted <= found.count


def lot(cents: int, count: int) -> Lot:
    return Lot(
        lot=f"{cents}-{count}",
        kit=KIT,
        lot_code="A",
        expires_on=DAY,
        count=count,
        cents_each=cents,
    )


def test_the_mean_price_is_rounded_half_up_in_whole_cents():
    """(3 x 650 + 1 x 852) / 4 = 700.5, which is 701; by hand."""
    found = cost_per_test(lots=[lot(650, 3), lot(852, 1)], kit=KIT)
    assert found is not None
    assert found.cents_each == 701
    assert found.cents_a_result is None
    assert found.strips_for_a_visit is None


def test_void_strips_make_a_result_dearer():
    """Twelve strips of 7.00 for ten results: 8.40 a result; a visit buys 8 strips."""
    found = cost_per_test(
        lots=[lot(700, 5)], kit=KIT, used=12, counted=10, clinic_visit_cents=5800
    )
    assert found is not None
    assert found.cents_a_result == 840
    assert found.strips_for_a_visit == 8


def test_no_price_gives_no_cost():
    assert cost_per_test(lots=[lot(0, 3)], kit=KIT) is None
    assert cost_per_test(lots=[lot(700, 3)], kit="relaxin") is None


def test_more_results_than_strips_is_refused():
    with pytest.raises(OutOfRange, match="strips used"):
        cost_per_test(lots=[lot(700, 3)], kit=KIT, used=2, counted=3)


def test_money_shows_whole_cents():
    assert money(1205, currency="EUR") == "12.05 EUR"
    assert money(0, currency="EUR") == "0.00 EUR"


@given(st.integers(1, 10**6), st.integers(1, 500))
def test_one_lot_costs_what_it_says(cents, count):
    """No rounding where there is nothing to round."""
    found = cost_per_test(lots=[lot(cents, count)], kit=KIT)
    assert found is not None
    assert found.cents_each == cents
