"""`kennelward due`: what is due, by which rule, from which source."""

from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kennelward.cli.shared_options import (
    console,
    data_option,
    json_option,
    now,
    on_option,
    print_json,
    today_utc,
)

if TYPE_CHECKING:
    from kennelward.handbook import Handbook
    from kennelward.kennel import Book
    from kennelward.programme import DueItem

OPEN_STATES = ("overdue", "today", "this-week", "later", "put-off")


@click.command()
@on_option
@click.option(
    "--all", "everything", is_flag=True, help="Also what is done or declined."
)
@click.option("--kennel", default=None, help="Which kennel, where there are several.")
@data_option
@json_option
def command(
    on: date | None,
    everything: bool,
    kennel: str | None,
    data: Path | None,
    as_json: bool,
) -> None:
    """What is due, in the order of the daily walk.

    Uses the kennel's own book, or the made-up demo's where there is none.
    """
    book, handbook, day, is_demo = the_book(data, kennel=kennel, on=on)
    from kennelward.rounds import kennel_plan

    plan = kennel_plan(book=book, handbook=handbook, on=day)
    items = [item for item in plan.due.items if everything or item.state in OPEN_STATES]
    if as_json:
        print_json([as_plain(item, book=book) for item in items])
        return
    _print(items, book=book, on=day, is_demo=is_demo)


def the_book(
    data: Path | None, *, kennel: str | None, on: date | None
) -> "tuple[Book, Handbook, date, bool]":
    """The kennel's book up to `on`, its handbook, the day, and whether it is the demo's.

    A folder that was named must hold a book; the demo only stands in for the usual one.
    """
    from kennelward import desk

    if data is not None or desk.has_book(desk.data_folder(None)):
        from kennelward.cli.open_data import open_data, the_kennel

        open_data(data)
        chosen = the_kennel(kennel)
        book = desk.snapshot(chosen)
        day = on or book.day_of(now())
        if day < book.day_of(now()):
            end = datetime.combine(day, time.max, tzinfo=book.zone)
            book = desk.snapshot(chosen, until=end)
        return book, desk.handbook(chosen), day, desk.is_demo(chosen)

    from kennelward.demo import demo_book
    from kennelward.handbook import load_handbook
    from kennelward.kennel import Book

    day = on or today_utc()
    return Book.from_entries(demo_book(on=day)), load_handbook(), day, True


def as_plain(item: "DueItem", *, book: "Book") -> dict[str, Any]:
    """One due item as JSON."""
    action = item.action
    return {
        "subject": book.name_of(action.subject),
        "action": str(action.says),
        "from": action.window.first.isoformat(),
        "by": action.window.last.isoformat(),
        "rule": action.rule.rule,
        "source": action.rule.source,
        "because": str(action.because),
        "state": item.state,
        "urgency": action.urgency,
        "what": action.what,
        "kit": action.kit,
        "cautions": list(action.cautions),
        "subject_kind": action.subject_kind,
        "subject_id": action.subject,
        "programme": action.rule.programme,
        "provenance": action.rule.provenance.value,
        "key": action.key,
    }


def _print(items: "list[DueItem]", *, book: "Book", on: date, is_demo: bool) -> None:
    from kennelward.cli.words import due_lines, kennel_name

    out = console()
    out.print(f"[bold]{kennel_name(book)}[/bold]  {on:%A %d %B %Y}", markup=True)
    if is_demo:
        out.print("A made-up kennel: nothing here is real.", style="dim")
    for line in due_lines(items, book=book, on=on):
        out.print(line)
