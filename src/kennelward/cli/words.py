"""How the terminal says things: labels with a hanging indent, counts, due lines."""

import re
from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.text import Text

    from kennelward.evidence import Interpretation
    from kennelward.kennel import Book
    from kennelward.programme import DueItem

NAMES_A_DAY = re.compile(r"\d{4}-\d\d-\d\d")
LABEL_WIDTH = 10  # columns, with its gap
WIDTH = 80

STATE_WORDS = {
    "overdue": "OVERDUE",
    "today": "TODAY",
    "this-week": "THIS WEEK",
    "later": "LATER",
    "put-off": "PUT OFF",
    "done": "DONE",
    "declined": "DECLINED",
}
STATE_STYLES = {"overdue": "bold red", "today": "bold yellow", "this-week": "bold"}


def in_hundred(found: "Interpretation") -> str:
    """What a negative would have left: `about 18 in 100 (between 7 and 34)`."""
    from kennelward.evidence import natural_frequency

    counts = natural_frequency(
        before=found.chance_before, after=found.chance_if_negative
    )
    return (
        f"about {counts.after} in {counts.of} (between {counts.low} and {counts.high})"
    )


def hang(label: str, text: str, *, style: str = "", indent: int = 1) -> "Text":
    """A label, and text beside it that wraps under itself, in 80 columns."""
    import textwrap

    from rich.text import Text

    left = " " * indent + label.ljust(LABEL_WIDTH)
    lines = textwrap.wrap(text, WIDTH - len(left), break_on_hyphens=False) or [""]
    found = Text(left, style="dim")
    for number, line in enumerate(lines):
        if number:
            found.append("\n" + " " * len(left))
        found.append(line, style=style or "default")
    return found


def kennel_name(book: "Book") -> str:
    """The kennel's name, or words for one that has none yet."""
    return book.kennel.name if book.kennel is not None else "This kennel"


def short_day(day: date) -> str:
    """`Wed 25 Nov`."""
    return f"{day:%a} {day.day} {day:%b}"


def window_words(first: date, last: date, *, on: date) -> str:
    """`today`, `by Wed 25 Nov`, `was due by Tue 24 Nov`, `from Sun 29 Nov to Wed 2 Dec`."""
    if last < on:
        return f"was due by {short_day(last)}"
    if first == last:
        return "today" if first == on else f"on {short_day(first)}"
    if first <= on:
        return f"by {short_day(last)}"
    return f"{short_day(first)} to {short_day(last)}"


def with_when(says: str, when: str) -> str:
    """A sentence and its days, where it does not name a day itself."""
    bare = says.rstrip(".")
    if NAMES_A_DAY.search(says) or says.endswith((" today.", " now.")):
        return f"{bare}."
    return f"{bare}: {when}."


def due_lines(
    items: "Sequence[DueItem]", *, book: "Book", on: date
) -> Iterable["Text"]:
    """Due items under their state, in the order they came (that of the daily walk)."""
    from rich.text import Text

    if not items:
        yield Text(" Nothing is due.")
        return
    for state in STATE_WORDS:
        chosen = [item for item in items if item.state == state]
        if not chosen:
            continue
        yield Text(
            f"\n {STATE_WORDS[state]} ({len(chosen)})", STATE_STYLES.get(state, "")
        )
        for item in chosen:
            yield from due_item_lines(item, book=book, on=on)


def due_item_lines(item: "DueItem", *, book: "Book", on: date) -> Iterable["Text"]:
    """One due item: for whom and what, then when, why and by which rule."""
    action = item.action
    name = book.name_of(action.subject) if action.subject_kind != "kennel" else "Kennel"
    when = window_words(action.window.first, action.window.last, on=on)
    yield hang(name[: LABEL_WIDTH - 1], str(action.says), style="bold")
    yield hang("", f"{when}. {action.because}")
    yield hang("", f"rule {action.rule.rule} ({action.rule.provenance})", style="dim")
