"""Where a running strip is between its drops and the end of its reading time."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from kennelward.kennel import Book, TestCard
from kennelward.kennel.facts import LeafletConfirmed

WAIT, READ, LATE = "wait", "read", "late"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingTime:
    """The leaflet's minutes on this strip, as moments. Both ends belong to it."""

    started: datetime
    read_from: datetime
    read_until: datetime
    leaflet: LeafletConfirmed

    def phase(self, at: datetime) -> str:
        """`wait`, `read` or `late`."""
        if at < self.read_from:
            return WAIT
        return READ if at <= self.read_until else LATE

    def minutes(self, at: datetime) -> float:
        """Minutes after the drops, never below 0."""
        return max(0.0, round((at - self.started).total_seconds() / 60, 2))

    def seconds_to_next(self, at: datetime) -> int:
        """Whole seconds until the phase changes; 0 where it will not."""
        ends = {WAIT: self.read_from, READ: self.read_until}.get(self.phase(at))
        return max(1, int((ends - at).total_seconds()) + 1) if ends else 0


def reading_time(card: TestCard, *, book: Book) -> ReadingTime | None:
    """The reading time by the kennel's own leaflet; None while none was confirmed."""
    leaflet = book.leaflets.get(card.kit)
    if leaflet is None:
        return None
    started = card.started.happened_at
    return ReadingTime(
        started=started,
        read_from=started + timedelta(minutes=leaflet.read_from_minutes),
        read_until=started + timedelta(minutes=leaflet.read_until_minutes),
        leaflet=leaflet,
    )
