"""The shelf against the work that is due: what to take, what to order, what it costs."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from types import MappingProxyType
from typing import TYPE_CHECKING

from kennelward.kennel import Book
from kennelward.kennel.facts import Observed
from kennelward.stock import (
    CostPerTest,
    KitNeed,
    Lot,
    OrderSuggestion,
    TestsDue,
    cost_per_test,
    lots_of,
    needs,
    pick,
    suggest_order,
    tests_a_month,
)

if TYPE_CHECKING:
    from kennelward.programme import DueList

SETTLED = ("done", "declined")  # states of due items that use no kit any more
SICK_WITHIN_DAYS = 7  # our choice: a strip so soon after signs was run for them


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfPlan:
    """Every kit in use or on the shelf, for the coming days."""

    on: date
    needs: tuple[KitNeed, ...]
    orders: tuple[OrderSuggestion, ...]  # in the order of `needs`
    costs: Mapping[str, CostPerTest]  # by kit; only where a price is known
    take: Mapping[str, Lot]  # by kit: the lot to take from today


def shelf_plan(
    *, book: Book, due: "DueList", on: date, days: int = 30, delivery_days: int = 7
) -> ShelfPlan:
    """What the due tests need of the shelf over the coming `days`.

    A due item with a kit takes one strip on the first day of its window. Unplanned
    tests are expected at the rate of the last half year, counting strips run within a
    week of signs in the same dog.
    """
    lots = lots_of(book)
    found = needs(lots=lots, due=strips_due(due), on=on, days=days)
    kits = [need.kit for need in found]
    return ShelfPlan(
        on=on,
        needs=found,
        orders=tuple(
            suggest_order(
                need=need,
                unplanned_a_month=unplanned_a_month(book, kit=need.kit, on=on),
                delivery_days=delivery_days,
            )
            for need in found
        ),
        costs=MappingProxyType(_costs(book, lots, kits)),
        take=MappingProxyType(
            {
                kit: lot
                for kit in kits
                if (lot := pick(lots, kit=kit, on=on)) is not None
            }
        ),
    )


def strips_due(due: "DueList") -> Iterable[TestsDue]:
    """Strips that open due items will take, by kit and day."""
    for item in due.items:
        if item.action.kit and item.state not in SETTLED:
            yield TestsDue(kit=item.action.kit, on=item.action.window.first)


def unplanned_a_month(book: Book, *, kit: str, on: date) -> float:
    """Strips of `kit` a month that were run because a dog had signs."""
    sick_days: dict[str, list[date]] = {}
    for entry in book.of(Observed):
        if isinstance(entry.fact, Observed) and entry.fact.signs:
            sick_days.setdefault(entry.fact.dog, []).append(book.happened_on(entry))
    within = timedelta(days=SICK_WITHIN_DAYS)
    days = []
    for card in book.tests.values():
        day = book.happened_on(card.started)
        if card.kit == kit and any(
            timedelta(0) <= day - sick <= within for sick in sick_days.get(card.dog, ())
        ):
            days.append(day)
    return tests_a_month(days, on=on)


def _costs(
    book: Book, lots: tuple[Lot, ...], kits: list[str]
) -> dict[str, CostPerTest]:
    visit = book.kennel.clinic_visit_cents if book.kennel else 0
    costs = {}
    for kit in kits:
        used = [card for card in book.tests.values() if card.kit == kit]
        cost = cost_per_test(
            lots=lots,
            kit=kit,
            clinic_visit_cents=visit,
            used=len(used),
            counted=sum(1 for card in used if card.counts and card.call.is_result),
        )
        if cost is not None:
            costs[kit] = cost
    return costs
