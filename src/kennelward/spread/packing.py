"""A scenario and a policy as a few arrays, in the one order both engines use.

Dogs are in order of uid, so that the order in which they were given changes nothing.
What does not depend on luck is worked out once here: who is where by the calendar at the
start of each day, and on which days something must happen even in a clean kennel.
"""

from collections.abc import Iterable
from math import ceil
from typing import NamedTuple

import numpy as np

from kennelward.spread.meeting import (
    chances_met,
    shares_together,
    sold,
    yards_used,
)
from kennelward.spread.model import (
    Dog,
    Event,
    Happens,
    PlaceKind,
    Policy,
    Scenario,
)
from kennelward.spread.plain_truth import calendar
from kennelward.spread.tables import detectability, normal_table

ABOUT_DOGS = (Happens.MOVE, Happens.MATE, Happens.BIRTH, Happens.LEAVE)
APART = (PlaceKind.QUARANTINE, PlaceKind.ISOLATION)


class Packed(NamedTuple):
    """Everything that stays the same over runs and policies."""

    fixed: np.ndarray  # (dogs, 9) int64, by `FIXED`
    given: np.ndarray  # (dogs, 6) float64, by `GIVEN`
    pens: np.ndarray  # (places, 5) float64: decay, cleaning works, apart, dirt, yard
    near: np.ndarray  # (places, most) int64: places whose air reaches it, -1 none
    meets: np.ndarray  # (dogs, dogs) float64, `meeting.chances_met`
    events: np.ndarray  # (events, 5) float64, in order of time: at, x, what, a, b
    first_event: np.ndarray  # (days + 1,) int64, first event of each day
    first_turn: np.ndarray  # (3, days + 1) int64 into `turns`, by the kinds of `Turn`
    turns: np.ndarray  # (3, most) int64: dogs that come, lose protection, leave
    next_turn: np.ndarray  # (days + 2,) int64, first day from this one on with a turn
    masks: np.ndarray  # (events,) int64, what must be astir for it to matter
    first_move: np.ndarray  # (days, dogs + 1) int64, into `moves`
    moves: np.ndarray  # (moves, 2) int64: event's number, place; see `_moves`
    moved: np.ndarray  # (moves, 3) int64: event's number, dog, place, in order of time
    moves_before: np.ndarray  # (events + 1,) int64, into `moved`: those before an event
    tables: np.ndarray  # (6, 257) float64, by `Table`
    numbers: np.ndarray  # float64, by `NUMBERS`


FIXED = (
    "uid", "home", "litter", "is_born", "at_start", "is_visitor", "dam", "yards", "sold",
)  # fmt: skip
GIVEN = (
    "susceptibility", "protected_until", "chance", "blocked_until", "takes_on",
    "from_outside",
)  # fmt: skip
NUMBERS = (
    "days", "direct", "from_place", "full_share", "tail", "deposit", "chance_clinical",
    "chance_death", "notice", "again", "is_chronic", "staff_pick", "staff_drop",
    "venereal", "birth_exposure", "birth_pulse", "vary_direct", "vary_place",
    "vary_decay", "specificity", "delay_days", "antibody_from", "antibody_full",
    "test_price", "quarantine_place", "isolation_place", "carried_days", "on_share",
    "on_days", "from_air", "vaccine_keeps", "vaccine_days", "unwashed", "floor",
)  # fmt: skip

POLICY = (
    "isolation_room", "tests_a_day", "cleaning_factor", "cleaning_spread",
    "extra_hygiene", "price_apart_day", "price_sick_day", "price_death",
)  # fmt: skip

RULE = (
    "trigger", "action", "scope", "after", "days", "first", "every", "clear_rounds",
    "cases", "within", "top", "at_least", "extend", "clears", "clears_after", "closes",
    "amount", "spread", "before", "until_clear",
)  # fmt: skip

RESULTS = (
    "cases", "carried_in", "sick_days", "apart_days", "deaths", "litters", "tests",
    "cost", "noticed_on", "infected_at_end", "closed_days", "visits", "refused",
    "vaccinated", "treated",
)  # fmt: skip


class Calendar(NamedTuple):
    """What comes from the calendar and from who lives where; slow to work out."""

    rows: np.ndarray
    first_event: np.ndarray
    masks: np.ndarray
    first_move: np.ndarray
    moves: np.ndarray
    moved: np.ndarray
    moves_before: np.ndarray
    yards: np.ndarray
    shares: np.ndarray
    sold: frozenset[int]


_calendars: dict[tuple[object, ...], tuple[tuple[Event, ...], Calendar]] = {}
KEPT = 16  # calendars


