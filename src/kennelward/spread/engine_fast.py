"""The fast simulator: the plain one's outcomes, run by run, without its waste.

A place without shedding or contamination costs nothing; a place's susceptible dogs are
looked at only when its hazard passes the least of their levels; in a clean kennel whole
days are skipped, up to the next arrival, test, release or leaving, and who is where
then comes from the calendar's own table. fastmath stays off and sums run in the order of
uid, so that every number has the same bits as in `engine_plain`. Draws are keyed by dog:
what is skipped changes no other draw.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from kennelward.spread.fast_acts import watched_day
from kennelward.spread.fast_breed import apply_event, would_leave
from kennelward.spread.fast_day import (
    arrivals,
    begin,
    count_apart,
    infected_day,
    let_in,
    notice,
    vaccines_take,
    wane,
)
from kennelward.spread.fast_rules import (
    count_switches,
    rounds,
    switch,
)
from kennelward.spread.fast_start import reset
from kennelward.spread.fast_state import (
    ASTIR,
    BUSY,
    DAY,
    ENDS,
    EVENT,
    INFECTED_AT,
    LEAVES,
    LITTERS,
    N_DAYS,
    N_PRICE,
    P_PRICE_APART,
    P_PRICE_DEATH,
    P_PRICE_SICK,
    S_SPENT,
    SIGNS,
    STARTS,
    T_APART,
    T_APART_NOW,
    T_CARRIED,
    T_CASES,
    T_CLOSED_DAYS,
    T_DEATHS,
    T_EVER_HELD,
    T_LITTERS,
    T_LOAD,
    T_NEXT_LET_IN,
    T_NEXT_RULE,
    T_NEXT_VACCINE,
    T_NEXT_WATCH,
    T_NOTICED,
    T_REFUSED,
    T_SICK,
    T_TESTS,
    T_TODAY,
    T_TREATED,
    T_VACCINATED,
    T_VISITS,
    TALLY,
    Run,
    fingerprint,
    new_run,
    njit,
    once,
    piece,
)
from kennelward.spread.fast_time import bring_on, is_quiet
from kennelward.spread.model import Policy, Scenario
from kennelward.spread.packing import (
    ALWAYS_BIT,
    LOAD_BIT,
    MOVE_BIT,
    PLACE_BITS,
    RESULTS,
    pack,
    pack_policy,
    pack_rules,
)
from kennelward.spread.plain_truth import weeks

OUTCOMES = len(RESULTS)


@once
def astir(run: Run) -> int:
    """A bit for each place that is not quiet."""
    bits = 0
    for place in range(len(run.pen)):
        if not is_quiet(run, place):
            bits |= 1 << place % PLACE_BITS
    return bits


@once
def run_day(run: Run, day: int) -> None:
    """The plain engine's passes over the dogs, each only where something is due."""
    now = float(day)
    run.tally[T_TODAY] = 0
    if run.tally[T_NEXT_RULE] <= now:
        switch(run, now)
    if run.first_turn[0, day] < run.first_turn[0, day + 1]:
        arrivals(run, day)
    if run.tally[T_NEXT_LET_IN] <= now:
        let_in(run, now)
    if run.tally[T_NEXT_VACCINE] <= now:
        vaccines_take(run, now)
    if run.first_turn[1, day] < run.first_turn[1, day + 1]:
        wane(run, day)
    if run.lists[BUSY, run.lists.shape[1] - 1] > 0:
        infected_day(run, now)
    if run.tally[T_APART_NOW] != 0:
        count_apart(run, 1)
    count_switches(run, now, 1)
    if run.lists[BUSY, run.lists.shape[1] - 1] > 0:
        notice(run, now)
    if run.tally[T_NEXT_RULE] <= now:
        rounds(run, now)
    if run.tally[T_NEXT_WATCH] <= now:
        watched_day(run, now)


@once
def next_day(run: Run, day: int, days: int) -> int:
    """The next day on which something happens in a clean kennel."""
    soonest = run.next_turn[day + 1]
    due = min(run.tally[T_NEXT_WATCH], run.tally[T_NEXT_RULE])
    due = min(due, run.tally[T_NEXT_VACCINE], run.tally[T_NEXT_LET_IN])
    if due < soonest:
        soonest = max(day + 1, int(np.ceil(due)))
    return min(soonest, days)


@once
def write_result(run: Run, row: np.ndarray) -> None:
    """The run's outcome, in the order of `RESULTS`."""
    row[0], row[1] = run.tally[T_CASES], run.tally[T_CARRIED]
    row[2], row[3], row[4] = run.tally[T_SICK], run.tally[T_APART], run.tally[T_DEATHS]
    row[5], row[6] = run.tally[T_LITTERS], run.tally[T_TESTS]
    row[7] = (
        run.tally[T_TESTS] * run.rates[N_PRICE]
        + run.tally[T_APART] * run.rates[P_PRICE_APART]
        + run.tally[T_SICK] * run.rates[P_PRICE_SICK]
        + run.tally[T_DEATHS] * run.rates[P_PRICE_DEATH]
    )
    row[8] = run.tally[T_NOTICED]
    row[9] = run.lists[BUSY, run.lists.shape[1] - 1]
    row[10], row[11] = run.tally[T_CLOSED_DAYS], run.tally[T_VISITS]
    row[12], row[13] = run.tally[T_REFUSED], run.tally[T_VACCINATED]
    row[14] = run.tally[T_TREATED]
    for r in range(len(run.rules)):
        row[OUTCOMES + r] = run.state[r, S_SPENT]


