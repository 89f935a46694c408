"""Reading the book: a snapshot as a `kennel.Book`, the head of the chain."""

import json
import threading
from dataclasses import dataclass
from datetime import datetime

from kennelward.desk.records.models import EntryRow, Kennel
from kennelward.kennel import FIRST_LINK, Book, Entry, entry_from_json
from kennelward.terms import BadInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The newest link of a kennel's chain."""

    hash: str  # FIRST_LINK where the book is empty
    count: int  # entries


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A book as it was read, and how far that was."""

    entries: tuple[Entry, ...]
    head: Head
    book: Book


_held: dict[str, Held] = {}
_lock = threading.Lock()


def kennels() -> list[tuple[str, str]]:
    """Id and name of each kennel, in the order they were made."""
    found = []
    for row in Kennel.objects.order_by("made_at", "pk"):
        described = snapshot(row.pk).kennel
        found.append((row.pk, described.name if described else row.pk))
    return found


def only_kennel() -> str:
    """The id of the only kennel. Raises `BadInput` where there is none, or several."""
    ids = list(
        Kennel.objects.order_by("made_at", "pk").values_list("pk", flat=True)[:9]
    )
    if not ids:
        raise BadInput("there is no kennel in this folder yet; open the desk to begin")
    if len(ids) > 1:
        raise BadInput(f"there are several kennels; name one of {', '.join(ids)}")
    return ids[0]


def is_demo(kennel: str) -> bool:
    """True for the made-up kennel."""
    return Kennel.objects.filter(pk=kennel, is_demo=True).exists()


def head(kennel: str | None = None) -> Head:
    """Hash and number of the newest entry."""
    row = (
        EntryRow.objects.filter(kennel_id=kennel or only_kennel())
        .order_by("-sequence")
        .values_list("hash", "sequence")
        .first()
    )
    return Head(hash=row[0], count=row[1]) if row else Head(hash=FIRST_LINK, count=0)


def snapshot(kennel: str | None = None, until: datetime | None = None) -> Book:
    """The book of a kennel (None: the only one), up to a moment where one is given.

    Kept in this process by the head of its chain; only entries that came since are
    read. Something changed behind the desk's back is found by `verify`, not here.
    """
    held = up_to_date(kennel or only_kennel())
    if until is None:
        return held.book
    return Book.from_entries(held.entries, until=until)


def up_to_date(kennel: str) -> Held:
    """The kennel's book with the head it was read up to."""
    with _lock:
        held = _held.get(kennel)
    fresh = _extended(kennel, held)
    if fresh is not held:
        with _lock:
            _held[kennel] = fresh
    return fresh


def _extended(kennel: str, held: Held | None) -> Held:
    """`held` with what came since; read anew where its last link is not there."""
    since = held.head.count if held else 0
    rows = list(
        EntryRow.objects.filter(kennel_id=kennel, sequence__gte=since)
        .order_by("sequence")
        .values_list("sequence", "hash", "body")
    )
    if held is not None and since:
        if not rows or rows[0][:2] != (since, held.head.hash):
            return _extended(kennel, None)
        rows = rows[1:]
    if held is not None and not rows:
        return held
    entries = (held.entries if held else ()) + tuple(
        entry_from_json(json.loads(body)) for _, _, body in rows
    )
    newest = Head(hash=rows[-1][1], count=rows[-1][0]) if rows else None
    return Held(
        entries=entries,
        head=newest or Head(hash=FIRST_LINK, count=0),
        book=Book.from_entries(entries),
    )


def forget() -> None:
    """Drop what this process keeps; the next snapshot is read anew."""
    with _lock:
        _held.clear()
