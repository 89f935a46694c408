"""What to order: the month's planned tests, some for surprises, no box for the bin."""

from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.stock.needs import KitNeed
from kennelward.stock.surprise import (
    DAYS_A_MONTH,
    chance_enough,
    enough_for,
    expected_waste,
)
from kennelward.terms import Phrase, check_range

KEEPS_MONTHS = 24  # from memory: kits keep about two years; a lot's printed date rules


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderSuggestion:
    """How many kits to order and by when; 0 where the shelf is enough."""

    kit: str
    count: int  # kits, in whole boxes
    boxes: int
    order_by: date | None  # so that they are here when the shelf runs short
    chance_enough_now: float  # 0 to 1: for planned and unplanned tests, as the shelf is
    wasted: float  # kits of this order expected to expire unused
    because: Phrase


def suggest_order(
    *,
    need: KitNeed,
    unplanned_a_month: float = 0.0,
    delivery_days: int = 7,
    box_of: int = 1,
    chance: float = 0.95,
    keeps_months: float = KEEPS_MONTHS,
) -> OrderSuggestion:
    """What to order so that the window's tests can all be run with chance `chance`.

    Planned tests are counted exactly; unplanned ones are a Poisson count at
    `unplanned_a_month`. The order covers both over the window plus the delivery time.
    `delivery_days` and `chance` are the user's choice (common practice, no source).
    """
    check_range("kits a box", box_of, low=1, high=1000)
    check_range("delivery time", delivery_days, low=0, high=365, unit="days")
    check_range("unplanned tests a month", unplanned_a_month, low=0, high=10_000)
    months = (need.window.days + delivery_days) / DAYS_A_MONTH
    surprises = unplanned_a_month * months
    spare = enough_for(expected=surprises, chance=chance)
    missing = max(0, need.short + spare - need.left)
    boxes = -(-missing // box_of)
    count = boxes * box_of
    rate = unplanned_a_month + need.needed * DAYS_A_MONTH / need.window.days
    return OrderSuggestion(
        kit=need.kit,
        count=count,
        boxes=boxes,
        order_by=_order_by(need, delivery_days) if count else None,
        chance_enough_now=0.0
        if need.short
        else chance_enough(kits=need.left, expected=surprises),
        wasted=expected_waste(kits=count, a_month=rate, months=keeps_months),
        because=_because(need, spare=spare, count=count),
    )


def _order_by(need: KitNeed, delivery_days: int) -> date:
    """So many days ahead of the first short day; never before the first day."""
    if need.short_from is None:
        return need.window.first
    return max(need.window.first, need.short_from - timedelta(days=delivery_days))


def _because(need: KitNeed, *, spare: int, count: int) -> Phrase:
    values = {
        "needed": need.needed,
        "days": need.window.days,
        "usable": need.usable_now,
        "spare": spare,
        "expiring": need.expiring,
    }
    if not count:
        return Phrase(
            "Tests due in {days} days: {needed}. Usable kits on the shelf: {usable}. "
            "Wanted for tests nobody planned: {spare}. That is enough.",
            values,
        )
    if need.expiring:
        return Phrase(
            "Tests due in {days} days: {needed}. Wanted for tests nobody planned: "
            "{spare}. Usable kits on the shelf: {usable}; of these expire before they "
            "are needed: {expiring}.",
            values,
        )
    return Phrase(
        "Tests due in {days} days: {needed}. Wanted for tests nobody planned: {spare}. "
        "Usable kits on the shelf: {usable}.",
        values,
    )
