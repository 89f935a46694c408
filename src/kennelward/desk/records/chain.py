"""Whether every entry of a book in the database is there, in its order, and unchanged."""

import json
from collections.abc import Iterable
from datetime import datetime

from kennelward.desk.records.links import ChainedText, Verified, verify_chain
from kennelward.desk.records.models import EntryRow
from kennelward.desk.records.queries import only_kennel

ROWS_AT_ONCE = 2000


def verify(kennel: str | None = None, head: str = "") -> Verified:
    """Look at every entry of a kennel (None: the only one), first to last.

    `head` is a hash noted earlier, on a report or in a backup: it must be in the chain.
    Without one, a chain whose end was cut off looks whole. Copies in columns are
    compared with the hashed text too.
    """
    rows = EntryRow.objects.filter(kennel_id=kennel or only_kennel())
    rows = rows.order_by("sequence")
    found = verify_chain((_chained(row) for row in rows.iterator(ROWS_AT_ONCE)), head)
    if found.ok or found.problem.startswith("the book ends"):
        return _columns_agree(rows, found)
    return found


def _chained(row: EntryRow) -> ChainedText:
    return ChainedText(
        sequence=row.sequence,
        entry=row.entry,
        body=row.body,
        previous=row.previous,
        hash=row.hash,
    )


def _columns_agree(rows: "Iterable[EntryRow]", found: Verified) -> Verified:
    """`found`, or the first row whose columns say other than its text."""
    for row in rows:
        column = _differing_column(row)
        if column:
            return Verified(
                ok=False,
                count=row.sequence - 1,
                head=row.previous,
                problem=f"entry {row.sequence} was changed: its column {column} "
                "differs from its text",
                entry=row.entry,
                sequence=row.sequence,
            )
    return found


def _differing_column(row: EntryRow) -> str:
    said = json.loads(row.body)
    columns = {
        "kennel": row.kennel_id,
        "entry": row.entry,
        "kind": row.kind,
        "recorded_by": row.recorded_by,
        "supersedes": row.supersedes,
        "happened_at": row.happened_at,
        "recorded_at": row.recorded_at,
    }
    for name, held in columns.items():
        text = said.get(name)
        if isinstance(held, datetime):
            text = datetime.fromisoformat(text)
        if held != text:
            return name
    return ""
