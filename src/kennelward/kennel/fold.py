"""Folding live entries into cards. The only mutable part of the room, and private to it."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from kennelward.kennel import facts as f
from kennelward.kennel.cards import (
    ApartState,
    Stay,
)
from kennelward.kennel.entries import Entry


def struck_entries(entries: Iterable[Entry]) -> frozenset[str]:
    """Ids that no longer count: struck through, or superseded by a live entry.

    Striking a strike brings the first entry back, so later strikes are looked at first.
    """
    received = list(entries)
    struck: set[str] = set()
    for entry in reversed(received):
        if isinstance(entry.fact, f.Struck) and entry.entry not in struck:
            struck.add(entry.fact.entry)
    struck.update(
        entry.supersedes
        for entry in received
        if entry.supersedes and entry.entry not in struck
    )
    return frozenset(struck)


def entries_that_count(
    entries: Iterable[Entry], struck: frozenset[str]
) -> tuple[Entry, ...]:
    """Entries not struck, by when they happened; equal moments keep their order."""
    return tuple(
        sorted(
            (entry for entry in entries if entry.entry not in struck),
            key=lambda entry: entry.happened_at,
        )
    )


@dataclass(slots=True)
class HeldDog:
    described: f.DogDescribed
    first_entry: str
    arrived: Entry | None = None
    left: Entry | None = None
    stays: list[Stay] = field(default_factory=list)
    signs: tuple[str, ...] = ()
    signs_since: date | None = None
    signs_entry: str = ""
    last_observed_on: date | None = None
    apart: ApartState | None = None
    danger: Entry | None = None


@dataclass(slots=True)
class HeldTest:
    started: Entry
    facts: f.TestStarted
    seen: Entry | None = None
    measured: list[Entry] = field(default_factory=list)
    dropped: Entry | None = None


@dataclass(slots=True)
class HeldLot:
    received: Entry
    facts: f.LotReceived
    left: int


class Fold:
    """Cards from live entries, ordered by when they happened."""

    def __init__(self, live: tuple[Entry, ...]) -> None:
        self.kennel: f.KennelDescribed | None = None
        self.leaflets: dict[str, f.LeafletConfirmed] = {}
        self.by_kind: dict[type[f.Fact], list[Entry]] = defaultdict(list)
        self.by_dog: dict[str, list[Entry]] = defaultdict(list)
        self.dogs: dict[str, HeldDog] = {}
        self.pens: dict[str, f.PenDescribed] = {}
        self.litters: dict[str, tuple[Entry, f.Whelped]] = {}
        self.deaths: dict[str, list[Entry]] = defaultdict(list)
        self.tests: dict[str, HeldTest] = {}
        self.courses: dict[str, tuple[Entry, f.CourseWritten]] = {}
        self.given: dict[str, set[tuple[date, int]]] = defaultdict(set)
        self.lots: dict[str, HeldLot] = {}
        self.zone = _zone(live)
        for entry in live:
            self.by_kind[type(entry.fact)].append(entry)
        # Who and what there is comes first: an arrival may be dated before the entry
        # that described the dog.
        for kind in _DESCRIBES:
            for entry in self.by_kind.get(kind, ()):
                _TAKE[kind](self, entry, entry.fact)
        for entry in live:
            if type(entry.fact) not in _DESCRIBES:
                take = _TAKE.get(type(entry.fact))
                if take is not None:
                    take(self, entry, entry.fact)
        self.pups: dict[str, list[str]] = defaultdict(list)
        for dog, held in self.dogs.items():
            if held.described.litter:
                self.pups[held.described.litter].append(dog)
        for entry in live:
            for dog in self._dogs_named(entry.fact):
                self.by_dog[dog].append(entry)

    def _dogs_named(self, fact: f.Fact) -> tuple[str, ...]:
        """Dogs an entry is about, each once."""
        named: list[str] = [
            getattr(fact, name)
            for name in ("dog", "dam", "sire")
            if getattr(fact, name, "")
        ]
        test = self.tests.get(getattr(fact, "test", ""))
        if test is not None:
            named.append(test.facts.dog)
        course = self.courses.get(getattr(fact, "course", ""))
        if course is not None:
            named.append(course[1].dog)
        if isinstance(fact, f.Whelped | f.PuppyDied):
            named.extend(self.pups.get(fact.litter, ()))
            if fact.litter in self.litters:
                named.append(self.litters[fact.litter][1].dam)
        if isinstance(fact, f.PoolTested):
            named.extend(fact.dogs)
        if isinstance(fact, f.Noted) and fact.about in self.dogs:
            named.append(fact.about)
        return tuple(dict.fromkeys(named))

    def day(self, entry: Entry) -> date:
        """The kennel's own calendar day of an entry."""
        return entry.happened_at.astimezone(self.zone).date()

    # --- taking one fact each ---------------------------------------------------

    def _take_kennel(self, entry: Entry, fact: f.KennelDescribed) -> None:
        self.kennel = fact

    def _take_pen(self, entry: Entry, fact: f.PenDescribed) -> None:
        self.pens[fact.pen] = fact

    def _take_dog(self, entry: Entry, fact: f.DogDescribed) -> None:
        held = self.dogs.get(fact.dog)
        if held is None:
            self.dogs[fact.dog] = HeldDog(described=fact, first_entry=entry.entry)
        else:
            held.described = fact

    def _take_arrived(self, entry: Entry, fact: f.Arrived) -> None:
        held = self.dogs.get(fact.dog)
        if held is not None:
            held.arrived, held.left = entry, None
            self._into_pen(held, entry, fact.dog, fact.pen)

    def _take_left(self, entry: Entry, fact: f.Left) -> None:
        self._gone(fact.dog, entry)

    def _take_moved(self, entry: Entry, fact: f.Moved) -> None:
        held = self.dogs.get(fact.dog)
        if held is not None:
            self._into_pen(held, entry, fact.dog, fact.pen)

    def _into_pen(self, held: HeldDog, entry: Entry, dog: str, pen: str) -> None:
        self._end_stay(held, entry)
        if pen:
            held.stays.append(
                Stay(dog=dog, pen=pen, since=entry.happened_at, entry=entry.entry)
            )

    def _end_stay(self, held: HeldDog, entry: Entry) -> None:
        if held.stays and held.stays[-1].until is None:
            last = held.stays[-1]
            held.stays[-1] = Stay(
                dog=last.dog,
                pen=last.pen,
                since=last.since,
                until=entry.happened_at,
                entry=last.entry,
            )

    def _gone(self, dog: str, entry: Entry) -> None:
        held = self.dogs.get(dog)
        if held is not None:
            self._end_stay(held, entry)
            held.left = entry

    def _take_apart(self, entry: Entry, fact: f.KeptApart) -> None:
        held = self.dogs.get(fact.dog)
        if held is not None:
            held.apart = ApartState(
                since=self.day(entry), infection=fact.infection, entry=entry.entry
            )

    def _take_apart_ended(self, entry: Entry, fact: f.ApartEnded) -> None:
        held = self.dogs.get(fact.dog)
        if held is not None:
            held.apart = None

    def _take_observed(self, entry: Entry, fact: f.Observed) -> None:
        held = self.dogs.get(fact.dog)
        if held is None:
            return
        held.last_observed_on = self.day(entry)
        if not fact.signs:
            held.signs_since, held.signs_entry = None, ""
        elif not held.signs:
            held.signs_since, held.signs_entry = self.day(entry), entry.entry
        held.signs = fact.signs

    def _take_danger(self, entry: Entry, fact: f.DangerChecked) -> None:
        held = self.dogs.get(fact.dog)
        if held is not None:
            held.danger = entry

    def _take_whelped(self, entry: Entry, fact: f.Whelped) -> None:
        self.litters[fact.litter] = (entry, fact)

    def _take_puppy_died(self, entry: Entry, fact: f.PuppyDied) -> None:
        self.deaths[fact.litter].append(entry)
        self._gone(fact.dog, entry)

    def _take_started(self, entry: Entry, fact: f.TestStarted) -> None:
        self.tests[fact.test] = HeldTest(started=entry, facts=fact)
        if fact.lot in self.lots:
            self.lots[fact.lot].left = max(0, self.lots[fact.lot].left - 1)

    def _take_seen(self, entry: Entry, fact: f.StripSeen) -> None:
        # The first reading stands: a second look is a measured photo or a fresh strip.
        if fact.test in self.tests and self.tests[fact.test].seen is None:
            self.tests[fact.test].seen = entry

    def _take_measured(self, entry: Entry, fact: f.StripMeasured) -> None:
        if fact.test in self.tests:
            self.tests[fact.test].measured.append(entry)

    def _take_dropped(self, entry: Entry, fact: f.TestDropped) -> None:
        if fact.test in self.tests:
            self.tests[fact.test].dropped = entry

    def _take_course(self, entry: Entry, fact: f.CourseWritten) -> None:
        self.courses[fact.course] = (entry, fact)

    def _take_given(self, entry: Entry, fact: f.GivenTicked) -> None:
        self.given[fact.course].add((fact.day, fact.nth))

    def _take_lot(self, entry: Entry, fact: f.LotReceived) -> None:
        self.lots[fact.lot] = HeldLot(received=entry, facts=fact, left=fact.count)

    def _take_counted(self, entry: Entry, fact: f.LotCounted) -> None:
        if fact.lot in self.lots:
            self.lots[fact.lot].left = fact.count

    def _take_leaflet(self, entry: Entry, fact: f.LeafletConfirmed) -> None:
        self.leaflets[fact.kit] = fact


