"""What the simulator is told: dogs, places, a calendar, an infection, a policy.

Truth and observation are apart: a policy sees signs that were noticed and test results
that have come back, never an infection.
"""

from dataclasses import dataclass, field
from enum import IntEnum

from kennelward.spread.rules import (
    NEVER,
    Action,
    Closes,
    Policy,
    Rule,
    Scope,
    Trigger,
)
from kennelward.terms import BadInput, check_range

__all__ = (
    "NEVER",
    "Action",
    "Closes",
    "Course",
    "Dog",
    "Event",
    "Happens",
    "Outcome",
    "Place",
    "PlaceKind",
    "Policy",
    "Rule",
    "Scenario",
    "Scope",
    "TestKind",
    "Trigger",
)


FLOOR = 1e-4  # of a dog's full day of shedding; docs/methods/spread.md, section 6


class Happens(IntEnum):
    """Kinds of things on the calendar."""

    MOVE = 0  # dog a to place b
    CLEAN = 1  # place a, x decimal logs; b is 0 where nobody washed it first
    VISIT = 2  # staff in place a
    WASH = 3  # staff change and wash: x of the load is kept
    MATE = 4  # dogs a and b
    BIRTH = 5  # dam a whelps where she is
    LEAVE = 6  # dog a; x is 1 where it is sold, and waits while sales are closed


