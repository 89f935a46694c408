"""The end of the main job: what is due this week, and what the shelf needs for it."""

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text

from kennelward.cli.words import WIDTH, hang, short_day, window_words
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
    """Open items of the week, the same work for several dogs told once."""
    items = [item for item in done.plan.due.items if item.is_open]
    yield Text(f"\n Due this week: {len(items)}", "bold underline")
    for state, title in STATES:
        chosen = [item for item in items if item.state == state]
        if chosen:
            yield Text(f"\n {title} ({len(chosen)})", "bold")
            yield from _grouped(chosen, book=done.book, on=done.on)


def _grouped(
    items: "list[DueItem]", *, book: "Book", on: date
) -> Iterator["RenderableType"]:
    groups: dict[tuple[str, str, str], list[DueItem]] = {}
    for item in items:
        action = item.action
        when = window_words(action.window.first, action.window.last, on=on)
        template = action.says.template
        groups.setdefault((action.rule.rule, template, when), []).append(item)
    for (rule, _, when), members in groups.items():
        first = members[0].action
        names = [_name(item, book=book) for item in members]
        if len(members) == 1:
            yield hang(names[0][:9], f"{str(first.says).rstrip('.')}: {when}.")
        else:
            told = ", ".join(names[:MOST_NAMES])
            if len(names) > MOST_NAMES:
                told += f" and {len(names) - MOST_NAMES} more"
            says = str(first.says).rstrip(".")
            yield hang(f"{len(names)} x", f"{says}: {when}. For {told}.")
        yield hang("", f"rule {rule}, {first.rule.provenance.value}", style="dim")


def _name(item: "DueItem", *, book: "Book") -> str:
    if item.action.subject_kind == "kennel":
        return "Kennel"
    return book.name_of(item.action.subject)


def shelf_part(done: "MainJob", *, handbook: "Handbook") -> Iterator["RenderableType"]:
    """Kits on the shelf against the month's tests, what to order, what a test costs."""
    shelf = done.shelf
    currency = done.book.kennel.currency if done.book.kennel is not None else ""
    yield Text("\n Shelf, the next 30 days", "bold underline")
    table = Table(box=None, pad_edge=True, width=WIDTH, header_style="dim")
    table.add_column("kit")
    for column in ("usable", "due", "short", "expire unused", "a test", "order"):
        table.add_column(column, justify="right")
    for need, order in zip(shelf.needs, shelf.orders, strict=True):
        cost = shelf.costs.get(need.kit)
        table.add_row(
            handbook.kits[need.kit].name if need.kit in handbook.kits else need.kit,
            str(need.usable_now),
            str(need.needed),
            str(need.short),
            str(need.expiring),
            money(cost.cents_each, currency=currency) if cost else "",
            f"{order.count} by {short_day(order.order_by)}"
            if order.order_by is not None
            else "none",
        )
    yield table
    visit = done.book.kennel.clinic_visit_cents if done.book.kennel is not None else 0
    if visit:
        yield Text(f" A clinic visit here: {money(visit, currency=currency)}.", "dim")
