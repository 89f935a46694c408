"""What the book says about one dog, pen, litter, test, course or lot, up to a moment."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from kennelward.kennel.entries import Entry
from kennelward.kennel.facts import (
    CourseWritten,
    DogDescribed,
    Fact,
    LotReceived,
    PenDescribed,
    StripMeasured,
    StripSeen,
    Whelped,
)
from kennelward.terms import MAY_BE_A_LINE, Call

DAYS_A_MONTH = 30.4375  # mean month of the Gregorian year, 365.25 / 12

# From the most cautious to the least: what drives precautions when a person and the
# reader of one strip disagree about an infection.
MOST_CAUTIOUS_FIRST = (Call.POSITIVE, Call.TRACE, Call.INVALID, Call.NEGATIVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """A dog in a pen, from a moment until it left it (None: still there)."""

    dog: str
    pen: str
    since: datetime
    until: datetime | None = None
    entry: str = ""  # entry that began it


@dataclass(frozen=True, slots=True, kw_only=True)
class ApartState:
    """A dog kept apart by decision, whatever its pen."""

    since: date
    infection: str  # suspected one, or empty
    entry: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DogCard:
    """One dog."""

    dog: str
    described: DogDescribed
    first_entry: str
    arrived: Entry | None
    left: Entry | None
    is_here: bool
    pen: str  # id, or empty
    stays: tuple[Stay, ...]
    signs: tuple[str, ...]  # as last observed
    signs_since: date | None  # first day of the present run of signs
    signs_entry: str  # entry that began the present run of signs
    last_observed_on: date | None
    apart: ApartState | None
    danger: Entry | None  # latest danger check

    @property
    def name(self) -> str:
        """What the dog is called."""
        return self.described.name

    @property
    def is_visiting(self) -> bool:
        """True for another owner's dog."""
        return self.described.origin == "visiting"

    def age_days(self, on: date) -> int:
        """Days since birth; 0 on the day itself, never below."""
        return max(0, (on - self.described.born_on).days)

    def age_months(self, on: date) -> float:
        """Age in mean months of 30.44 days."""
        return self.age_days(on) / DAYS_A_MONTH


@dataclass(frozen=True, slots=True, kw_only=True)
class PenCard:
    """One pen or yard and who is in it."""

    pen: str
    described: PenDescribed
    dogs_now: tuple[str, ...]

    @property
    def name(self) -> str:
        """What the pen is called."""
        return self.described.name


@dataclass(frozen=True, slots=True, kw_only=True)
class LitterCard:
    """One litter: its birth, its puppies by name, and its losses."""

    litter: str
    whelped: Entry
    facts: Whelped
    dogs: tuple[str, ...]
    deaths: tuple[Entry, ...]

    @property
    def name(self) -> str:
        """What the litter is called."""
        return self.facts.name

    @property
    def dam(self) -> str:
        """Dog id of the mother."""
        return self.facts.dam

    @property
    def sire(self) -> str:
        """Dog id of the father, or empty."""
        return self.facts.sire

    @property
    def born_alive(self) -> int:
        """Puppies born alive."""
        return self.facts.born_alive

    @property
    def stillborn(self) -> int:
        """Puppies born dead."""
        return self.facts.stillborn