class PlaceKind(IntEnum):
    """What a place is for."""

    HOME = 0
    YARD = 1
    QUARANTINE = 2
    ISOLATION = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Dog:
    """A dog, now here or to come. `uid` never depends on a policy or on order."""

    uid: int
    home: int  # index of its place
    arrives_on: float = -1.0  # below 0: here from the start
    susceptibility: float = 1.0  # against an average grown dog
    protected_until: float = -1.0  # by maternal antibody or vaccine
    chance_infected: float = 0.0  # at the start, or on arrival
    from_outside: float = 0.0  # hazard a day of bringing it in while here, once
    litter: int = -1
    dam: int = -1  # uid
    is_born: bool = False  # comes at its home: no quarantine, no gate, no arrival test
    is_visitor: bool = False
    vaccinations: tuple[float, ...] = ()  # days; below 0: before the start
    blocked_until: float = -1e9  # antibody from the dam lets no vaccine take until then

    def __post_init__(self) -> None:
        check_range("susceptibility", self.susceptibility, low=0, high=10)
        check_range("chance infected", self.chance_infected, low=0, high=1)
        check_range("hazard from outside", self.from_outside, low=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A pen or yard."""

    kind: PlaceKind = PlaceKind.HOME
    decay: float = 0.1  # of contamination, a day
    cleaning_works: float = 1.0  # 1 sealed floor, 0 soil and grass
    near: tuple[int, ...] = ()  # places whose air reaches it

    def __post_init__(self) -> None:
        check_range("decay", self.decay, low=0, high=50)
        check_range("cleaning works", self.cleaning_works, low=0, high=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing on the calendar, at `at` days.

    A dog is named by its uid, a place by its index.
    """

    at: float
    what: Happens
    a: int
    b: int = -1
    x: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TestKind:
    """A test as the simulator uses it."""

    __test__ = False  # not a test case of pytest

    sensitivity_silent: float  # while shedding, no signs
    sensitivity_sick: float  # while shedding, with signs
    specificity: float = 1.0
    correlation: float = 0.3  # between repeats on one infection; prior, unsourced
    delay_days: float = 0.0
    antibody_from: float = -1.0  # 0 or more: antibody test, nothing before this day
    antibody_full: float = -1.0  # day from which it has all its sensitivity
    price: float = 0.0

    def __post_init__(self) -> None:
        for name in ("sensitivity_silent", "sensitivity_sick", "specificity"):
            check_range(name, getattr(self, name), low=0, high=1)
        check_range("correlation", self.correlation, low=0, high=0.95)


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """How an infection runs and spreads.

    `latency`, `shedding` and `sign_delay` are quantile tables of 257 values at shares
    0, 1/256, ... 1. Sheds 1 for the first `full_share` of the shedding time and `tail`
    after. Rates are a day.
    """

    name: str
    latency: tuple[float, ...]
    shedding: tuple[float, ...]
    sign_delay: tuple[float, ...]  # from the start of shedding
    direct: float  # hazard from one fully shedding dog in the same place
    from_place: float  # hazard from one unit of contamination
    full_share: float = 1.0
    tail: float = 0.0
    deposit: float = 1.0
    chance_clinical: float = 0.5
    chance_death: float = 0.0  # of clinical dogs
    notice: float = 0.7  # chance a day that staff notice signs
    carried_days: float = 0.0  # a dog that brings it in caught it up to so long before
    again: float = -1.0  # susceptibility after recovery; below 0: immune
    is_chronic: bool = False  # never stops shedding
    staff_pick: float = 0.0
    staff_drop: float = 0.0
    venereal: float = 0.0  # chance a mating with a shedding dog infects
    birth_exposure: float = 0.0  # chance for each dog in the place
    birth_pulse: float = 0.0  # contamination left by an infected dam's whelping
    unwashed: float = 1.0  # of a cleaning's logs where nobody washed first
    on_share: float = 1.0  # of the blocks of days in which an infected dog sheds
    on_days: int = 1  # days in a block: it sheds through it or not at all
    from_air: float = 0.0  # hazard from one fully shedding dog in a near place
    vaccine_keeps: float = 1.0  # susceptibility of a dog once its vaccine has taken
    vaccine_days: float = 0.0  # from the vaccination until it has
    vary_direct: float = 0.0  # sd of the log of what we do not know
    vary_place: float = 0.0
    vary_decay: float = 0.0

    def __post_init__(self) -> None:
        for name in ("latency", "shedding", "sign_delay"):
            table = getattr(self, name)
            if len(table) != 257 or list(table) != sorted(table):
                raise BadInput(f"{name} needs 257 rising quantiles, got {len(table)}")
        check_range("direct", self.direct, low=0)
        check_range("from_place", self.from_place, low=0)
        check_range("from_air", self.from_air, low=0)
        check_range("share of shedding blocks", self.on_share, low=0, high=1)
        check_range("days of a shedding block", self.on_days, low=1, high=365)

    def takes_on(self, dog: Dog) -> float:
        """The day from which a vaccination of its own protects a dog, or `NEVER`."""
        days = [day for day in dog.vaccinations if day >= dog.blocked_until]
        return min(days) + self.vaccine_days if days else NEVER


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """A kennel over `days` days."""

    dogs: tuple[Dog, ...]
    places: tuple[Place, ...]
    events: tuple[Event, ...]
    course: Course
    test: TestKind
    days: int
    quarantine_place: int = -1
    isolation_place: int = -1
    start_contamination: tuple[float, ...] = field(default=())
    floor: float = FLOOR  # contamination, or load of staff, below this is none

    def __post_init__(self) -> None:
        if len({dog.uid for dog in self.dogs}) != len(self.dogs):
            raise BadInput("two dogs have the same uid")
        for dog in self.dogs:
            check_range("home", dog.home, low=0, high=len(self.places) - 1)
        check_range("days", self.days, low=1, high=3000)
        check_range("floor", self.floor, low=0, high=1)
        apart = (PlaceKind.QUARANTINE, PlaceKind.ISOLATION)
        for event in self.events:
            if event.what is Happens.MOVE and self.places[event.b].kind in apart:
                raise BadInput(
                    f"on day {event.at:g} the calendar moves dog {event.a} apart; "
                    "only a policy does that: leave the move out"
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What happened in one run."""

    cases: int  # infected after the start, arrivals that brought it in left out
    carried_in: int
    sick_days: float
    apart_days: float
    deaths: int
    litters: int
    tests: int
    cost: float
    noticed_on: float  # first case known to the kennel; NEVER if none
    infected_at_end: int
    closed_days: float  # on which anything was closed
    visits: int  # of visiting dogs that came in
    refused: int  # dogs that did not come in: closed, or positive at the gate
    vaccinated: int
    treated: int
    spent: tuple[float, ...] = ()  # by rule: tests, dog-days, dogs, cleanings or days
