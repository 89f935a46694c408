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
YOUNG_DAYS = 183  # six months
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
    vaccinations: tuple[float, ...] = ()  # days; of a dog without a full course
    dam: int = -1  # uid


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
    vaccinations: tuple[float, ...] = ()  # days, as is planned or usual


@dataclass(frozen=True, slots=True, kw_only=True)
class ComingLitter:
    """A litter that is due."""

    dam: int  # uid
    on: float
    place: int
    puppies: int
    litter: int
    leaves_after_days: float  # from birth
    vaccinated_after_days: tuple[float, ...] = ()  # from birth, as is usual

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
    washes: bool = True  # before the product
    changes_shoes: bool = False
    order: str = ""  # of the day's round; empty: as the kennel does it now


@lru_cache(maxsize=8)
def events_of(
    kennel: KennelNow, *, washes: bool = True, order: str = ""
) -> tuple[Event, ...]:
    """The calendar. The same object for the same kennel, so that it is packed once.

    `washes`: pens are washed before the product. `order`: of the round, see `Habits`.

    A cleaning stands as one decimal log and a wash as keeping all: how much each really
    does belongs to the world and the policy (`cleaning_factor`, `extra_hygiene`).
    """
    found: list[Event] = []
    found += _rounds(kennel, washes=washes, order=order)
    found += _yards(kennel)
    for litter in kennel.litters:
        if 0 <= litter.on < kennel.days:
            found.append(
                Event(at=litter.on + BIRTH_AT, what=Happens.BIRTH, a=litter.dam)
            )
            gone = litter.on + litter.leaves_after_days
            found += [
                _leave(litter.puppy_uid(n), gone, kennel.days, is_sale=True)
                for n in range(litter.puppies)
                if gone < kennel.days
            ]
    for mating in kennel.matings:
        if mating.on < kennel.days:
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
            found.append(
                _leave(
                    resident.uid,
                    resident.leaves_on,
                    kennel.days,
                    is_sale=resident.litter >= 0,
                )
            )
    for dog in kennel.coming:
        leaves = dog.on + dog.stays_days
        if leaves < kennel.days:
            found.append(_leave(dog.uid, leaves, kennel.days))
    return tuple(found)


def _leave(uid: int, day: float, days: int, *, is_sale: bool = False) -> Event:
    at = min(day + LEAVE_AT, days - 0.01)
    return Event(at=at, what=Happens.LEAVE, a=uid, x=float(is_sale))


def round_order(kennel: KennelNow, order: str) -> list[int]:
    """Places in the order of the day's round."""
    places = list(range(len(kennel.places)))
    apart = (PlaceKind.QUARANTINE, PlaceKind.ISOLATION)
    if order == "reversed":
        return places[::-1]
    if order == "sick-last":
        return sorted(places, key=lambda k: kennel.places[k].kind in apart)
    if order == "young-first":
        young = {d.home for d in kennel.residents if -d.born < YOUNG_DAYS}
        young |= {litter.place for litter in kennel.litters}
        return sorted(
            places, key=lambda k: (kennel.places[k].kind in apart, k not in young)
        )
    return places


def _rounds(kennel: KennelNow, *, washes: bool, order: str) -> list[Event]:
    found = []
    last_clean = -1
    places = round_order(kennel, order)
    for day in range(kennel.days):
        for turn, place in enumerate(places):
            at = day + ROUND_AT + 2 * STEP * turn
            found.append(Event(at=at, what=Happens.VISIT, a=place))
            found.append(Event(at=at + STEP, what=Happens.WASH, a=0, x=1.0))
        if int(day / kennel.clean_every_days) > last_clean:
            last_clean = int(day / kennel.clean_every_days)
            found += [
                Event(
                    at=day + CLEAN_AT, what=Happens.CLEAN, a=place, b=int(washes), x=1.0
                )
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
