"""The fast simulator: the plain one's outcomes, run by run, without its waste.

A place without shedding or contamination costs nothing; a place's susceptible dogs are
looked at only when its hazard passes the least of their levels; a day on which nothing
is pending is skipped. fastmath stays off and sums run in the order of uid, so that every
number has the same bits as in `engine_plain`.
"""

from math import ceil

import numpy as np

from kennelward.spread.fast_day import daily
from kennelward.spread.fast_dogs import enter, vary
from kennelward.spread.fast_state import (
    INFECTED,
    N_DAYS,
    N_DIRECT,
    N_PLACE,
    N_PRICE,
    N_VARY_DECAY,
    N_VARY_DIRECT,
    N_VARY_PLACE,
    R_PRICE_APART,
    R_PRICE_DEATH,
    R_PRICE_SICK,
    RESULTS,
    T_APART,
    T_CARRIED,
    T_CASES,
    T_DEATHS,
    T_DECAY,
    T_DIRECT,
    T_DIRTY,
    T_NEXT_ACT,
    T_NEXT_AGE,
    T_NEXT_END,
    T_NEXT_LOOK,
    T_NEXT_NOTICE,
    T_NOTICED,
    T_PLACE,
    T_SICK,
    T_TESTS,
    State,
    compiled,
    new_state,
)
from kennelward.spread.fast_time import apply_event, segment
from kennelward.spread.keyed import Stream
from kennelward.spread.model import NEVER, Outcome, Policy, Scenario
from kennelward.spread.packing import Packed, pack, pack_policy

S_DIRECT, S_PLACE, S_DECAY = map(
    int, (Stream.VARY_DIRECT, Stream.VARY_PLACE, Stream.VARY_DECAY)
)
WHOLE = ("cases", "carried_in", "deaths", "litters", "tests", "infected_at_end")


@compiled
def reset(m: Packed, s: State, seed: int, replicate: int) -> None:
    """An empty kennel with the dogs that are there from the start."""
    for array in (s.here, s.dies, s.known, s.result, s.hit):
        array[:] = False
    s.status[:] = 0
    s.spell[:] = 0
    s.sigma[:] = 1.0
    for array in (
        s.level, s.infected_at, s.starts, s.full_until, s.ends, s.signs_at,
        s.noticed_at, s.act_on, s.release_on, s.result_on, s.least,
    ):  # fmt: skip
        array[:] = NEVER
    s.test_on[:] = NEVER
    s.hazard[:] = 0.0
    s.dirt[:] = m.dirt
    t = s.tally
    t[:] = 0.0
    for k in (
        T_NOTICED,
        T_NEXT_NOTICE,
        T_NEXT_LOOK,
        T_NEXT_ACT,
        T_NEXT_END,
        T_NEXT_AGE,
    ):
        t[k] = NEVER
    t[T_DIRTY] = 1.0
    number = m.numbers
    t[T_DIRECT] = number[N_DIRECT] * vary(
        m, seed, replicate, S_DIRECT, number[N_VARY_DIRECT]
    )
    t[T_PLACE] = number[N_PLACE] * vary(
        m, seed, replicate, S_PLACE, number[N_VARY_PLACE]
    )
    t[T_DECAY] = vary(m, seed, replicate, S_DECAY, number[N_VARY_DECAY])
    for i in range(len(m.uid)):
        s.place[i] = m.home[i]
        if m.arrives_on[i] < 0:
            enter(m, s, seed, replicate, i, 0.0, m.home[i])


@compiled
def run(
    m: Packed, s: State, rules: np.ndarray, comes: np.ndarray, seed: int, replicate: int
) -> None:
    """One run, from the first day to the last."""
    reset(m, s, seed, replicate)
    days = int(m.numbers[N_DAYS])
    now = 0.0
    for day in range(days):
        segment(m, s, seed, replicate, now, float(day))
        now = float(day)
        daily(m, s, rules, seed, replicate, now, comes[day])
        for k in range(m.first_event[day], m.first_event[day + 1]):
            at = m.event_at[k]
            segment(m, s, seed, replicate, now, at)
            now = at
            apply_event(m, s, rules, seed, replicate, k)
    segment(m, s, seed, replicate, now, float(days))


@compiled
def write_result(m: Packed, s: State, rules: np.ndarray, out: np.ndarray) -> None:
    """The run's outcome, in the order of `RESULTS`."""
    t = s.tally
    at_end = 0
    for i in range(len(s.here)):
        if s.here[i] and s.status[i] == INFECTED:
            at_end += 1
    out[0], out[1] = t[T_CASES], t[T_CARRIED]
    out[2], out[3], out[4] = t[T_SICK], t[T_APART], t[T_DEATHS]
    out[5] = np.sum(s.hit)
    out[6] = t[T_TESTS]
    out[7] = (
        t[T_TESTS] * m.numbers[N_PRICE]
        + t[T_APART] * rules[R_PRICE_APART]
        + t[T_SICK] * rules[R_PRICE_SICK]
        + t[T_DEATHS] * rules[R_PRICE_DEATH]
    )
    out[8], out[9] = t[T_NOTICED], at_end


@compiled
def run_many(
    m: Packed,
    s: State,
    rules: np.ndarray,
    comes: np.ndarray,
    seed: int,
    first: int,
    out: np.ndarray,
) -> None:
    """Runs `first`, `first` + 1, ... into the rows of `out`."""
    for row in range(len(out)):
        run(m, s, rules, comes, seed, first + row)
        write_result(m, s, rules, out[row])


class FastEngine:
    """A scenario ready to run many times. Not shared between threads."""

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.packed = pack(scenario)
        self.comes = np.zeros(scenario.days, dtype=np.bool_)
        for dog in scenario.dogs:
            if dog.arrives_on >= 0 and ceil(dog.arrives_on) < scenario.days:
                self.comes[ceil(dog.arrives_on)] = True
        litters = max((dog.litter for dog in scenario.dogs), default=-1) + 1
        self.state = new_state(len(scenario.dogs), len(scenario.places), litters)

    def runs(self, policy: Policy, *, seed: int, first: int, count: int) -> np.ndarray:
        """(count, 10) float64: one row a run, columns as in `RESULTS`."""
        out = np.empty((count, len(RESULTS)))
        rules = pack_policy(policy)
        run_many(self.packed, self.state, rules, self.comes, seed, first, out)
        return out

    def outcome(self, policy: Policy, *, seed: int, replicate: int) -> Outcome:
        """One run as an `Outcome`."""
        row = self.runs(policy, seed=seed, first=replicate, count=1)[0]
        values = dict(zip(RESULTS, row.tolist(), strict=True))
        return Outcome(**{k: int(v) if k in WHOLE else v for k, v in values.items()})
