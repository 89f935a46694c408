"""The only place that writes entries: all or none, once, in one unforked chain."""

import json
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from django.contrib.auth.models import AbstractBaseUser, AnonymousUser
from django.db import transaction

from kennelward.desk.records import queries
from kennelward.desk.records.batch import BookBeingWritten
from kennelward.desk.records.links import ChainedText
from kennelward.desk.records.models import EntryRow, Kennel
from kennelward.desk.records.new_entry import NewEntry
from kennelward.desk.records.permits import check_may_write, name_of, role_of
from kennelward.kennel import Entry, entry_as_json, entry_from_json, facts_as_json, link
from kennelward.terms import BadInput

Writer = AbstractBaseUser | AnonymousUser | str
ROWS_AT_ONCE = 500


@transaction.atomic
def record(
    new: Sequence[NewEntry], *, kennel: str, by: Writer, at: datetime
) -> list[Entry]:
    """Write entries into a kennel's book: all or none.

    An entry that is there already with the same content is left alone and given back,
    so a phone may send twice; with other content it raises `BadInput`, as does any
    entry that cannot be true (`kennel.check_entry`) or that `by`'s role may not write.
    `at` is the moment of recording, set by the server. Gives one entry for each in
    `new`, as it stands in the book.
    """
    lock_kennel(kennel)
    role = role_of(kennel, by)
    stored = _stored(kennel, [one.entry for one in new])
    book = BookBeingWritten(queries.snapshot(kennel))
    written: list[Entry] = []
    fresh: list[Entry] = []
    for one in new:
        known = stored.get(one.entry)
        if known is not None:
            _check_same(known, one)
            written.append(known)
            continue
        entry = _entry(one, kennel=kennel, by=by, at=at)
        check_may_write(book.book, entry, role=role)
        book.check(entry, now=at)
        book.add(entry)
        stored[entry.entry] = entry
        fresh.append(entry)
        written.append(entry)
    append(kennel, fresh)
    return written


@transaction.atomic
def load_entries(
    entries: Sequence[Entry], photos: Iterable[bytes] = (), is_demo: bool = False
) -> str:
    """Put a ready-made book, as it is, into a database without that kennel; its id.

    The entries are chained in the order given. Raises `BadInput` where they belong to
    several kennels, or the kennel is here already.
    """
    ids = {entry.kennel for entry in entries}
    if len(ids) != 1:
        raise BadInput(f"a book belongs to one kennel; these entries name {len(ids)}")
    kennel = make_kennel(
        ids.pop(), at=min(entry.recorded_at for entry in entries), is_demo=is_demo
    )
    append(kennel, entries)
    from kennelward.desk.photos import store_photo
    from kennelward.terms import Unreadable

    for data in photos:
        stored = store_photo(
            data, kennel=kennel, by=entries[-1].recorded_by, at=entries[-1].recorded_at
        )
        if isinstance(stored, Unreadable):
            raise BadInput(f"a photo of the book cannot be read: {stored.says}")
    return kennel


def make_kennel(kennel: str, *, at: datetime, is_demo: bool = False) -> str:
    """A kennel with an empty book; its id. Raises `BadInput` where it is here already."""
    _check_id(kennel)
    if Kennel.objects.filter(pk=kennel).exists():
        raise BadInput(f"the kennel {kennel} is in this folder already")
    Kennel.objects.create(pk=kennel, made_at=at, is_demo=is_demo)
    return kennel


def lock_kennel(kennel: str) -> None:
    """Hold the kennel's row until the transaction ends, so that the chain cannot fork.

    SQLite has no row locks; there the transaction took the writing lock at its start.
    """
    if not Kennel.objects.select_for_update().filter(pk=kennel).exists():
        raise BadInput(f"no kennel with the id {kennel!r} here; reload the page")


def append(kennel: str, entries: Sequence[Entry]) -> None:
    """Chain entries behind the kennel's newest one, unchecked. Inside a transaction."""
    newest = queries.head(kennel)
    previous, sequence = newest.hash, newest.count
    rows = []
    for entry in entries:
        values = entry_as_json(entry)
        linked = link(previous, values)
        sequence += 1
        rows.append(
            EntryRow(
                kennel_id=kennel,
                sequence=sequence,
                entry=entry.entry,
                kind=entry.fact.kind,
                happened_at=entry.happened_at,
                recorded_at=entry.recorded_at,
                recorded_by=entry.recorded_by,
                supersedes=entry.supersedes,
                body=as_text(values),
                previous=previous,
                hash=linked,
            )
        )
        previous = linked
    EntryRow.objects.bulk_create(rows, batch_size=ROWS_AT_ONCE)


def append_texts(kennel: str, entries: Iterable[ChainedText]) -> None:
    """Entries of a verified backup, text and links as they were. Inside a transaction."""
    rows: list[EntryRow] = []
    for one in entries:
        entry = entry_from_json(json.loads(one.body))
        if (entry.kennel, entry.entry) != (kennel, one.entry):
            raise BadInput(f"entry {one.sequence} of the backup belongs elsewhere")
        rows.append(
            EntryRow(
                kennel_id=kennel,
                sequence=one.sequence,
                entry=entry.entry,
                kind=entry.fact.kind,
                happened_at=entry.happened_at,
                recorded_at=entry.recorded_at,
                recorded_by=entry.recorded_by,
                supersedes=entry.supersedes,
                body=one.body,
                previous=one.previous,
                hash=one.hash,
            )
        )
    EntryRow.objects.bulk_create(rows, batch_size=ROWS_AT_ONCE)


def as_text(values: dict[str, Any]) -> str:
    """An entry's JSON in the fixed form that `kennel.link` hashes."""
    return json.dumps(values, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def _stored(kennel: str, ids: Sequence[str]) -> dict[str, Entry]:
    """Entries of those ids that are in the book."""
    bodies = EntryRow.objects.filter(kennel_id=kennel, entry__in=ids).values_list(
        "body", flat=True
    )
    found = (entry_from_json(json.loads(body)) for body in bodies)
    return {entry.entry: entry for entry in found}


def _check_same(known: Entry, sent: NewEntry) -> None:
    """Raise `BadInput` unless what is sent again is what stands in the book."""
    is_same = (
        known.fact.kind == sent.fact.kind
        and facts_as_json(known.fact) == facts_as_json(sent.fact)
        and known.supersedes == sent.supersedes
        and sent.happened_at in (None, known.happened_at)
    )
    if not is_same:
        raise BadInput(
            "this was saved already, with other content; reload the page, then strike "
            "the first entry through if it is wrong"
        )


def _entry(sent: NewEntry, *, kennel: str, by: Writer, at: datetime) -> Entry:
    _check_id(sent.entry)
    entry = Entry(
        entry=sent.entry,
        kennel=kennel,
        fact=sent.fact,
        happened_at=sent.happened_at or at,
        recorded_at=at.astimezone(UTC),
        recorded_by=name_of(by),
        supersedes=sent.supersedes,
    )
    try:
        as_text(entry_as_json(entry)).encode()
    except UnicodeEncodeError as error:
        raise BadInput("the text holds half a character; type it again") from error
    return entry


def _check_id(text: str) -> None:
    """Raise `BadInput` unless `text` is a UUID as `kennel.uuid7` writes it."""
    try:
        is_good = str(UUID(text)) == text
    except ValueError:
        is_good = False
    if not is_good:
        raise BadInput("the id of the entry is no UUID; reload the page and save again")