def _calendar(scenario: Scenario, dogs: list[Dog]) -> Calendar:
    """The calendar as arrays; the same tuple of events is worked out once."""
    homes = tuple((dog.uid, dog.home) for dog in dogs)
    key = (id(scenario.events), scenario.days, homes)
    held = _calendars.get(key)
    if held is not None and held[0] is scenario.events:
        return held[1]
    index = {dog.uid: number for number, dog in enumerate(dogs)}
    events = calendar(scenario.events)
    rows = np.array(
        [
            (
                event.at,
                event.x,
                event.what,
                index[event.a] if event.what in ABOUT_DOGS else event.a,
                _other(event, index),
            )
            for event in events
        ],
        dtype=np.float64,
    ).reshape(-1, 5)
    first_move, moves = _moves(events, index, scenario.days)
    found = Calendar(
        rows=rows,
        first_event=np.searchsorted(
            np.ascontiguousarray(rows[:, 0]), np.arange(scenario.days + 1)
        ).astype(np.int64),
        masks=_masks(scenario, events),
        first_move=first_move,
        moves=moves,
        moved=_moved(rows),
        moves_before=np.concatenate([[0], np.cumsum(_is_move(rows))]).astype(np.int64),
        yards=yards_used(dogs, events, scenario.places),
        shares=shares_together(dogs, events),
        sold=sold(scenario.events),
    )
    while len(_calendars) >= KEPT:
        _calendars.pop(next(iter(_calendars)), None)
    _calendars[key] = (scenario.events, found)
    return found


def _other(event: Event, index: dict[int, int]) -> int:
    """What stands in `b`: a dog, a place, or whether a cleaning was washed first."""
    return index[event.b] if event.what is Happens.MATE else event.b


def pack(scenario: Scenario) -> Packed:
    """The scenario as arrays."""
    dogs = sorted(scenario.dogs, key=lambda dog: dog.uid)
    held = _calendar(scenario, dogs)
    first_turn, turns, next_turn = _turns(dogs, held.rows, scenario.days)
    return Packed(
        fixed=np.array(
            [
                (
                    d.uid,
                    d.home,
                    d.litter,
                    d.is_born,
                    d.arrives_on < 0,
                    d.is_visitor,
                    d.dam,
                    yards,
                    d.uid in held.sold,
                )
                for d, yards in zip(dogs, held.yards.tolist(), strict=True)
            ],
            dtype=np.int64,
        ).reshape(-1, len(FIXED)),
        given=np.array(
            [
                (
                    d.susceptibility,
                    d.protected_until,
                    d.chance_infected,
                    d.blocked_until,
                    scenario.course.takes_on(d),
                    d.from_outside,
                )
                for d in dogs
            ],
            dtype=np.float64,
        ).reshape(-1, len(GIVEN)),
        pens=_pens(scenario),
        near=_near(scenario),
        meets=chances_met(held.shares, dogs, scenario),
        events=held.rows,
        first_event=held.first_event,
        first_turn=first_turn,
        turns=turns,
        next_turn=next_turn,
        masks=held.masks,
        first_move=held.first_move,
        moves=held.moves,
        moved=held.moved,
        moves_before=held.moves_before,
        tables=_tables(scenario),
        numbers=_numbers(scenario),
    )


def _pens(scenario: Scenario) -> np.ndarray:
    dirt = (*scenario.start_contamination, *(0.0 for _ in scenario.places))
    return np.array(
        [
            (
                place.decay,
                place.cleaning_works,
                place.kind in APART,
                dirt[number],
                place.kind is PlaceKind.YARD,
            )
            for number, place in enumerate(scenario.places)
        ],
        dtype=np.float64,
    )


def _near(scenario: Scenario) -> np.ndarray:
    most = max((len(place.near) for place in scenario.places), default=0)
    rows = [
        (*place.near, *(-1 for _ in range(most - len(place.near))))
        for place in scenario.places
    ]
    return np.array(rows, dtype=np.int64).reshape(len(rows), most)


def _tables(scenario: Scenario) -> np.ndarray:
    course, test = scenario.course, scenario.test
    return np.array(
        [
            course.latency,
            course.shedding,
            course.sign_delay,
            detectability(mean=test.sensitivity_silent, correlation=test.correlation),
            detectability(mean=test.sensitivity_sick, correlation=test.correlation),
            normal_table(),
        ]
    )


def _numbers(scenario: Scenario) -> np.ndarray:
    course, test = scenario.course, scenario.test
    numbers = {
        "days": scenario.days,
        "specificity": test.specificity,
        "delay_days": test.delay_days,
        "antibody_from": test.antibody_from,
        "antibody_full": test.antibody_full,
        "test_price": test.price,
        "quarantine_place": scenario.quarantine_place,
        "isolation_place": scenario.isolation_place,
        "floor": scenario.floor,
    }
    return np.array(
        [
            float(numbers[name] if name in numbers else getattr(course, name))
            for name in NUMBERS
        ]
    )


