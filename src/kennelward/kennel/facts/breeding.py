"""Facts about seasons, matings, litters and losses."""

from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from kennelward.kennel.facts.words import MATING_METHODS, SEXES, Fact, check_choice
from kennelward.terms import check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class Mated(Fact):
    """A mating or insemination; `sire` may be a dog here or a name from outside.

    Where nobody saw it, it was on some day from `first_possible_on` to the entry's day.
    """

    kind: ClassVar[str] = "mated"
    dam: str
    sire: str = ""  # dog id here, or empty
    sire_outside: str = ""  # name of a sire not in this book
    method: str = "natural"
    took_place_away: bool = False
    first_possible_on: date | None = None  # where the day is not known

    def __post_init__(self) -> None:
        check_choice("method", self.method, MATING_METHODS)


CYCLE_METHODS = ("lh-test", "progesterone", "cytology", "scan")


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleNoted(Fact):
    """A day of the season: `season-start`, `lh-surge` or `ovulation`."""

    kind: ClassVar[str] = "cycle-noted"
    dam: str
    what: str
    method: str = ""  # how it was found, where that was said

    def __post_init__(self) -> None:
        check_choice("what", self.what, ("season-start", "lh-surge", "ovulation"))
        if self.method:
            check_choice("method", self.method, CYCLE_METHODS)


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


PROGESTERONE_UNITS = ("ng/mL", "nmol/L")
COUNT_METHODS = ("x-ray", "scan")
WHELPING_SIGNS = (
    "temperature-drop",
    "stage-one",
    "hard-straining",
    "weak-straining",
    "resting",
    "green-discharge",
    "heavy-bleeding",
    "puppy-stuck",
    "collapse",
    "placenta",
)
BORN_AS = ("alive", "stillborn", "revived")


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgesteroneMeasured(Fact):
    """A progesterone value as the laboratory gave it, with its unit and assay."""

    kind: ClassVar[str] = "progesterone-measured"
    dam: str
    value: float
    unit: str = "ng/mL"
    assay: str = ""  # laboratories differ: never mixed on one line

    def __post_init__(self) -> None:
        check_choice("unit", self.unit, PROGESTERONE_UNITS)
        check_range("progesterone", self.value, low=0, high=320)


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureTaken(Fact):
    """A rectal temperature."""

    kind: ClassVar[str] = "temperature-taken"
    dog: str
    celsius: float

    def __post_init__(self) -> None:
        check_range(
            "temperature", self.celsius, low=30, high=43, unit="degrees Celsius"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PuppiesCounted(Fact):
    """Puppies counted in the bitch, by X-ray or scan."""

    kind: ClassVar[str] = "puppies-counted"
    dam: str
    method: str
    count: int

    def __post_init__(self) -> None:
        check_choice("method", self.method, COUNT_METHODS)
        check_range("puppies", self.count, low=0, high=25)


@dataclass(frozen=True, slots=True, kw_only=True)
class PregnancyAged(Fact):
    """The vet's scan says how far on she is, in days from ovulation."""

    kind: ClassVar[str] = "pregnancy-aged"
    dam: str
    days_from_ovulation: int

    def __post_init__(self) -> None:
        check_range(
            "days from ovulation",
            self.days_from_ovulation,
            low=14,
            high=65,
            unit="days",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class WhelpingNoted(Fact):
    """What was seen at the whelping box, other than a puppy."""

    kind: ClassVar[str] = "whelping-noted"
    dam: str
    sign: str
    note: str = ""

    def __post_init__(self) -> None:
        check_choice("sign", self.sign, WHELPING_SIGNS)


@dataclass(frozen=True, slots=True, kw_only=True)
class PuppyBorn(Fact):
    """One puppy is out: the time is that of the entry."""

    kind: ClassVar[str] = "puppy-born"
    puppy: str  # id, made by whoever records it; the dog's id once it has a name
    dam: str
    sex: str = ""  # bitch | dog, or empty where nobody looked yet
    marking: str = ""
    weight_g: float | None = None
    born: str = "alive"
    note: str = ""
    shares_sac: bool = False  # twins: no placenta of its own

    def __post_init__(self) -> None:
        check_choice("born", self.born, BORN_AS)
        if self.sex:
            check_choice("sex", self.sex, SEXES)
        if self.weight_g is not None:
            check_range("birth weight", self.weight_g, low=20, high=1500, unit="g")


@dataclass(frozen=True, slots=True, kw_only=True)
class WhelpingEnded(Fact):
    """The bitch is done; `litter` is the litter that was made of the night."""

    kind: ClassVar[str] = "whelping-ended"
    dam: str
    litter: str = ""
    note: str = ""
