"""Facts about seasons, matings, litters and losses."""

from dataclasses import dataclass
from typing import ClassVar

from kennelward.kennel.facts.words import MATING_METHODS, Fact, check_choice
from kennelward.terms import check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class Mated(Fact):
    """A mating or insemination; `sire` may be a dog here or a name from outside."""

    kind: ClassVar[str] = "mated"
    dam: str
    sire: str = ""  # dog id here, or empty
    sire_outside: str = ""  # name of a sire not in this book
    method: str = "natural"
    took_place_away: bool = False

    def __post_init__(self) -> None:
        check_choice("method", self.method, MATING_METHODS)


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleNoted(Fact):
    """A day of the season: `season-start`, `lh-surge` or `ovulation`."""

    kind: ClassVar[str] = "cycle-noted"
    dam: str
    what: str

    def __post_init__(self) -> None:
        check_choice("what", self.what, ("season-start", "lh-surge", "ovulation"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Whelped(Fact):
    """A litter is born. Puppies kept by name are dogs with this `litter`."""

    kind: ClassVar[str] = "whelped"
    litter: str  # id
    name: str  # what the litter is called
    dam: str
    sire: str = ""
    born_alive: int = 0
    stillborn: int = 0

    def __post_init__(self) -> None:
        check_range("born alive", self.born_alive, low=0, high=30)
        check_range("stillborn", self.stillborn, low=0, high=30)


@dataclass(frozen=True, slots=True, kw_only=True)
class PuppyDied(Fact):
    """A puppy of a litter dies; `dog` where it had been entered by name."""

    kind: ClassVar[str] = "puppy-died"
    litter: str
    dog: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PregnancyLost(Fact):
    """An abortion or loss noticed in a bitch."""

    kind: ClassVar[str] = "pregnancy-lost"
    dam: str
    note: str = ""
