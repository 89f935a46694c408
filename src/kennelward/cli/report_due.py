"""The end of the main job: what is due this week, and what the shelf needs for it."""

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from rich.text import Text

from kennelward.cli.words import hang, window_words, with_when
from kennelward.stock import money

if TYPE_CHECKING:
    from rich.console import RenderableType

    from kennelward.demo.main_job import MainJob
    from kennelward.handbook import Handbook
    from kennelward.kennel import Book
    from kennelward.programme import DueItem

STATES = (("overdue", "Overdue"), ("today", "Today"), ("this-week", "This week"))
MOST_NAMES = 4  # in one line; more are counted


def due_part(done: "MainJob") -> Iterator["RenderableType"]:
    """Open items of the week: the daily walk counted, the rest told once each."""
    items = [item for item in done.plan.due.items if item.is_open]
    walk = [item for item in items if item.is_daily_walk]
    yield Text(f"\n Due this week: {len(items)}", "bold underline")
    yield hang(
        "",
        f"{len(walk)} of them are the daily walk (looking, cleaning, care, weighing): "
        "`kennelward due` lists every one.",
        style="dim",
        indent=0,
    )
    told: set[tuple[str, str]] = set()
    for state, title in STATES:
        chosen = [item for item in items if item.state == state and item not in walk]
        if not chosen:
            continue
        yield Text(f"\n {title} ({len(chosen)})", "bold")
        first = [
            item
            for item in chosen
            if (item.action.rule.rule, item.action.subject) not in told
        ]
        told |= {(item.action.rule.rule, item.action.subject) for item in chosen}
        yield from _grouped(first, book=done.book, on=done.on)


def _grouped(
    items: "list[DueItem]", *, book: "Book", on: date
) -> Iterator["RenderableType"]:
    groups: dict[tuple[str, str, str], list[DueItem]] = {}
    for item in items:
        action = item.action
        when = window_words(action.window.first, action.window.last, on=on)
        name = book.name_of(action.subject)
        same = str(action.says).replace(name, "")  # words and days but for the name
        groups.setdefault((action.rule.rule, same, when), []).append(item)
    for (rule, _, when), members in groups.items():
        first = members[0].action
        names = [_name(item, book=book) for item in members]
        text = with_when(str(first.says), when)
        if len(members) > 1:
            told = ", ".join(names[:MOST_NAMES])
            if len(names) > MOST_NAMES:
                told += f" and {len(names) - MOST_NAMES} more"
            text += f" For {told}."
        kinds = {item.action.subject_kind for item in members}
        several = f"{len(names)} {'dogs' if kinds == {'dog'} else 'times'}"
        label = several if len(names) > 1 else names[0][:9]
        yield hang(label, f"{text} [{rule}]")


def _name(item: "DueItem", *, book: "Book") -> str:
    if item.action.subject_kind == "kennel":
        return "Kennel"
    return book.name_of(item.action.subject)


def shelf_part(done: "MainJob", *, handbook: "Handbook") -> Iterator["RenderableType"]:
    """Kits on the shelf against the month's tests, what to order, what a test costs."""
    shelf = done.shelf
    currency = done.book.kennel.currency if done.book.kennel is not None else ""
    yield Text("\n Shelf, the next 30 days", "bold underline")
    yield Text(_shelf_line("kit", "usable", "due", "short", "expire", "each", "order"))
    for need, order in zip(shelf.needs, shelf.orders, strict=True):
        cost = shelf.costs.get(need.kit)
        name = handbook.kits[need.kit].name if need.kit in handbook.kits else need.kit
        ordered = "none"
        if order.order_by is not None:
            ordered = f"{order.count} by {order.order_by.day} {order.order_by:%b}"
        yield Text(
            _shelf_line(
                name,
                str(need.usable_now),
                str(need.needed),
                str(need.short),
                str(need.expiring),
                money(cost.cents_each, currency="").strip() if cost else "",
                ordered,
            )
        )
    visit = done.book.kennel.clinic_visit_cents if done.book.kennel is not None else 0
    if visit:
        said = money(visit, currency=currency)
        yield Text(
            f" Prices in {currency}, yours to set; a clinic visit: {said}.", "dim"
        )


def _shelf_line(kit: str, *cells: str) -> str:
    widths = (7, 5, 7, 8, 8, 12)
    told = "".join(c.rjust(w) for c, w in zip(cells, widths, strict=True))
    return f" {kit[:31]:<31}{told}"
