"""Fixed ids and the pencil that writes the made-up book."""

import hashlib
import uuid
from datetime import UTC, date, datetime, time, timedelta

from kennelward.kennel import Entry, uuid7
from kennelward.kennel.facts import Fact
from kennelward.kennel.ids import RANDOM_BYTES

KENNEL_NAME = "Ambersedge at Oskerby Fen (made-up demo kennel)"
OWNER = "Mara"
HAND = "Jonas"
VET = "Dr Odile Brackmoor"

_OURS = uuid.UUID("6f1d3c52-8a57-4be1-9d0e-2f9b1a7c4e60")  # namespace of this demo


def fixed_id(what: str) -> str:
    """The same id for the same words, always: UUID version 5 (RFC 9562, section 5.5)."""
    return str(uuid.uuid5(_OURS, what))


KENNEL = fixed_id("kennel")


class Pencil:
    """Collects entries; days count back from `on`, so that the demo is always fresh."""

    def __init__(self, *, on: date) -> None:
        self.on = on
        self._written: list[Entry] = []

    def day(self, days_ago: int) -> date:
        """The day so many days before `on`; a negative number is a day to come."""
        return self.on - timedelta(days=days_ago)

    def moment(self, days_ago: int, clock: str) -> datetime:
        """That day at a time such as `07:15`; the demo's kennel keeps UTC."""
        return datetime.combine(
            self.day(days_ago), time.fromisoformat(clock), tzinfo=UTC
        )

    def write(
        self,
        days_ago: int,
        clock: str,
        fact: Fact,
        *,
        by: str = OWNER,
        after_minutes: int = 1,
        supersedes: str = "",
    ) -> str:
        """Write one fact down, `after_minutes` after it happened; gives the entry's id."""
        happened = self.moment(days_ago, clock)
        recorded = happened + timedelta(minutes=after_minutes)
        mark = f"{len(self._written)} {fact.kind} {days_ago} {clock}"
        noise = hashlib.sha256(mark.encode()).digest()[:RANDOM_BYTES]
        entry = Entry(
            entry=uuid7(at=recorded, noise=noise),
            kennel=KENNEL,
            fact=fact,
            happened_at=happened,
            recorded_at=recorded,
            recorded_by=by,
            supersedes=supersedes,
        )
        self._written.append(entry)
        return entry.entry

    def entries(self) -> tuple[Entry, ...]:
        """Everything written, in the order it was received."""
        return tuple(sorted(self._written, key=lambda entry: entry.recorded_at))
