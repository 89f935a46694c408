"""A kennel as it stands and what is planned in it, ready to become a scenario.

Days count from the start of the look ahead; a day before it is negative. Nothing here
depends on the infection: one kennel serves every world and every policy.
"""

from dataclasses import dataclass
from functools import lru_cache

from kennelward.spread.model import NEVER, Event, Happens, PlaceKind
from kennelward.terms import BadInput, check_range

ROUND_AT, CLEAN_AT, OUT_AT, BIRTH_AT, LEAVE_AT = 0.3, 0.38, 0.4, 0.2, 0.9
OUT_FOR, TURN = 1 / 24, 1 / 96  # days in the yard, and between two turns
STEP = 0.0005  # days between two pens of a round: under a minute
SURFACES = ("floor", "porous", "soil")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceNow:
    """A pen or yard. Places stand in the order in which the day's round does them."""

    name: str
    kind: PlaceKind
    surface: str = "floor"

    def __post_init__(self) -> None:
        if self.surface not in SURFACES:
            raise BadInput(
                f"surface must be one of {', '.join(SURFACES)}; got {self.surface!r}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidentNow:
    """A dog that is in the kennel today."""

    uid: int
    name: str
    home: int  # index of its place
    born: float  # day, 0 or before
    is_vaccinated: bool = False  # a full course, as far as the book says
    infected: str = ""  # name of the number that says how likely it carries it today
    litter: int = -1
    leaves_on: float = NEVER
    back_on: float = NEVER  # day on which a dog that is apart now goes back
    back_to: int = -1  # the place it then goes to


@dataclass(frozen=True, slots=True, kw_only=True)
class ComingDog:
    """A dog that is to come in by the gate."""

    uid: int
    on: float
    home: int
    age_days: float
    is_visitor: bool = False
    is_vaccinated: bool = True
    stays_days: float = NEVER


@dataclass(frozen=True, slots=True, kw_only=True)
class ComingLitter:
    """A litter that is due."""

    dam: int  # uid
    on: float
    place: int
    puppies: int
    litter: int
    leaves_after_days: float  # from birth

    def puppy_uid(self, number: int) -> int:
        """Of the `number`th puppy: by dam, day of birth and number, not by order."""
        return (self.dam * 1009 + int(self.on)) * 31 % 2**40 * 32 + number


@dataclass(frozen=True, slots=True, kw_only=True)
class YardUse:
    """A dog let into a yard for a while, on `day` and every `every` days after."""

    dog: int  # uid
    yard: int
    day: int
    every: int  # days
    turn: int = 0  # dogs of one turn are out together, turns follow one another

    def __post_init__(self) -> None:
        check_range("days between yard times", self.every, low=1, high=365)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedMating:
    """Two dogs mate here."""

    dam: int
    sire: int
    on: float


@dataclass(frozen=True, slots=True, kw_only=True)
class KennelNow:
    """The kennel on the first day, and its plans over `days` days."""

    days: int
    places: tuple[PlaceNow, ...]
    residents: tuple[ResidentNow, ...]
    coming: tuple[ComingDog, ...] = ()
    litters: tuple[ComingLitter, ...] = ()
    yards: tuple[YardUse, ...] = ()
    matings: tuple[PlannedMating, ...] = ()
    clean_every_days: float = 7.0
    product: str = "soap"
    isolation_room: int = 1
    quarantine_place: int = -1
    isolation_place: int = -1

    def __post_init__(self) -> None:
        check_range("days", self.days, low=1, high=3000)
        check_range("days between cleanings", self.clean_every_days, low=0.5, high=365)
        uids = [d.uid for d in self.residents] + [d.uid for d in self.coming]
        if len(set(uids)) != len(uids):
            raise BadInput("two dogs of the kennel have the same uid")
        homes = {d.home for d in self.residents} | {d.home for d in self.coming}
        if homes and not 0 <= min(homes) <= max(homes) < len(self.places):
            raise BadInput("a dog's home is not among the kennel's places")

    @property
    def dogs(self) -> int:
        """Dogs here today."""
        return len(self.residents)


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """What a policy changes in the kennel itself, before anything happens."""

    product: str = ""  # class of product; empty: what the kennel uses now
    changes_shoes: bool = False
    refuse_arrivals: bool = False
    refuse_visits: bool = False
    test_visitors: bool = False  # before they come; a positive stays away


@lru_cache(maxsize=8)
def events_of(
    kennel: KennelNow, *, without: frozenset[int] = frozenset()
) -> tuple[Event, ...]:
    """The calendar. The same object for the same kennel, so that it is packed once.

    `without`: dogs by uid that never come.

    A cleaning stands as one decimal log and a wash as keeping all: how much each really
    does belongs to the world and the policy (`cleaning_factor`, `extra_hygiene`).
    """
    found: list[Event] = []
    found += _rounds(kennel)
    found += _yards(kennel)
    for litter in kennel.litters:
        if 0 <= litter.on < kennel.days:
            found.append(
                Event(at=litter.on + BIRTH_AT, what=Happens.BIRTH, a=litter.dam)
            )
            gone = litter.on + litter.leaves_after_days
            found += [
                _leave(litter.puppy_uid(n), gone, kennel.days)
                for n in range(litter.puppies)
                if gone < kennel.days
            ]
    for mating in kennel.matings:
        if mating.on < kennel.days and not {mating.dam, mating.sire} & without:
            found.append(
                Event(
                    at=mating.on + OUT_AT,
                    what=Happens.MATE,
                    a=mating.dam,
                    b=mating.sire,
                )
            )
    for resident in kennel.residents:
        if resident.back_on < min(resident.leaves_on, kennel.days):
            found.append(
                Event(
                    at=resident.back_on + OUT_AT,
                    what=Happens.MOVE,
                    a=resident.uid,
                    b=resident.back_to,
                )
            )
        if resident.leaves_on < kennel.days:
            found.append(_leave(resident.uid, resident.leaves_on, kennel.days))
    for dog in kennel.coming:
        leaves = dog.on + dog.stays_days
        if dog.uid not in without and leaves < kennel.days:
            found.append(_leave(dog.uid, leaves, kennel.days))
    return tuple(found)


def _leave(uid: int, day: float, days: int) -> Event:
    return Event(at=min(day + LEAVE_AT, days - 0.01), what=Happens.LEAVE, a=uid)


def _rounds(kennel: KennelNow) -> list[Event]:
    found = []
    last_clean = -1
    for day in range(kennel.days):
        for place in range(len(kennel.places)):
            at = day + ROUND_AT + 2 * STEP * place
            found.append(Event(at=at, what=Happens.VISIT, a=place))
            found.append(Event(at=at + STEP, what=Happens.WASH, a=0, x=1.0))
        if int(day / kennel.clean_every_days) > last_clean:
            last_clean = int(day / kennel.clean_every_days)
            found += [
                Event(at=day + CLEAN_AT, what=Happens.CLEAN, a=place, x=1.0)
                for place, held in enumerate(kennel.places)
                if held.kind is not PlaceKind.YARD
            ]
    return found


def _yards(kennel: KennelNow) -> list[Event]:
    homes = {dog.uid: dog.home for dog in kennel.residents}
    found = []
    for use in kennel.yards:
        day = use.day
        while day < kennel.days - 1:
            out = day + OUT_AT + use.turn * TURN
            back = Event(
                at=out + OUT_FOR, what=Happens.MOVE, a=use.dog, b=homes[use.dog]
            )
            found.append(Event(at=out, what=Happens.MOVE, a=use.dog, b=use.yard))
            found.append(back)
            day += use.every
    return found
