"""The kennel book folded into cards: who is where, what is known, up to a moment."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from types import MappingProxyType
from zoneinfo import ZoneInfo

from kennelward.kennel import deal
from kennelward.kennel.cards import (
    CourseCard,
    DogCard,
    LitterCard,
    LotCard,
    PenCard,
    TestCard,
)
from kennelward.kennel.entries import Entry
from kennelward.kennel.facts import Fact, KennelDescribed, LeafletConfirmed
from kennelward.kennel.fold import Fold, entries_that_count, struck_entries


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The whole book of one kennel, read-only.

    Entries that were struck or superseded stay in `entries` and leave `live`. `live`
    is ordered by when things happened, `entries` by when they were received.
    """

    entries: tuple[Entry, ...]
    struck: frozenset[str]  # ids of struck or superseded entries
    live: tuple[Entry, ...]
    kennel: KennelDescribed | None
    zone: ZoneInfo
    dogs: Mapping[str, DogCard]
    pens: Mapping[str, PenCard]
    litters: Mapping[str, LitterCard]
    tests: Mapping[str, TestCard]
    courses: Mapping[str, CourseCard]
    lots: Mapping[str, LotCard]
    leaflets: Mapping[str, LeafletConfirmed]
    _by_kind: Mapping[type[Fact], tuple[Entry, ...]]
    _by_dog: Mapping[str, tuple[Entry, ...]]
    _by_id: Mapping[str, Entry]

    @classmethod
    def from_entries(
        cls, entries: Iterable[Entry], *, until: datetime | None = None
    ) -> "Book":
        """Fold entries, given in the order they were received.

        `until` leaves out what happened after that moment.
        """
        received = tuple(
            entry for entry in entries if until is None or entry.happened_at <= until
        )
        struck = struck_entries(received)
        live = entries_that_count(received, struck)
        fold = Fold(live)
        return cls(
            entries=received,
            struck=struck,
            live=live,
            kennel=fold.kennel,
            zone=fold.zone,
            dogs=MappingProxyType(deal.dog_cards(fold)),
            pens=MappingProxyType(deal.pen_cards(fold)),
            litters=MappingProxyType(deal.litter_cards(fold)),
            tests=MappingProxyType(deal.test_cards(fold)),
            courses=MappingProxyType(deal.course_cards(fold)),
            lots=MappingProxyType(deal.lot_cards(fold)),
            leaflets=MappingProxyType(fold.leaflets),
            _by_kind=MappingProxyType(
                {kind: tuple(found) for kind, found in fold.by_kind.items()}
            ),
            _by_dog=MappingProxyType(
                {dog: tuple(found) for dog, found in fold.by_dog.items()}
            ),
            _by_id=MappingProxyType({entry.entry: entry for entry in received}),
        )

    def day_of(self, moment: datetime) -> date:
        """The kennel's own calendar day at a moment."""
        return moment.astimezone(self.zone).date()

    def happened_on(self, entry: Entry) -> date:
        """The kennel's own calendar day on which an entry happened."""
        return self.day_of(entry.happened_at)

    def of(self, kind: type[Fact]) -> tuple[Entry, ...]:
        """Live entries of one kind, oldest first."""
        return self._by_kind.get(kind, ())

    def about(self, dog: str) -> tuple[Entry, ...]:
        """Live entries about a dog, oldest first.

        Holds those that name it, its tests' readings, its courses' ticks, and its
        litter's birth and losses.
        """
        return self._by_dog.get(dog, ())

    def find(self, entry: str) -> Entry | None:
        """The entry with this id, live or struck, or None."""
        return self._by_id.get(entry)

    @property
    def dogs_here(self) -> tuple[DogCard, ...]:
        """Dogs that are in the kennel now, by name."""
        here = (card for card in self.dogs.values() if card.is_here)
        return tuple(sorted(here, key=lambda card: (card.name.casefold(), card.dog)))

    def tests_of(self, dog: str) -> tuple[TestCard, ...]:
        """A dog's strip tests, oldest first."""
        found = (card for card in self.tests.values() if card.dog == dog)
        return tuple(sorted(found, key=lambda card: card.started.happened_at))

    def name_of(self, subject: str) -> str:
        """What a dog, pen, litter, lot or the kennel is called; the id where unknown."""
        if subject in self.dogs:
            return self.dogs[subject].name
        if subject in self.pens:
            return self.pens[subject].name
        if subject in self.litters:
            return self.litters[subject].name
        if subject in self.lots:
            return self.lots[subject].lot_code
        if self.kennel is not None and self.entries[0].kennel == subject:
            return self.kennel.name
        return subject
