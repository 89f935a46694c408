"""What a dog's page shows, gathered from the book as plain values."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from kennelward.kennel import Book, CourseCard, DogCard, Entry, LitterCard
from kennelward.kennel import facts as f

BREEDING = (f.Mated, f.CycleNoted, f.Whelped, f.PuppyDied, f.PregnancyLost)
TICK_DAYS_BACK = 3  # days of a course that can still be ticked late


@dataclass(frozen=True, slots=True, kw_only=True)
class Giving:
    """One giving of a course on a day."""

    day: date
    nth: int
    is_given: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseView:
    """A course with the givings of the days around today."""

    card: CourseCard
    state: str  # "to come" | "running" | "over"
    days: tuple[tuple[date, tuple[Giving, ...]], ...]
    given: int
    expected: int  # givings up to and with today
    in_all: int


def course_view(*, card: CourseCard, on: date) -> CourseView:
    """A course as of `on`: what was given, what can be ticked."""
    facts = card.facts
    last = min(on, facts.ends_on)
    first = max(facts.starts_on, last - timedelta(days=TICK_DAYS_BACK))
    days = []
    day = last
    while day >= first:
        givings = tuple(
            Giving(day=day, nth=nth, is_given=(day, nth) in card.given)
            for nth in range(1, facts.times_a_day + 1)
        )
        days.append((day, givings))
        day -= timedelta(days=1)
    length = (facts.ends_on - facts.starts_on).days + 1
    so_far = max(0, (last - facts.starts_on).days + 1)
    state = "over" if on > facts.ends_on else "running"
    return CourseView(
        card=card,
        state="to come" if on < facts.starts_on else state,
        days=tuple(days),
        given=len(card.given),
        expected=so_far * facts.times_a_day,
        in_all=length * facts.times_a_day,
    )


def courses_of(*, book: Book, dog: str, on: date) -> list[CourseView]:
    """A dog's courses, the latest to end first."""
    cards = [card for card in book.courses.values() if card.dog == dog]
    cards.sort(key=lambda card: card.facts.ends_on, reverse=True)
    return [course_view(card=card, on=on) for card in cards]


@dataclass(frozen=True, slots=True, kw_only=True)
class StayView:
    """A stay with the pen's name and the days it lasted."""

    pen: str
    since: datetime
    until: datetime | None
    days: int


def stays_of(*, book: Book, card: DogCard, at: datetime) -> list[StayView]:
    """Where a dog has been, the latest first."""
    return [
        StayView(
            pen=book.name_of(stay.pen),
            since=stay.since,
            until=stay.until,
            days=((stay.until or at) - stay.since).days,
        )
        for stay in reversed(card.stays)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """A weight on a day."""

    at: datetime
    day: date
    grams: float


def weights_of(*, book: Book, dog: str) -> list[Weight]:
    """A dog's weights, oldest first."""
    return [
        Weight(
            at=entry.happened_at, day=book.happened_on(entry), grams=entry.fact.weight_g
        )
        for entry in book.about(dog)
        if isinstance(entry.fact, f.Weighed)
    ]


def entries_about(
    *, book: Book, dog: str, kinds: tuple[type[f.Fact], ...]
) -> list[Entry]:
    """Live entries of some kinds about a dog, the latest first."""
    return [
        entry for entry in reversed(book.about(dog)) if isinstance(entry.fact, kinds)
    ]


def breeding_of(*, book: Book, dog: str) -> list[Entry]:
    """Matings, seasons, births and losses as dam or sire, the latest first."""
    return [
        entry
        for entry in entries_about(book=book, dog=dog, kinds=BREEDING)
        if dog in (getattr(entry.fact, "dam", ""), getattr(entry.fact, "sire", ""))
        or (
            isinstance(entry.fact, f.PuppyDied)
            and book.litters[entry.fact.litter].dam == dog
        )
    ]


def litters_of(*, book: Book, dog: str) -> list[LitterCard]:
    """Litters a dog is dam or sire of, the latest first."""
    found = [card for card in book.litters.values() if dog in (card.dam, card.sire)]
    return sorted(found, key=lambda card: card.whelped.happened_at, reverse=True)


def littermates(*, book: Book, card: DogCard) -> Sequence[str]:
    """The other puppies of a dog's litter that are entered by name."""
    litter = book.litters.get(card.described.litter)
    return [] if litter is None else [d for d in litter.dogs if d != card.dog]