@once
def clean_days(run: Run, day: int, days: int) -> int:
    """Pass over days on which nobody is infected and nothing is contaminated."""
    for n in range(run.first_turn[LEAVES, day], run.first_turn[LEAVES, day + 1]):
        would_leave(run, run.turns[LEAVES, n])
    later = next_day(run, day, days)
    if later > day + 1:
        if run.tally[T_APART_NOW] != 0:
            count_apart(run, later - day - 1)
        count_switches(run, float(day), later - day - 1)
    return later


@piece
def calendar_day(run: Run, day: int) -> None:
    """Today's events, those in quiet places passed over."""
    n, end = run.first_event[day], run.first_event[day + 1]
    while True:
        look = run.clock[ASTIR] | ALWAYS_BIT
        if run.tally[T_LOAD] != 0:
            look |= LOAD_BIT
        if run.tally[T_EVER_HELD] != 0:
            look |= MOVE_BIT
        while n < end and run.masks[n] & look == 0:
            n += 1
        if n == end:
            return
        run.clock[EVENT] = n
        apply_event(run, n)
        n += 1


@once
def one_run(run: Run) -> None:
    """From the first day to the last."""
    begin(run)
    days = int(run.rates[N_DAYS])
    day, clean = run.clock[DAY], False
    while day < days:
        run.clock[DAY], run.clock[EVENT] = day, run.first_event[day]
        if not clean:
            advance_all(run, float(day))
        run_day(run, day)
        if not clean or run.lists[BUSY, run.lists.shape[1] - 1] > 0:
            run.clock[ASTIR] = astir(run)
            clean = run.clock[ASTIR] == 0 and run.tally[T_LOAD] == 0
        if clean:
            day = clean_days(run, day, days)
        else:
            calendar_day(run, day)
            day += 1
    if not clean:
        advance_all(run, float(days))


@piece
def advance_all(run: Run, now: float) -> None:
    """Every place up to now."""
    for place in range(len(run.pen)):
        if not is_quiet(run, place):
            bring_on(run, place, now)


@once
def write_courses(run: Run, courses: np.ndarray, row: int) -> None:
    """Each dog's last infection: when, shedding from and to, signs from."""
    for i in range(len(run.dog)):
        courses[row, i, 0] = run.dog[i, INFECTED_AT]
        courses[row, i, 1] = run.dog[i, STARTS]
        courses[row, i, 2] = run.dog[i, ENDS]
        courses[row, i, 3] = run.dog[i, SIGNS]


def _make_run_many(code: str) -> Callable[..., Any]:
    def run_many(
        run: Run,
        seed: int,
        first: int,
        out: np.ndarray,
        weekly: np.ndarray,
        courses: np.ndarray,
    ) -> int:
        """Runs `first`, `first` + 1, ... into the rows of `out`, `weekly`, `courses`."""
        for row in range(len(out)):
            reset(run, seed, first + row)
            one_run(run)
            write_result(run, out[row])
            for week in range(weekly.shape[1]):
                weekly[row, week] = run.tally[TALLY + run.clock[LITTERS] + week]
            if len(courses) > 0:
                write_courses(run, courses, row)
        return len(code)

    return run_many


def _compiled() -> Callable[..., Any]:
    plain = _make_run_many("")
    made = _make_run_many(fingerprint(plain))
    if njit is None:
        return made
    fast: Callable[..., Any] = njit(
        cache=True, fastmath=False, error_model="numpy", nogil=True, _nrt=False
    )(made)
    return fast


run_many = _compiled()


class FastEngine:
    """A scenario ready to run many times; threads may share it."""

    is_fast = True

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.packed = pack(scenario)
        self.litters = max((dog.litter for dog in scenario.dogs), default=-1) + 1

    def runs(self, policy: Policy, *, seed: int, first: int, count: int) -> np.ndarray:
        """(count, 15 + rules) float64, see `Engine.runs`."""
        return self._run(policy, seed=seed, first=first, count=count)[0]

    def weekly(
        self, policy: Policy, *, seed: int, first: int, count: int
    ) -> np.ndarray:
        """(count, weeks) int64: dogs infected here in each week of each run."""
        cases = self._run(policy, seed=seed, first=first, count=count)[1]
        return cases.astype(np.int64)

    def courses(
        self, policy: Policy, *, seed: int, first: int, count: int
    ) -> np.ndarray:
        """(count, dogs, 4) float64, see `Engine.courses`."""
        return self._run(policy, seed=seed, first=first, count=count, courses=count)[2]

    def _run(
        self, policy: Policy, *, seed: int, first: int, count: int, courses: int = 0
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        days = self.scenario.days
        rules = pack_rules(policy)
        run = new_run(
            self.packed, pack_policy(policy), rules, litters=self.litters, days=days
        )
        out = np.empty((count, OUTCOMES + len(rules)))
        weekly = np.empty((count, weeks(days)))
        told = np.empty((courses, len(self.scenario.dogs), 4))
        run_many(run, seed, first, out, weekly, told)
        given = [OUTCOMES + place for place in np.argsort(policy.order, kind="stable")]
        return out[:, [*range(OUTCOMES), *given]], weekly, told