@dataclass(frozen=True, slots=True, kw_only=True)
class TestCard:
    """One strip test: when it started, what was seen and measured."""

    __test__ = False  # not a test case of pytest

    test: str
    dog: str
    kit: str
    sample: str
    lot: str
    started: Entry
    seen: Entry | None
    measured: tuple[Entry, ...]
    dropped: Entry | None
    void_reasons: tuple[
        str, ...
    ]  # why it does not count; empty: it does, or still runs

    @property
    def state(self) -> str:
        """`running`, `read` or `dropped`."""
        if self.dropped is not None:
            return "dropped"
        return "read" if self.seen is not None or self.measured else "running"

    @property
    def person_call(self) -> Call | None:
        """What a person saw, if anyone looked."""
        if self.seen is None or not isinstance(self.seen.fact, StripSeen):
            return None
        return Call(self.seen.fact.call)

    @property
    def together(self) -> StripMeasured | None:
        """The reading that holds the call of all photos, if one holds exactly these.

        A photo struck from the book, or added elsewhere meanwhile, leaves none.
        """
        photos = {entry.entry for entry in self.measured}
        for entry in self.measured:
            fact = entry.fact
            if (
                isinstance(fact, StripMeasured)
                and fact.together_call
                and set(fact.together_with) == photos - {entry.entry}
            ):
                return fact
        return None

    @property
    def reader_call(self) -> Call | None:
        """The reader's call of all photos together; else its most cautious one."""
        if (whole := self.together) is not None:
            return Call(whole.together_call)
        calls = [
            _call_of_photo(entry.fact)
            for entry in self.measured
            if isinstance(entry.fact, StripMeasured)
        ]
        readable = [call for call in calls if call is not Call.UNREADABLE]
        if readable:
            return _most_cautious(readable)
        return Call.UNREADABLE if calls else None

    @property
    def disagree(self) -> bool:
        """True where a person and the reader each made a call and these differ."""
        person, reader = self.person_call, self.reader_call
        if person is None or reader is None:
            return False
        if Call.UNREADABLE in (person, reader):
            return False
        if person is Call.POSITIVE and reader is Call.TRACE:
            return not any(_may_be_a_line(entry.fact) for entry in self.measured)
        return person is not reader

    @property
    def call(self) -> Call:
        """The call that counts.

        A person's reading counts alone, and so does the reader's. Where they differ the
        more cautious one drives precautions; for pregnancy that is "not known, repeat".
        Someone who could not tell is never overruled by a reassuring photo.
        """
        person, reader = self.person_call, self.reader_call
        if person is None or reader is None:
            return person or reader or Call.UNREADABLE
        if reader is Call.UNREADABLE:
            return person
        if person is Call.UNREADABLE:
            return reader if reader is not Call.NEGATIVE else Call.UNREADABLE
        if self.disagree and self.kit == "relaxin":
            return Call.UNREADABLE
        return _most_cautious([person, reader])

    @property
    def is_faint(self) -> bool:
        """True where the line was faint to the person or the reader."""
        lines = (Call.POSITIVE, Call.TRACE)
        whole = self.together
        if whole is not None and whole.together_is_faint:
            return Call(whole.together_call) in lines
        by_reader = self.measured if whole is None else ()
        facts = [entry.fact for entry in (self.seen, *by_reader) if entry is not None]
        return any(
            fact.is_faint and Call(fact.call) in lines
            for fact in facts
            if isinstance(fact, StripSeen | StripMeasured)
        )

    @property
    def read_at(self) -> datetime | None:
        """When it was first read."""
        entries = [entry for entry in (self.seen, *self.measured) if entry is not None]
        return min((entry.happened_at for entry in entries), default=None)

    @property
    def minutes(self) -> float | None:
        """Minutes after the drops at which it was read; the person's where there is one."""
        for entry in (self.seen, *self.measured):
            if entry is not None and isinstance(entry.fact, StripSeen | StripMeasured):
                return entry.fact.minutes
        return None

    @property
    def counts(self) -> bool:
        """True where it was read and nothing voids it."""
        return self.state == "read" and not self.void_reasons


def _may_be_a_line(fact: Fact) -> bool:
    return isinstance(fact, StripMeasured) and fact.reason == MAY_BE_A_LINE


def _call_of_photo(fact: StripMeasured) -> Call:
    """The reader's call; what may be a line asks for the care that a trace does."""
    return Call.TRACE if _may_be_a_line(fact) else Call(fact.call)


def _most_cautious(calls: Sequence[Call]) -> Call:
    return min(calls, key=MOST_CAUTIOUS_FIRST.index)


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseCard:
    """A vet's course and which givings were ticked."""

    course: str
    dog: str
    written: Entry
    facts: CourseWritten
    given: frozenset[tuple[date, int]] = field(default_factory=frozenset)


@dataclass(frozen=True, slots=True, kw_only=True)
class LotCard:
    """A lot of kits on the shelf."""

    lot: str
    received: Entry
    facts: LotReceived
    count_left: int

    @property
    def kit(self) -> str:
        """Handbook id of the kit."""
        return self.facts.kit

    @property
    def lot_code(self) -> str:
        """As printed on the box."""
        return self.facts.lot_code

    @property
    def expires_on(self) -> date:
        """The printed date: the last day of use."""
        return self.facts.expires_on

    @property
    def cents_each(self) -> int:
        """Price of one kit in hundredths of the kennel's currency."""
        return self.facts.cents_each

    def is_expired(self, on: date) -> bool:
        """True after the printed date."""
        return on > self.facts.expires_on
