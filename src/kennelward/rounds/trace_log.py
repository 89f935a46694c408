"""The book's own log of who was where, checked, in days from the first day looked at."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from kennelward.kennel import Book, DogCard, Stay
from kennelward.kennel import facts as f
from kennelward.spread.reach import ContactLog, EffectiveCleaning, Presence
from kennelward.terms import Phrase

CLEANS = (
    "bleach",
    "peroxide",
    "steam",
)  # classes that end a hard floor's contamination


NOON = 0.5  # of a day


@dataclass(frozen=True, slots=True, kw_only=True)
class LogFault:
    """Something in the book that cannot be; tracing went on without the entries."""

    entries: tuple[str, ...]  # ids of what was left out
    on: date
    says: Phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class PenCleaned:
    """A cleaning in the log."""

    pen: str
    at: float  # days from the first day
    product: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceLog:
    """Stays in pens over some days, and what had to be left out."""

    first: date
    on: date
    stays: tuple[Stay, ...]  # by dog, then by time; each ends where the next begins
    cleanings: tuple[PenCleaned, ...]
    faults: tuple[LogFault, ...]
    book: Book

    def day(self, moment: datetime) -> float:
        """Days from the start of `first`, in the kennel's own time; with fractions."""
        start = datetime.combine(self.first, time.min, tzinfo=self.book.zone)
        return (moment - start.astimezone(UTC)) / timedelta(days=1)

    def noon(self, day: date) -> float:
        """The moment that a day's results and signs count for."""
        return (day - self.first).days + NOON

    @property
    def now(self) -> float:
        """Today at noon: a result of today speaks of now."""
        return self.noon(self.on)

    @property
    def days(self) -> int:
        """Days of the log, today included."""
        return (self.on - self.first).days + 1

    def contacts(self, *, survival_days: float) -> ContactLog:
        """The log for reachability. Soil and grass are never made harmless."""
        return ContactLog(
            presences=tuple(
                Presence(
                    dog=stay.dog,
                    place=stay.pen,
                    since=max(self.day(stay.since), 0.0),
                    until=float(self.days)
                    if stay.until is None
                    else max(self.day(stay.until), 0.0),
                    entry=stay.entry,
                )
                for stay in self.stays
            ),
            cleanings=tuple(
                EffectiveCleaning(place=done.pen, at=done.at)
                for done in self.cleanings
                if done.product in CLEANS
                and self.book.pens[done.pen].described.pen_kind != "yard"
            ),
            survival_days=survival_days,
        )


def trace_log(*, book: Book, first: date, on: date) -> TraceLog:
    """The log from `first` to `on`, with every fault that was found in it."""
    faults: list[tuple[LogFault, Stay]] = []
    stays: list[Stay] = []
    for card in sorted(book.dogs.values(), key=lambda card: card.dog):
        stays += _sound(book, card, faults)
    inside = [
        stay
        for stay in stays
        if book.day_of(stay.since) <= on
        and (stay.until is None or book.day_of(stay.until) >= first)
    ]
    log = TraceLog(
        first=first,
        on=on,
        stays=tuple(inside),
        cleanings=(),
        faults=tuple(
            fault
            for fault, stay in faults
            if fault.on <= on
            and (stay.until is None or book.day_of(stay.until) >= first)
        ),
        book=book,
    )
    cleaned = [
        PenCleaned(
            pen=entry.fact.pen,
            at=log.day(entry.happened_at),
            product=entry.fact.product,
        )
        for entry in book.of(f.Cleaned)
        if isinstance(entry.fact, f.Cleaned)
        and entry.fact.pen in book.pens
        and first <= book.happened_on(entry) <= on
    ]
    return replace(log, cleanings=tuple(cleaned))


def _sound(
    book: Book, card: DogCard, faults: list[tuple[LogFault, Stay]]
) -> Iterable[Stay]:
    """A dog's stays without those that cannot be, each up to the next one."""
    kept: list[Stay] = []
    for stay in sorted(card.stays, key=lambda stay: (stay.since, stay.entry)):
        says = _fault(book, card, stay, kept)
        if says is None:
            kept.append(stay)
        else:
            day = book.day_of(stay.since)
            faults.append((LogFault(entries=(stay.entry,), on=day, says=says), stay))
    for number, stay in enumerate(kept):
        until = stay.until
        if number + 1 < len(kept):
            until = kept[number + 1].since
        elif card.left is None and card.stays and stay is not card.stays[-1]:
            until = card.stays[-1].until
        if until is not None and until < stay.since:
            until = stay.since
        yield Stay(
            dog=stay.dog, pen=stay.pen, since=stay.since, until=until, entry=stay.entry
        )


def _fault(book: Book, card: DogCard, stay: Stay, kept: list[Stay]) -> Phrase | None:
    day = book.day_of(stay.since)
    if stay.pen not in book.pens:
        return Phrase(
            "{dog} was moved to a pen that is not in the book.", {"dog": card.name}
        )
    if day < card.described.born_on and not card.described.born_on_is_guess:
        return Phrase("{dog} was moved before it was born.", {"dog": card.name})
    left = card.left
    if left is not None and stay.since > left.happened_at and stay.until is None:
        return Phrase("{dog} was moved after it had left.", {"dog": card.name})
    if kept and kept[-1].since == stay.since and kept[-1].pen != stay.pen:
        return Phrase(
            "{dog} was put into {one} and into {other} at the same moment.",
            {
                "dog": card.name,
                "one": book.name_of(kept[-1].pen),
                "other": book.name_of(stay.pen),
            },
        )
    return None
