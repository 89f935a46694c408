"""What is known about one cycle and pregnancy, as the book or a person has it."""

from dataclasses import dataclass
from datetime import date, datetime

from kennelward.litters.gestation import MatingMethod
from kennelward.terms import BadInput, check_range

MOST_COUNTED = 25


@dataclass(frozen=True, slots=True, kw_only=True)
class Mating:
    """One mating or insemination; with `since` it was on some day from then to `on`."""

    on: date
    method: MatingMethod = MatingMethod.NATURAL
    since: date | None = None

    def __post_init__(self) -> None:
        if self.since is not None and self.since > self.on:
            raise BadInput(
                f"a mating between {self.since} and {self.on}: the first day must not "
                "be after the last"
            )

    @property
    def first_day(self) -> date:
        """The first day on which it can have been."""
        return self.since or self.on


@dataclass(frozen=True, slots=True, kw_only=True)
class Progesterone:
    """One progesterone value around the season, or near term."""

    on: date
    ng_per_ml: float
    assay: str = ""  # values of one laboratory's method are off by the same share

    def __post_init__(self) -> None:
        check_range("progesterone", self.ng_per_ml, low=0, high=100, unit="ng/mL")


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureDrop:
    """Rectal temperature fell as the handbook says; `at` in the kennel's own zone."""

    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class PuppyCount:
    """Puppies counted in the bitch."""

    method: str  # "x-ray" | "scan"
    count: int

    def __post_init__(self) -> None:
        if self.method not in ("x-ray", "scan"):
            raise BadInput(f"count by x-ray or scan, got {self.method!r}")
        check_range("puppies counted", self.count, low=0, high=2 * MOST_COUNTED)


@dataclass(frozen=True, slots=True, kw_only=True)
class AgedByScan:
    """The vet's scan put the pregnancy so many days after ovulation."""

    on: date
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
class BreedingFacts:
    """What is known about one pregnancy. Anything may be missing, not everything."""

    lh_on: date | None = None
    ovulation_on: date | None = None
    season_on: date | None = None  # first day of the season
    matings: tuple[Mating, ...] = ()
    progesterone: tuple[Progesterone, ...] = ()
    aged: tuple[AgedByScan, ...] = ()
    counts: tuple[PuppyCount, ...] = ()
    litter_size: int | None = None  # known for sure; else `counts` says how likely
    bitch_size: str = ""  # size class, for the litter that is expected
    temperature_drop: TemperatureDrop | None = None
    not_born_by: date | None = None  # still pregnant at the end of this day

    def __post_init__(self) -> None:
        if not any(
            (
                self.lh_on,
                self.ovulation_on,
                self.season_on,
                self.matings,
                self.progesterone,
                self.aged,
            )
        ):
            raise BadInput(
                "a due date needs the LH day, the ovulation day, a mating, the age on a "
                "scan, the first day of the season, or progesterone values from it"
            )
        if self.litter_size is not None:
            check_range("litter size", self.litter_size, low=1, high=MOST_COUNTED)