def _turns(
    dogs: list[Dog], rows: np.ndarray, days: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Comings, ends of protection and leavings, day by day, dogs in order of uid."""
    comes = [(ceil(d.arrives_on), i) for i, d in enumerate(dogs) if d.arrives_on >= 0]
    wanes = [(ceil(d.protected_until), i) for i, d in enumerate(dogs)]
    left = rows[rows[:, 2] == int(Happens.LEAVE)]
    leaves = [(int(at), int(dog)) for at, dog in left[:, [0, 3]]]
    kinds = [sorted(_within(kind, days)) for kind in (comes, wanes)]
    kinds.append(list(_within(leaves, days)))  # in the order of the calendar
    turns = np.zeros((3, max(1, *(len(kind) for kind in kinds))), dtype=np.int64)
    first = np.zeros((3, days + 1), dtype=np.int64)
    next_turn = np.full(days + 2, days, dtype=np.int64)
    for number, kind in enumerate(kinds):
        turns[number, : len(kind)] = [dog for _, dog in kind]
        first[number] = np.searchsorted([day for day, _ in kind], np.arange(days + 1))
        for day, _ in kind:
            next_turn[day] = day
    for day in range(days - 1, -1, -1):
        next_turn[day] = min(next_turn[day], next_turn[day + 1])
    return first, turns, next_turn


def _within(turns: Iterable[tuple[int, int]], days: int) -> list[tuple[int, int]]:
    return [(day, dog) for day, dog in turns if 0 <= day < days]


def _moves(
    events: list[Event], index: dict[int, int], days: int
) -> tuple[np.ndarray, np.ndarray]:
    """Moves by the calendar, day by day, dog by dog; each dog's last one before first."""
    found: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for number, event in enumerate(events):
        if event.what is Happens.MOVE:
            key = (int(event.at), index[event.a])
            found.setdefault(key, []).append((number, event.b))
    first = np.zeros((days, len(index) + 1), dtype=np.int64)
    last = [(-1, -1)] * len(index)
    moves: list[tuple[int, int]] = []
    for day in range(days):
        for dog in range(len(index)):
            first[day, dog] = len(moves)
            moves.append(last[dog])
            moves.extend(found.get((day, dog), ()))
            last[dog] = moves[-1]
        first[day, len(index)] = len(moves)
    return first, np.array(moves, dtype=np.int64).reshape(-1, 2)


def _is_move(rows: np.ndarray) -> np.ndarray:
    found: np.ndarray = rows[:, 2] == int(Happens.MOVE)
    return found


def _moved(rows: np.ndarray) -> np.ndarray:
    """Moves by the calendar in the order of time: event's number, dog, place."""
    numbers = np.flatnonzero(_is_move(rows))
    dogs, places = rows[numbers, 3], rows[numbers, 4]
    return np.column_stack([numbers, dogs, places]).astype(np.int64)


LOAD_BIT, ALWAYS_BIT, MOVE_BIT, PLACE_BITS = 1 << 60, 1 << 61, 1 << 62, 60


def _masks(scenario: Scenario, events: list[Event]) -> np.ndarray:
    """What must be astir for an event to matter: its places, a load of the staff.

    A dog that moves is where its last move sent it, or at home; 60 bits for places, so
    that in a large kennel two may share one.
    """
    at = {dog.uid: dog.home for dog in scenario.dogs}
    home = dict(at)
    masks = []
    for event in events:
        match event.what:
            case Happens.MOVE:
                places = {at[event.a], home[event.a], event.b}
                mask = MOVE_BIT | sum({1 << place % PLACE_BITS for place in places})
                at[event.a] = event.b
            case Happens.VISIT:
                mask = 1 << event.a % PLACE_BITS | LOAD_BIT
            case Happens.CLEAN:
                mask = 1 << event.a % PLACE_BITS
            case Happens.WASH:
                mask = LOAD_BIT
            case _:
                mask = ALWAYS_BIT
        masks.append(mask)
    return np.array(masks, dtype=np.int64)


def pack_policy(policy: Policy) -> np.ndarray:
    """The policy's own numbers as float64, by the names in `POLICY`."""
    return np.array([float(getattr(policy, name)) for name in POLICY])


def pack_rules(policy: Policy) -> np.ndarray:
    """Its rules as (rules, columns) float64, by `RULE`, in the order of a day."""
    return np.array(
        [[float(getattr(rule, name)) for name in RULE] for rule in policy.ordered]
    ).reshape(-1, len(RULE))
