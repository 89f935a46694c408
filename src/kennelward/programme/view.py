"""The book laid out for rules: by dog and by day, each index made once when asked for."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from typing import TypeVar

from kennelward.kennel import Book, CourseCard, DogCard, Entry, TestCard
from kennelward.kennel.facts import Fact, KennelDescribed, Observed, OtherResult
from kennelward.programme.rules import ProgrammeRules

LOOK_BACK_DAYS = (
    430  # what happened longer ago sets nothing going; a year and two months
)
APART_KINDS = ("isolation", "quarantine")

Kept = TypeVar("Kept")


class View:
    """One book on one day, as rules look at it. Nothing in it is ever changed."""

    def __init__(self, *, book: Book, rules: ProgrammeRules, on: date) -> None:
        self.book = book
        self.rules = rules
        self.on = on
        self._kept: dict[object, object] = {}
        self._days: dict[str, date] = {}
        self._by_kind: dict[type[Fact], Mapping[str, list[Entry]]] = {}

    def keep(self, key: object, make: Callable[[], Kept]) -> Kept:
        """What `make` gave the first time it was asked for under this key."""
        if key not in self._kept:
            self._kept[key] = make()
        return self._kept[key]  # type: ignore[return-value]

    def number(self, path: str) -> int:
        """A whole number of the handbook, as in force today."""
        return round(self.rules.number(path, self.on))

    def day(self, entry: Entry) -> date:
        """The kennel's day on which an entry happened."""
        day = self._days.get(entry.entry)
        if day is None:
            day = self._days[entry.entry] = self.book.happened_on(entry)
        return day

    def days_ago(self, day: date) -> int:
        """Days from then until today."""
        return (self.on - day).days

    def recent(
        self, kind: type[Fact], *, days: int = LOOK_BACK_DAYS
    ) -> tuple[Entry, ...]:
        """Live entries of a kind from the last days, oldest first."""
        entries = self.book.of(kind)
        since = datetime.combine(self.on - timedelta(days=days), time(), tzinfo=UTC)
        start = bisect_left(entries, since, key=lambda entry: entry.happened_at)
        return entries[start:]

    def by_dog(
        self, kind: type[Fact], *, name: str = "dog"
    ) -> Mapping[str, list[Entry]]:
        """Recent entries of a kind by the dog in their field `name`, oldest first."""

        def index() -> Mapping[str, list[Entry]]:
            found: dict[str, list[Entry]] = defaultdict(list)
            for entry in self.recent(kind, days=4 * LOOK_BACK_DAYS):
                found[getattr(entry.fact, name, "")].append(entry)
            return found

        return self.keep(("by-dog", kind, name), index)

    def of_dog(self, kind: type[Fact], dog: str) -> list[Entry]:
        """Recent entries of a kind about one dog, oldest first."""
        found: list[Entry] = self._of_dog(kind).get(dog, [])
        return found

    def _of_dog(self, kind: type[Fact]) -> Mapping[str, list[Entry]]:
        kept = self._by_kind.get(kind)
        if kept is None:
            kept = self._by_kind[kind] = self.by_dog(kind)
        return kept

    @cached_property
    def here(self) -> Mapping[str, DogCard]:
        """Dogs in the kennel now, by id, in a fixed order."""
        return {
            dog: card for dog, card in sorted(self.book.dogs.items()) if card.is_here
        }

    @cached_property
    def kennel_id(self) -> str:
        """Id of the kennel; empty while the book is."""
        return self.book.entries[0].kennel if self.book.entries else ""

    @cached_property
    def kennel_entry(self) -> str:
        """The entry that kennel-wide daily work hangs on."""
        described = self.book.of(KennelDescribed)
        first = described[0] if described else next(iter(self.book.live), None)
        return first.entry if first is not None else ""

    @cached_property
    def tests(self) -> Mapping[str, list[TestCard]]:
        """Strips that were read, by dog, oldest first."""
        found: dict[str, list[TestCard]] = defaultdict(list)
        since = self.on - timedelta(days=4 * LOOK_BACK_DAYS)
        for card in self.book.tests.values():
            if card.state == "read" and card.started.happened_at.date() >= since:
                found[card.dog].append(card)
        for cards in found.values():
            cards.sort(key=lambda card: card.started.happened_at)
        return found

    def sampled(self, card: TestCard) -> date:
        """The day the strip was started."""
        return self.day(card.started)

    def results(
        self, dog: str, infection: str
    ) -> list[tuple[date, Entry, OtherResult]]:
        """Results by other methods with the day of the sample, oldest sample first."""
        found = [
            (entry.fact.sampled_on or self.day(entry), entry, entry.fact)
            for entry in self.of_dog(OtherResult, dog)
            if isinstance(entry.fact, OtherResult) and entry.fact.infection == infection
        ]
        return sorted(found, key=lambda each: each[0])

    @cached_property
    def courses(self) -> Mapping[str, list[CourseCard]]:
        """Courses the vet wrote, by dog, first to end first."""
        found: dict[str, list[CourseCard]] = defaultdict(list)
        for card in self.book.courses.values():
            if self.days_ago(card.facts.ends_on) <= LOOK_BACK_DAYS:
                found[card.dog].append(card)
        for cards in found.values():
            cards.sort(key=lambda card: (card.facts.ends_on, card.course))
        return found

    def observations(self, dog: str) -> list[tuple[date, Entry, Observed]]:
        """What was observed on one dog in the last months, oldest first."""
        return self._observations.get(dog, [])

    @cached_property
    def _observations(self) -> Mapping[str, list[tuple[date, Entry, Observed]]]:
        found: dict[str, list[tuple[date, Entry, Observed]]] = defaultdict(list)
        for entry in self.recent(Observed, days=120):
            if isinstance(entry.fact, Observed):
                found[entry.fact.dog].append((self.day(entry), entry, entry.fact))
        return found

    def has_signs(self, dog: str) -> bool:
        """True where a dog was last seen with signs, or its last danger check found some."""
        card = self.book.dogs[dog]
        return bool(card.signs or card.danger is not None)

    def is_apart(self, dog: str) -> bool:
        """True where the dog is kept apart by decision or by its pen."""
        card = self.book.dogs.get(dog)
        if card is None:
            return False
        pen = self.book.pens.get(card.pen)
        return card.apart is not None or (
            pen is not None and pen.described.pen_kind in APART_KINDS
        )

    # --- litters as a unit -------------------------------------------------------

    @cached_property
    def unit_of(self) -> Mapping[str, str]:
        """Litter id for every unweaned puppy and for its dam, while both are here."""
        weaned = timedelta(days=self.number("births.unit_days"))
        found: dict[str, str] = {}
        for litter, card in sorted(self.book.litters.items()):
            born = self.day(card.whelped)
            if not born <= self.on < born + weaned or card.dam not in self.here:
                continue
            puppies = [dog for dog in card.dogs if dog in self.here]
            if card.born_alive - len(card.deaths) <= 0 and not puppies:
                continue
            found[card.dam] = litter
            found.update(dict.fromkeys(puppies, litter))
        return found

    def members(self, kind: str, subject: str) -> tuple[str, ...]:
        """Dogs that an action about this subject is about."""
        if kind == "dog":
            return (subject,)
        if kind == "litter" and subject in self.book.litters:
            card = self.book.litters[subject]
            return (card.dam, *card.dogs)
        if kind == "pen" and subject in self.book.pens:
            return self.book.pens[subject].dogs_now
        return ()

    def name(self, kind: str, subject: str) -> str:
        """What the subject is called; a litter goes with its dam."""
        if kind == "kennel":
            return self.book.kennel.name if self.book.kennel else ""
        called = self.book.name_of(subject)
        card = self.book.litters.get(subject) if kind == "litter" else None
        if card is not None and card.dam in self.book.dogs:
            dam = self.book.dogs[card.dam].name
            if called == f"{dam}'s litter":
                return f"{dam} and her litter"
            return f"{called} + {dam}"
        return called
