"""What the fast simulator works on: its few arrays, and what stands where in them.

`njit` is missing where Numba is not installed; then the plain engine answers.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from kennelward.spread.keyed import Stream
from kennelward.spread.packing import NUMBERS, RULES, Packed
from kennelward.spread.plain_truth import weeks

njit: Any
try:
    from numba import njit
except ImportError:  # then the plain engine answers, slower
    njit = None

STREAMS = max(Stream) + 1
IS_FAST = njit is not None
FLOOR = 1e-6
DEATH_AFTER_SIGNS = 4.0
SUSCEPTIBLE, INFECTED, IMMUNE, GONE = range(4)

# Columns of Packed.fixed, Packed.given and Packed.pens; rows of first_turn and tables
UID, HOME, LITTER, BORN, AT_START = range(5)
SUSCEPTIBILITY, PROTECTED, CHANCE = range(3)
PEN_DECAY, PEN_WORKS, PEN_APART, PEN_DIRT = range(4)
COMES, WANES, LEAVES = range(3)
LATENCY, SHEDDING, SIGN_DELAY, EFFECT, EFFECT_SICK, NORMAL = range(6)

# `rates`: Packed.numbers, the rules, and what is drawn once a run
(N_DAYS, N_DIRECT, N_PLACE, N_FULL, N_TAIL, N_DEPOSIT, N_CLINICAL, N_DEATH, N_NOTICE,
 N_AGAIN, N_CHRONIC, N_PICK, N_DROP, N_VENEREAL, N_BIRTH, N_PULSE, N_VARY_DIRECT,
 N_VARY_PLACE, N_VARY_DECAY, N_SPECIFICITY, N_DELAY, N_AB_FROM, N_AB_FULL, N_PRICE,
 N_QUARANTINE, N_ISOLATION, N_CARRIED) = range(len(NUMBERS))  # fmt: skip
(R_QUARANTINE, R_TEST_1, R_TEST_2, R_ISOLATE_NOTICED, R_TEST_NOTICED, R_TEST_ALL,
 R_CLOSE, R_ISOLATE_POSITIVE, R_ISOLATION_DAYS, R_ROOM, R_ACT_AFTER, R_CLEANING,
 R_HYGIENE, R_PRICE_APART, R_PRICE_SICK, R_PRICE_DEATH) = (
    range(len(NUMBERS), len(NUMBERS) + len(RULES))
)  # fmt: skip
N_RATES = len(NUMBERS) + len(RULES)
X_DIRECT, X_PLACE = N_RATES, N_RATES + 1  # of this run
RATES = N_RATES + 2

# `dog` (dogs, 16) float64; the last three are tests due
(LEFT, ENTERED, SIGMA, STARTS, FULL, ENDS, SIGNS, NOTICED, INFECTED_AT, ACT, RELEASE,
 RESULT_ON, TEST) = range(13)  # fmt: skip
TEST_SLOTS = 3
DOG_COLUMNS = TEST + TEST_SLOTS
# `who` (dogs, 9) int64; UPTO: its moves before this event are in its place
PLACE, HERE, STATUS, SPELL, DIES, KNOWN, RESULT, WATCHED, UPTO = range(9)
DOG_FLAGS = 9
# `pen` (places, 8) float64: known up to, dirt, cumulative hazard, a bound below the
# levels of its susceptible dogs, infected dogs inside, and what was given
SINCE, DIRT, HAZARD, LEAST, INSIDE, DECAY, WORKS, APART = range(8)
# `lists` (2, dogs + 1) int64: the infected, and dogs with a test, result or move due,
# both in the order of uid; the last column says how many
BUSY, WATCH = range(2)
# `clock` (4,) int64: the day, the event that is next or under way, and a bit for each
# place that is not quiet, or was not at the start of the day; and how many litters there are
DAY, EVENT, ASTIR, LITTERS = range(4)
# `tally` float64; after it one flag a litter, then cases week by week
(T_CASES, T_CARRIED, T_SICK, T_APART, T_DEATHS, T_TESTS, T_LOAD, T_CLOSED, T_NOTICED,
 T_APART_NOW, T_NEXT_WATCH, T_LITTERS) = range(12)  # fmt: skip
TALLY = 12


class Run(NamedTuple):
    """All that a run works on; the arrays up to `tables` never change."""

    fixed: np.ndarray  # as in `Packed`, down to `tables`
    given: np.ndarray
    pens: np.ndarray
    events: np.ndarray
    first_event: np.ndarray
    first_turn: np.ndarray
    turns: np.ndarray
    next_turn: np.ndarray
    masks: np.ndarray
    first_move: np.ndarray
    moves: np.ndarray
    tables: np.ndarray
    rates: np.ndarray
    keys: np.ndarray  # (streams,) uint64, what a stream's draws in this run share
    dog: np.ndarray
    who: np.ndarray
    pen: np.ndarray
    lists: np.ndarray
    tally: np.ndarray
    clock: np.ndarray


def new_run(packed: Packed, rules: np.ndarray, *, litters: int, days: int) -> Run:
    """Fresh arrays for one thread."""
    dogs, places = len(packed.fixed), len(packed.pens)
    return Run(
        *packed[:-1],  # all but the numbers, in the same order
        rates=np.concatenate([packed.numbers, rules, np.zeros(2)]),
        keys=np.zeros(STREAMS, dtype=np.uint64),
        dog=np.zeros((dogs, DOG_COLUMNS)),
        who=np.zeros((dogs, DOG_FLAGS), dtype=np.int64),
        pen=np.zeros((places, 8)),
        lists=np.zeros((2, dogs + 1), dtype=np.int64),
        tally=np.zeros(TALLY + litters + weeks(days)),
        clock=np.array([0, 0, 0, litters], dtype=np.int64),
    )


def helper(function: Callable[..., Any]) -> Callable[..., Any]:
    """A piece compiled into the run that calls it; bits as in plain Python."""
    if njit is None:
        return function
    made: Callable[..., Any] = njit(
        fastmath=False, error_model="numpy", forceinline=True, _nrt=False
    )(function)
    return made


def piece(function: Callable[..., Any]) -> Callable[..., Any]:
    """A rarer piece, compiled apart: the run stays small."""
    if njit is None:
        return function
    made: Callable[..., Any] = njit(fastmath=False, error_model="numpy", _nrt=False)(
        function
    )
    return made


def fingerprint(*functions: Callable[..., Any]) -> str:
    """The code and constants of compiled pieces, as text.

    Numba's disk cache looks at the caller's own file alone: with this in the run's
    closure a change in any piece makes a new entry.
    """
    seen: dict[str, str] = {}
    waiting = list(functions)
    while waiting:
        function = waiting.pop()
        plain = getattr(function, "py_func", function)
        name = f"{plain.__module__}.{plain.__qualname__}"
        if name in seen:
            continue
        code = plain.__code__
        constants = []
        for used in code.co_names:
            value = plain.__globals__.get(used)
            if isinstance(value, int | float | np.generic):
                constants.append(f"{used}={value!r}")
            elif callable(value) and hasattr(value, "py_func"):
                waiting.append(value)
        seen[name] = f"{code.co_code.hex()} {code.co_consts!r} {constants!r}"
    return "\n".join((*Run._fields, *(f"{name} {seen[name]}" for name in sorted(seen))))
