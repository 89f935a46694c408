"""What the fast simulator works on: its arrays, and their places by name.

`njit` is missing where Numba is not installed; then the plain engine answers.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from kennelward.spread.packing import NUMBERS, RULES, TEST_SLOTS

njit: Any
try:
    from numba import njit
except ImportError:  # then the plain engine answers, slower
    njit = None

IS_FAST = njit is not None
FLOOR = 1e-9
DEATH_AFTER_SIGNS = 4.0
SUSCEPTIBLE, INFECTED, IMMUNE, GONE = range(4)
QUARANTINE, ISOLATION = 2, 3

# Indices into Packed.numbers, the rules and State.tally
(N_DAYS, N_DIRECT, N_PLACE, N_FULL, N_TAIL, N_DEPOSIT, N_CLINICAL, N_DEATH, N_NOTICE,
 N_AGAIN, N_CHRONIC, N_PICK, N_DROP, N_VENEREAL, N_BIRTH, N_PULSE, N_VARY_DIRECT,
 N_VARY_PLACE, N_VARY_DECAY, N_SPECIFICITY, N_DELAY, N_AB_FROM, N_AB_FULL, N_PRICE,
 N_QUARANTINE, N_ISOLATION) = range(len(NUMBERS))  # fmt: skip
(R_QUARANTINE, R_TEST_1, R_TEST_2, R_ISOLATE_NOTICED, R_TEST_NOTICED, R_TEST_ALL,
 R_CLOSE, R_ISOLATE_POSITIVE, R_ISOLATION_DAYS, R_ROOM, R_ACT_AFTER, R_CLEANING,
 R_HYGIENE, R_PRICE_APART, R_PRICE_SICK, R_PRICE_DEATH) = range(len(RULES))  # fmt: skip
(T_CASES, T_CARRIED, T_SICK, T_APART, T_DEATHS, T_TESTS, T_LOAD, T_CLOSED, T_NOTICED,
 T_DIRECT, T_PLACE, T_DECAY, T_BUSY, T_DIRTY, T_APART_NOW, T_NEXT_NOTICE, T_NEXT_LOOK,
 T_NEXT_ACT, T_NEXT_END, T_NEXT_AGE) = range(20)  # fmt: skip
RESULTS = (
    "cases", "carried_in", "sick_days", "apart_days", "deaths", "litters", "tests",
    "cost", "noticed_on", "infected_at_end",
)  # fmt: skip


class State(NamedTuple):
    """What changes in a run; one a thread, set up again for each run."""

    place: np.ndarray  # (dogs,) int64
    here: np.ndarray  # (dogs,) bool
    status: np.ndarray  # (dogs,) int64
    spell: np.ndarray
    sigma: np.ndarray  # (dogs,) float64
    level: np.ndarray
    infected_at: np.ndarray
    starts: np.ndarray
    full_until: np.ndarray
    ends: np.ndarray
    signs_at: np.ndarray
    noticed_at: np.ndarray
    dies: np.ndarray  # (dogs,) bool
    known: np.ndarray
    act_on: np.ndarray  # (dogs,) float64
    release_on: np.ndarray
    test_on: np.ndarray  # (dogs, 3) float64
    result_on: np.ndarray
    result: np.ndarray  # (dogs,) bool
    busy: np.ndarray  # (dogs,) int64: infected dogs, rising
    hit: np.ndarray  # (litters,) bool
    hazard: np.ndarray  # (places,) float64, cumulative
    least: np.ndarray  # (places,) float64, no susceptible dog's level is lower
    dirt: np.ndarray
    shed: np.ndarray
    tally: np.ndarray  # (20,) float64


def new_state(dogs: int, places: int, litters: int) -> State:
    """An empty state of the right size."""

    def reals() -> np.ndarray:
        return np.zeros(dogs)

    def flags() -> np.ndarray:
        return np.zeros(dogs, dtype=np.bool_)

    def whole() -> np.ndarray:
        return np.zeros(dogs, dtype=np.int64)

    return State(
        place=whole(), here=flags(), status=whole(), spell=whole(), sigma=reals(),
        level=reals(), infected_at=reals(), starts=reals(), full_until=reals(),
        ends=reals(), signs_at=reals(), noticed_at=reals(), dies=flags(),
        known=flags(), act_on=reals(), release_on=reals(),
        test_on=np.zeros((dogs, TEST_SLOTS)), result_on=reals(), result=flags(),
        busy=whole(), hit=np.zeros(litters + 1, dtype=np.bool_),
        hazard=np.zeros(places), least=np.zeros(places), dirt=np.zeros(places),
        shed=np.zeros(places), tally=np.zeros(20),
    )  # fmt: skip


def compiled(function: Callable[..., Any]) -> Callable[..., Any]:
    """Compiled where Numba is there; bits as in plain Python, cached on disk."""
    if njit is None:
        return function
    made: Callable[..., Any] = njit(cache=True, fastmath=False)(function)
    return made
