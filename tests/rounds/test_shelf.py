"""The shelf against due work, on small books with sums done by hand."""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from kennelward.kennel import Book, Entry
from kennelward.kennel import facts as f
from kennelward.programme import Action, DueItem, DueList
from kennelward.rounds import shelf_plan
from kennelward.rounds.shelf import strips_due, unplanned_a_month
from kennelward.terms import DateWindow, Phrase, Provenance, RuleRef

ON = date(2026, 3, 10)
KIT = "giardia-antigen"


def moment(days_ago: int, hour: int = 9) -> datetime:
    return datetime.combine(ON - timedelta(days=days_ago), time(hour), tzinfo=UTC)


def book_of(*dated: tuple[int, f.Fact]) -> Book:
    """A book of (days ago, fact), each written down as it happened."""
    entries = [
        Entry(
            entry=str(number),
            kennel="k",
            fact=fact,
            happened_at=moment(days_ago) + timedelta(minutes=number),
            recorded_at=moment(days_ago) + timedelta(minutes=number),
            recorded_by="a",
        )
        for number, (days_ago, fact) in enumerate(dated)
    ]
    return Book.from_entries(entries)


def due(*, kit: str = KIT, in_days: int = 0, state: str = "today") -> DueItem:
    first = ON + timedelta(days=in_days)
    action = Action(
        rule=RuleRef(
            rule="x.y",
            programme="X",
            source="",
            provenance=Provenance.USER,
            since=ON,
        ),
        subject="d",
        subject_kind="dog",
        what="test",
        says=Phrase("Test."),
        because=Phrase("Because."),
        window=DateWindow(first, first + timedelta(days=3)),
        urgency="planned",
        kit=kit,
    )
    return DueItem(action=action, state=state, shows_on=first)


def lot(*, count: int, cents: int = 700) -> f.LotReceived:
    return f.LotReceived(
        lot="L",
        kit=KIT,
        lot_code="OF-1",
        expires_on=ON + timedelta(days=100),
        count=count,
        cents_each=cents,
    )


DOG = f.DogDescribed(dog="d", name="Moss", sex="dog", born_on=date(2024, 1, 1))


def strip(number: int, call: str = "negative") -> tuple[f.Fact, f.Fact]:
    return (
        f.TestStarted(test=f"t{number}", dog="d", kit=KIT, sample="faeces", lot="L"),
        f.StripSeen(test=f"t{number}", call=call, minutes=6),
    )


def test_settled_work_and_work_without_a_kit_take_no_strip():
    items = (
        due(),
        due(state="done"),
        due(state="declined"),
        due(kit=""),
        due(in_days=4, state="put-off"),
    )
    found = list(strips_due(DueList(on=ON, items=items)))
    assert [(each.kit, each.on) for each in found] == [
        (KIT, ON),
        (KIT, ON + timedelta(days=4)),
    ]


def test_the_plan_counts_what_is_there_and_what_is_short():
    """Three due, two on the shelf: one short, and one visit costs eight strips."""
    place = f.KennelDescribed(name="K", clinic_visit_cents=5800)
    book = book_of((9, place), (9, DOG), (9, lot(count=2)))
    items = (due(), due(), due(in_days=5))
    found = shelf_plan(book=book, due=DueList(on=ON, items=items), on=ON)
    (need,), (order,) = found.needs, found.orders
    assert (need.needed, need.usable_now, need.short) == (3, 2, 1)
    assert order.count == 1
    assert order.order_by == ON
    assert found.costs[KIT].strips_for_a_visit == 8
    assert found.take[KIT].lot_code == "OF-1"


def test_void_strips_make_a_result_dearer():
    """Three strips, one without a control line: 7.00 x 3 / 2 = 10.50 a result."""
    leaflet = f.LeafletConfirmed(
        kit=KIT,
        drops=3,
        read_from_minutes=5,
        read_until_minutes=10,
        storage_low_c=2,
        storage_high_c=30,
        samples=("faeces",),
    )
    facts = [leaflet, DOG, lot(count=9)]
    for number, call in enumerate(("negative", "invalid", "positive")):
        facts += strip(number, call)
    book = book_of(*((5, fact) for fact in facts))
    found = shelf_plan(book=book, due=DueList(on=ON, items=()), on=ON)
    assert found.costs[KIT].cents_a_result == 1050


def test_only_strips_run_for_signs_count_as_unplanned():
    """One within a week of signs, one a month later: one in 180 days."""
    facts = [
        (90, DOG),
        (90, lot(count=9)),
        (80, f.Observed(dog="d", signs=("soft-stool",))),
        (78, strip(1)[0]),
        (50, strip(2)[0]),
        (2, f.Observed(dog="d", signs=())),
        (1, strip(3)[0]),
    ]
    found = unplanned_a_month(book_of(*facts), kit=KIT, on=ON)
    assert found == pytest.approx(30.4375 / 180)
