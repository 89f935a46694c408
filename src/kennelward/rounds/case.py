"""What the book says about one dog and one infection: the case before any figures."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from types import MappingProxyType

from kennelward.kennel import Book, DogCard, Entry
from kennelward.kennel import facts as f
from kennelward.rounds.suspects import Exposure
from kennelward.terms import Call


@dataclass(frozen=True, slots=True, kw_only=True)
class DogCase:
    """One dog as it matters for one infection (or pregnancy), on one day."""

    infection: str
    on: date
    age_days: int | None = None
    signs: tuple[str, ...] = ()
    source: str = "unknown"  # where it came from: words of facts.Arrived.source
    housing: str = "kennel"  # kennel | household
    days_since: Mapping[str, int] = field(default_factory=dict)  # evidence.EVENTS
    is_vaccinated: bool | None = None
    exposures: tuple[
        str, ...
    ] = ()  # "pen-mate", "littermate", "dam", "mate" of a suspect
    mating_method: str = ""
    is_mated_outside: bool = False  # of brucella: an outside dog, or its semen

    def __post_init__(self) -> None:
        object.__setattr__(self, "days_since", MappingProxyType(dict(self.days_since)))


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseResult:
    """One result in a case: a strip of this kennel, or a laboratory's answer."""

    test: str  # kit or method id
    call: Call
    on: date | None = None
    days_sampled: int = 1
    void_reasons: tuple[str, ...] = ()
    entry: str = ""  # what to show when it is tapped
    read_by: str = ""  # of a strip: "person", "reader" (alone) or "both"; else empty


def case_from_book(
    *,
    book: Book,
    dog: str,
    infection: str,
    on: date,
    exposures: Sequence[Exposure] = (),
) -> DogCase:
    """The dog's case on `on`, from entries up to that day.

    `exposures`: how this dog met suspects of the infection, from
    `suspects.exposures_by_dog`.
    """
    card = book.dogs[dog]
    arrived = card.arrived.fact if card.arrived is not None else None
    met = [exposure for exposure in exposures if exposure.last <= on]
    return DogCase(
        infection=infection,
        on=on,
        age_days=card.age_days(on),
        signs=signs_on(book=book, dog=dog, on=on),
        source=arrived.source if isinstance(arrived, f.Arrived) else "home",
        housing="kennel",
        days_since=days_since(
            book=book, card=card, infection=infection, on=on, exposures=met
        ),
        is_vaccinated=is_vaccinated(book=book, dog=dog, infection=infection, on=on),
        exposures=tuple(dict.fromkeys(exposure.how for exposure in met)),
        mating_method=mating_method(book=book, dog=dog, on=on),
        is_mated_outside=infection == "brucella"
        and last_outside_mating(book=book, dog=dog, on=on) is not None,
    )


def is_vaccinated(*, book: Book, dog: str, infection: str, on: date) -> bool | None:
    """True or False where the book holds any vaccination of the dog; None where not."""
    known = None
    for entry in book.about(dog):
        fact = entry.fact
        if isinstance(fact, f.Vaccinated) and book.happened_on(entry) <= on:
            known = (known or False) or infection in fact.against
    return known


def mating_method(*, book: Book, dog: str, on: date) -> str:
    """Method of the bitch's latest mating up to `on`, or empty."""
    method = ""
    for entry in book.about(dog):
        fact = entry.fact
        if (
            isinstance(fact, f.Mated)
            and fact.dam == dog
            and book.happened_on(entry) <= on
        ):
            method = fact.method
    return method


def signs_on(*, book: Book, dog: str, on: date) -> tuple[str, ...]:
    """Signs of the latest observation up to `on`; none after "well again"."""
    signs: tuple[str, ...] = ()
    for entry in book.about(dog):
        if isinstance(entry.fact, f.Observed) and book.happened_on(entry) <= on:
            signs = entry.fact.signs
    return signs


def days_since(
    *,
    book: Book,
    card: DogCard,
    infection: str,
    on: date,
    exposures: Sequence[Exposure] = (),
) -> dict[str, int]:
    """Days from the latest event of each kind up to `on`, by evidence.EVENTS' words."""
    latest: dict[str, date] = {}
    ill_since: date | None = None
    for entry in book.about(card.dog):
        day = book.happened_on(entry)
        if day > on:
            continue
        for event, at in _events(entry, day=day, dog=card.dog, infection=infection):
            if at <= on:
                latest[event] = max(at, latest.get(event, at))
        if isinstance(entry.fact, f.Observed):
            ill_since = (ill_since or day) if entry.fact.signs else None
    if ill_since is not None:
        latest["illness"] = ill_since
    exposed = last_exposure(
        book=book, dog=card.dog, infection=infection, on=on, exposures=exposures
    )
    if exposed is not None:
        latest["exposure"] = exposed
    return {event: (on - day).days for event, day in latest.items()}


def _events(
    entry: Entry, *, day: date, dog: str, infection: str
) -> list[tuple[str, date]]:
    """Events in one entry, with their day."""
    match entry.fact:
        case f.Arrived():
            return [("arrival", day)]
        case f.Vaccinated(against=against, is_live=True) if infection in against:
            return [("live-vaccine", day)]
        case f.CourseWritten(infection=what, ends_on=ends) if what in ("", infection):
            return [("course-end", ends)]
        case f.Mated(dam=dam) if dam == dog:
            return [("mating", day)]
        case f.CycleNoted(dam=dam, what="lh-surge") if dam == dog:
            return [("lh", day)]
        case f.CycleNoted(dam=dam, what="ovulation") if dam == dog:
            return [("ovulation", day)]
        case f.Whelped(dam=dam) if dam == dog:
            return [("whelping", day)]
        case f.PregnancyLost():
            return [("pregnancy-loss", day)]
    return []


def last_exposure(
    *,
    book: Book,
    dog: str,
    infection: str,
    on: date,
    exposures: Sequence[Exposure] = (),
) -> date | None:
    """Last day up to `on` on which the dog could have met the infection.

    Arrival from outside, a mating with an outside dog or away from home (brucella), and
    contact with a suspect here. None where nothing of the kind is in the book.
    """
    days = [exposure.last for exposure in exposures]
    for entry in book.about(dog):
        day = book.happened_on(entry)
        match entry.fact:
            case f.Arrived(dog=who, last_outside_contact_on=contact) if who == dog:
                days.append(contact or day)
    mated = last_outside_mating(book=book, dog=dog, on=on)
    if infection == "brucella" and mated is not None:
        days.append(mated)
    return max((day for day in days if day <= on), default=None)


def last_outside_mating(*, book: Book, dog: str, on: date) -> date | None:
    """Last day up to `on` of a mating away, or with an outside dog or its semen."""
    days = [
        book.happened_on(entry)
        for entry in book.about(dog)
        if _is_outside(book, entry, dog)
    ]
    return max((day for day in days if day <= on), default=None)


def _is_outside(book: Book, entry: Entry, dog: str) -> bool:
    """True for a mating away, with an outside sire, or with another owner's dog."""
    fact = entry.fact
    if not isinstance(fact, f.Mated):
        return False
    partner = fact.sire if fact.dam == dog else fact.dam
    visiting = partner in book.dogs and book.dogs[partner].is_visiting
    return fact.took_place_away or bool(fact.sire_outside) or visiting
