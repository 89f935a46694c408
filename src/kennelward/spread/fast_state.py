"""What the fast simulator works on: its few arrays, and what stands where in them.

`njit` is missing where Numba is not installed; then the plain engine answers.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from kennelward.spread import plain_truth
from kennelward.spread.keyed import Stream
from kennelward.spread.packing import FIXED, GIVEN, NUMBERS, POLICY, RULE, Packed
from kennelward.spread.plain_truth import weeks
from kennelward.spread.rules import Action, Closes, Scope, Trigger

njit: Any
try:
    from numba import njit
except ImportError:  # then the plain engine answers, slower
    njit = None

STREAMS = max(Stream) + 1
IS_FAST = njit is not None
DEATH_AFTER_SIGNS = 4.0
SUSCEPTIBLE, INFECTED, IMMUNE, GONE = range(4)
SPELL_KEYS = plain_truth.SPELLS

# Columns of Packed.fixed, Packed.given and Packed.pens; rows of first_turn and tables
UID, HOME, LITTER, BORN, AT_START, VISITOR, DAM, YARDS, SOLD = range(len(FIXED))
SUSCEPTIBILITY, PROTECTED, CHANCE, BLOCKED, TAKES, OUTSIDE = range(len(GIVEN))
PEN_DECAY, PEN_WORKS, PEN_APART, PEN_DIRT, PEN_YARD = range(5)
COMES, WANES, LEAVES = range(3)
LATENCY, SHEDDING, SIGN_DELAY, EFFECT, EFFECT_SICK, NORMAL = range(6)

# `rates`: Packed.numbers, the rules, and what is drawn once a run
(N_DAYS, N_DIRECT, N_PLACE, N_FULL, N_TAIL, N_DEPOSIT, N_CLINICAL, N_DEATH, N_NOTICE,
 N_AGAIN, N_CHRONIC, N_PICK, N_DROP, N_VENEREAL, N_BIRTH, N_PULSE, N_VARY_DIRECT,
 N_VARY_PLACE, N_VARY_DECAY, N_SPECIFICITY, N_DELAY, N_AB_FROM, N_AB_FULL, N_PRICE,
 N_QUARANTINE, N_ISOLATION, N_CARRIED, N_ON_SHARE, N_ON_DAYS, N_AIR, N_KEEPS,
 N_VACCINE_DAYS, N_UNWASHED, N_FLOOR) = range(len(NUMBERS))  # fmt: skip
(P_ROOM, P_TESTS, P_CLEANING, P_SPREAD, P_HYGIENE, P_PRICE_APART, P_PRICE_SICK,
 P_PRICE_DEATH) = range(len(NUMBERS), len(NUMBERS) + len(POLICY))  # fmt: skip
N_RATES = len(NUMBERS) + len(POLICY)
X_DIRECT, X_PLACE = N_RATES, N_RATES + 1  # of this run
X_LOGS, X_SPREAD, X_HYGIENE = N_RATES + 2, N_RATES + 3, N_RATES + 4  # as of today
RATES = N_RATES + 5

# `rules` (rules, 20) float64, and the words in them
(R_TRIGGER, R_ACTION, R_SCOPE, R_AFTER, R_DAYS, R_FIRST, R_EVERY, R_CLEAR_ROUNDS,
 R_CASES, R_WITHIN, R_TOP, R_AT_LEAST, R_EXTEND, R_CLEARS, R_CLEARS_AFTER, R_CLOSES,
 R_AMOUNT, R_SPREAD, R_BEFORE, R_UNTIL_CLEAR) = range(len(RULE))  # fmt: skip
# (as NumPy's: Numba compiles a function anew for each plain number it is called with)
ALWAYS, ARRIVAL, VISIT_BY, CALENDAR, SIGNS_SEEN, POSITIVE, CASES = map(
    np.int64, Trigger
)
NOBODY = np.int64(-1)
DOG, PEN, YARD, SAME_LITTER, ALL, TRACED = map(int, Scope)
(TEST, QUARANTINE, ISOLATE, VACCINATE, TREAT, CLEAN_ONCE, CLOSE, HOLD, PRODUCT,
 HYGIENE) = map(int, Action)  # fmt: skip
ARRIVALS, VISITS, MATINGS, SALES = map(int, Closes)
# `state` (rules, 9) float64
(S_SINCE, S_UNTIL, S_NEXT, S_CLEAR, S_SEEN, S_SUBJECT, S_PLACE, S_NOW, S_SPENT) = range(
    9
)
STATES = 9

# `dog` (dogs, 14) float64
(LEFT, ENTERED, SIGMA, STARTS, FULL, ENDS, SIGNS, NOTICED, INFECTED_AT, RELEASE,
 RESULT_ON, VACCINE_ON, KNOWN_ON, LET_IN_ON) = range(14)  # fmt: skip
DOG_COLUMNS = 14
# `who` (dogs, 14) int64; UPTO: its moves before this event are in its place; ON: it
# sheds today, if it does at all
(PLACE, HERE, STATUS, SPELL, DIES, KNOWN, RESULT, WATCHED, UPTO, APART_BY, CAME_FROM,
 VACCINATED, WAITS, ON) = range(14)  # fmt: skip
DOG_FLAGS = 14
# `pen` (places, 9) float64: known up to, dirt, cumulative hazard, a bound below the
# levels of its susceptible dogs, infected dogs inside, what was given, what is shed
SINCE, DIRT, HAZARD, LEAST, INSIDE, DECAY, WORKS, APART, SHED = range(9)
PEN_COLUMNS = 9
# `lists` (2, dogs + 1) int64: the infected, and dogs with something due, both in the
# order of uid; the last column says how many
BUSY, WATCH = range(2)
# `clock` (5,) int64: the day, the event that is next or under way, and a bit for each
# place that is not quiet, or was not at the start of the day; how many litters there are;
# how many of the calendar's moves every dog has been put through
DAY, EVENT, ASTIR, LITTERS, SETTLED = range(5)
# `tally` float64; after it one flag a litter, then cases week by week
(T_CASES, T_CARRIED, T_SICK, T_APART, T_DEATHS, T_TESTS, T_LOAD, T_CLOSED, T_NOTICED,
 T_APART_NOW, T_NEXT_WATCH, T_LITTERS, T_HELD, T_EVER_HELD, T_CLOSED_DAYS, T_VISITS,
 T_REFUSED, T_VACCINATED, T_TREATED, T_TODAY, T_POSITIVES, T_NEXT_RULE, T_NEXT_VACCINE,
 T_SWITCHES, T_NEXT_LET_IN) = range(25)  # fmt: skip
TALLY = 25


class Run(NamedTuple):
    """All that a run works on; the arrays up to `rules` never change."""

    fixed: np.ndarray  # as in `Packed`, down to `tables`
    given: np.ndarray
    pens: np.ndarray
    near: np.ndarray
    meets: np.ndarray
    events: np.ndarray
    first_event: np.ndarray
    first_turn: np.ndarray
    turns: np.ndarray
    next_turn: np.ndarray
    masks: np.ndarray
    first_move: np.ndarray
    moves: np.ndarray
    moved: np.ndarray
    moves_before: np.ndarray
    tables: np.ndarray
    rules: np.ndarray
    rates: np.ndarray
    keys: np.ndarray  # (streams,) uint64, what a stream's draws in this run share
    dog: np.ndarray
    who: np.ndarray
    due: np.ndarray  # (dogs, rules) float64: when a rule is to be carried out on a dog
    state: np.ndarray
    pen: np.ndarray
    lists: np.ndarray
    tally: np.ndarray
    clock: np.ndarray


def new_run(
    packed: Packed, policy: np.ndarray, rules: np.ndarray, *, litters: int, days: int
) -> Run:
    """Fresh arrays for one thread."""
    dogs, places = len(packed.fixed), len(packed.pens)
    return Run(
        *packed[:-1],  # all but the numbers, in the same order
        rules=rules,
        rates=np.concatenate([packed.numbers, policy, np.zeros(RATES - N_RATES)]),
        keys=np.zeros(STREAMS, dtype=np.uint64),
        dog=np.zeros((dogs, DOG_COLUMNS)),
        who=np.zeros((dogs, DOG_FLAGS), dtype=np.int64),
        due=np.zeros((dogs, len(rules))),
        state=np.zeros((len(rules), STATES)),
        pen=np.zeros((places, PEN_COLUMNS)),
        lists=np.zeros((2, dogs + 1), dtype=np.int64),
        tally=np.zeros(TALLY + litters + weeks(days)),
        clock=np.array([0, 0, 0, litters, 0], dtype=np.int64),
    )


def helper(function: Callable[..., Any]) -> Callable[..., Any]:
    """A piece compiled into the run that calls it; bits as in plain Python."""
    if njit is None:
        return function
    made: Callable[..., Any] = njit(
        fastmath=False, error_model="numpy", forceinline=True, _nrt=False
    )(function)
    return made


def once(function: Callable[..., Any]) -> Callable[..., Any]:
    """A piece with one caller, put into it as text: never compiled by itself."""
    if njit is None:
        return function
    made: Callable[..., Any] = njit(
        fastmath=False, error_model="numpy", inline="always", _nrt=False
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
