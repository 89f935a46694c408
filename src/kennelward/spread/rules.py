"""What a policy may tell the simulator: rules as data, each a trigger, scope and action.

A rule sees only what staff see: signs that were noticed, results that came back, the
calendar. The fields that a rule takes beside these three are named with each action.
"""

from dataclasses import dataclass
from enum import IntEnum, IntFlag

from kennelward.terms import BadInput, check_range

NEVER = 1e9  # a day that does not come


class Trigger(IntEnum):
    """When a rule fires."""

    ALWAYS = 0  # from the first day
    ARRIVAL = 1  # a dog that stays comes by the gate
    VISIT = 2  # a visiting dog comes
    CALENDAR = 3  # on day `first`, and every `every` days
    SIGNS = 4  # staff notice signs in a dog
    POSITIVE = 5  # a positive result is back
    CASES = 6  # the `cases`th known case within `within` days


class Scope(IntEnum):
    """Whom it is done to."""

    DOG = 0  # the dog that it fired for
    PEN = 1  # all in the pen that this dog is in, or was in before it went apart
    YARD = 2  # all that are let into a yard it is let into too
    LITTER = 3  # its litter and their dam; by the calendar: all puppies with a litter
    ALL = 4
    TRACED = 5  # who is likeliest to have met it: `top` dogs, or chance `at_least`


class Action(IntEnum):
    """What is done. The order is that in which a day's actions are done."""

    TEST = 0  # `every` and `clear_rounds`: in rounds until so many found nothing
    QUARANTINE = 1  # on coming, for `days`; `extend`: all there, from a case among them
    ISOLATE = 2  # for `days`, where there is room
    VACCINATE = 3
    TREAT = 4  # as the vet planned: only the chance `clears` and days `clears_after`
    CLEAN = 5  # the place once, by `amount` decimal logs
    CLOSE = 6  # `closes`, for `days`
    HOLD = 7  # nobody is moved to another pen or yard, for `days`
    PRODUCT = 8  # every cleaning by `amount` decimal logs, for `days`
    HYGIENE = 9  # a wash keeps the share `amount`, for `days`


class Closes(IntFlag):
    """What a closed kennel leaves out."""

    ARRIVALS = 1
    VISITS = 2
    MATINGS = 4
    SALES = 8  # who would leave waits


SWITCHES = (Action.CLOSE, Action.HOLD, Action.PRODUCT, Action.HYGIENE)
ONE_BY_ONE = tuple(action for action in Action if action not in SWITCHES)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """When something happens, do something to someone."""

    trigger: Trigger
    action: Action
    scope: Scope = Scope.DOG
    after: float = 0.0  # days from firing to doing
    days: float = NEVER  # how long
    first: float = 0.0
    every: float = 0.0
    clear_rounds: int = 1
    cases: int = 1
    within: float = NEVER
    top: int = 0
    at_least: float = 1.0
    extend: float = 0.0
    clears: float = 0.0
    clears_after: float = 0.0
    closes: int = 0
    amount: float = 1.0
    spread: float = 0.0  # of decimal logs, as a share either side, drawn each time
    before: bool = False  # a test at the gate: a positive stays away
    until_clear: bool = False  # ends when rounds of tests come clear, if not before

    def __post_init__(self) -> None:
        for name in ("after", "days", "first", "every", "within", "extend"):
            check_range(name, getattr(self, name), low=0)
        for name in ("clears", "at_least", "spread"):
            check_range(name, getattr(self, name), low=0, high=1)
        check_range("cases", self.cases, low=1, high=1000)
        gate = self.trigger in (Trigger.ARRIVAL, Trigger.VISIT)
        if (self.action is Action.QUARANTINE or self.before) and not gate:
            raise BadInput("only dogs that come are put in quarantine or tested before")
        whole = self.trigger in (Trigger.ALWAYS, Trigger.CALENDAR)
        if whole and self.action not in SWITCHES:
            if self.scope not in (Scope.ALL, Scope.LITTER):
                raise BadInput("by the calendar it is done to all, or to all litters")
            if self.trigger is Trigger.ALWAYS:
                raise BadInput("what is done to dogs needs a day or an occasion")
        if self.trigger is Trigger.CALENDAR and self.action in SWITCHES:
            raise BadInput("closing, holding and cleaning rules need an occasion")


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """What the kennel does, and what each thing costs."""

    name: str = "nothing"
    rules: tuple[Rule, ...] = ()
    isolation_room: int = 4  # dogs that can be kept apart at once
    tests_a_day: int = 0  # 0: as many as are wanted
    cleaning_factor: float = 1.0  # on the decimal logs of every cleaning
    cleaning_spread: float = 0.0  # a share either side, drawn for each cleaning
    extra_hygiene: float = 1.0  # on the share that washing keeps
    price_apart_day: float = 0.0
    price_sick_day: float = 0.0
    price_death: float = 0.0

    def __post_init__(self) -> None:
        check_range("isolation room", self.isolation_room, low=0, high=1000)
        check_range("tests a day", self.tests_a_day, low=0, high=10_000)
        check_range("cleaning spread", self.cleaning_spread, low=0, high=1)

    @property
    def ordered(self) -> tuple[Rule, ...]:
        """The rules in the order in which a day's actions are done."""
        return tuple(self.rules[k] for k in self.order)

    @property
    def order(self) -> tuple[int, ...]:
        """For each of `ordered`, which rule of `rules` it is."""
        return tuple(
            sorted(range(len(self.rules)), key=lambda k: (self.rules[k].action, k))
        )
