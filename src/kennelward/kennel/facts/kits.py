"""Facts about kits on the shelf, strips run and results from elsewhere."""

from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from kennelward.kennel.facts.words import Fact, check_choice
from kennelward.terms import BadInput, check_range, check_text


@dataclass(frozen=True, slots=True, kw_only=True)
class LeafletConfirmed(Fact):
    """What the leaflet of the kit in use says, typed at its first use."""

    kind: ClassVar[str] = "leaflet-confirmed"
    kit: str  # handbook id
    drops: int
    read_from_minutes: float
    read_until_minutes: float
    storage_low_c: float
    storage_high_c: float
    samples: tuple[str, ...]
    positive_may_be_called_early: bool = False

    def __post_init__(self) -> None:
        check_range("drops", self.drops, low=1, high=20)
        check_range(
            "read from", self.read_from_minutes, low=1, high=120, unit="minutes"
        )
        check_range(
            "read until",
            self.read_until_minutes,
            low=self.read_from_minutes,
            high=240,
            unit="minutes",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LotReceived(Fact):
    """A box of kits comes in."""

    kind: ClassVar[str] = "lot-received"
    lot: str  # id
    kit: str
    lot_code: str  # as printed on the box
    expires_on: date  # the printed date: last day of use
    count: int
    cents_each: int = 0

    def __post_init__(self) -> None:
        check_text("lot code", self.lot_code, longest=60)
        check_range("number of kits", self.count, low=1, high=10_000)
        check_range("price each", self.cents_each, low=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class LotCounted(Fact):
    """The shelf was counted: so many of this lot are left."""

    kind: ClassVar[str] = "lot-counted"
    lot: str
    count: int
    why: str = ""

    def __post_init__(self) -> None:
        check_range("number of kits", self.count, low=0, high=10_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class TestStarted(Fact):
    """Sample on the strip: the clock runs from `happened_at` of this entry."""

    __test__: ClassVar[bool] = False  # not a test case of pytest
    kind: ClassVar[str] = "test-started"
    test: str  # id
    dog: str
    kit: str
    sample: str
    lot: str = ""  # lot id, or empty where none is on the shelf


@dataclass(frozen=True, slots=True, kw_only=True)
class StripSeen(Fact):
    """What a person saw on the strip. Saved before the reader's call is shown."""

    kind: ClassVar[str] = "strip-seen"
    test: str
    call: str  # terms.Call value
    is_faint: bool = False
    minutes: float = 0.0  # after the drops, when it was read


@dataclass(frozen=True, slots=True, kw_only=True)
class StripMeasured(Fact):
    """What the reader made of a photo of the strip."""

    kind: ClassVar[str] = "strip-measured"
    test: str
    call: str
    is_faint: bool = False
    reason: str = ""  # of an unreadable photo
    photo: str = ""  # content hash
    minutes: float = 0.0
    measured: str = ""  # JSON text of the signals, for showing again
    reader: str = ""  # name and version of the reader
    # With the strip's earlier photos, where there are any: the call of them all.
    together_call: str = ""  # empty: there is none
    together_is_faint: bool = False
    together_with: tuple[str, ...] = ()  # entries of all its other photos by then


@dataclass(frozen=True, slots=True, kw_only=True)
class TestDropped(Fact):
    """A started test came to nothing; says why. Its kit is used up."""

    __test__: ClassVar[bool] = False
    kind: ClassVar[str] = "test-dropped"
    test: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherResult(Fact):
    """A result from the vet or a laboratory, by another method."""

    kind: ClassVar[str] = "other-result"
    dog: str
    infection: str
    method: (
        str  # handbook id, such as "flotation", "pcr", "culture", "laboratory-serology"
    )
    call: str  # positive | negative
    days_sampled: int = 1  # samples from so many different days
    sampled_on: date | None = None
    laboratory: str = ""

    def __post_init__(self) -> None:
        check_choice("result", self.call, ("positive", "negative"))
        check_range("days sampled", self.days_sampled, low=1, high=10)


MOST_IN_A_POOL = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class PoolTested(Fact):
    """Samples of several dogs, put together and tested as one by the vet or a laboratory.

    A positive says that one of them at least has it, not which.
    """

    kind: ClassVar[str] = "pool-tested"
    dogs: tuple[str, ...]
    infection: str
    method: str  # handbook id of a method
    call: str  # positive | negative
    sampled_on: date | None = None
    laboratory: str = ""

    def __post_init__(self) -> None:
        check_choice("result", self.call, ("positive", "negative"))
        check_range("dogs in one sample", len(self.dogs), low=2, high=MOST_IN_A_POOL)
        if len(set(self.dogs)) != len(self.dogs):
            raise BadInput("a dog comes up twice in one sample; name each once")