def _zone(live: tuple[Entry, ...]) -> ZoneInfo:
    """The kennel's time zone by its latest description; UTC where unknown."""
    for entry in reversed(live):
        if isinstance(entry.fact, f.KennelDescribed):
            try:
                return ZoneInfo(entry.fact.time_zone)
            except (ZoneInfoNotFoundError, ValueError):
                break
    return ZoneInfo("UTC")


_TAKE: dict[type[f.Fact], Callable[..., None]] = {
    f.KennelDescribed: Fold._take_kennel,
    f.PenDescribed: Fold._take_pen,
    f.DogDescribed: Fold._take_dog,
    f.Arrived: Fold._take_arrived,
    f.Left: Fold._take_left,
    f.Moved: Fold._take_moved,
    f.KeptApart: Fold._take_apart,
    f.ApartEnded: Fold._take_apart_ended,
    f.Observed: Fold._take_observed,
    f.DangerChecked: Fold._take_danger,
    f.Whelped: Fold._take_whelped,
    f.PuppyDied: Fold._take_puppy_died,
    f.TestStarted: Fold._take_started,
    f.StripSeen: Fold._take_seen,
    f.StripMeasured: Fold._take_measured,
    f.TestDropped: Fold._take_dropped,
    f.CourseWritten: Fold._take_course,
    f.GivenTicked: Fold._take_given,
    f.LotReceived: Fold._take_lot,
    f.LotCounted: Fold._take_counted,
    f.LeafletConfirmed: Fold._take_leaflet,
}

_DESCRIBES: tuple[type[f.Fact], ...] = (
    f.KennelDescribed,
    f.PenDescribed,
    f.DogDescribed,
    f.Whelped,
    f.CourseWritten,
    f.LotReceived,
)
