"""Compiled pieces of the fast engine: what staff see and do once a day."""

from math import ceil

import numpy as np

from kennelward.spread.fast_dogs import (
    drop_busy,
    enter,
    from_table,
    is_apart,
    move,
    new_spell,
    uniform,
)
from kennelward.spread.fast_state import (
    GONE,
    IMMUNE,
    INFECTED,
    N_AB_FROM,
    N_AB_FULL,
    N_AGAIN,
    N_DELAY,
    N_ISOLATION,
    N_QUARANTINE,
    N_SPECIFICITY,
    R_ACT_AFTER,
    R_CLOSE,
    R_ISOLATE_NOTICED,
    R_ISOLATE_POSITIVE,
    R_ISOLATION_DAYS,
    R_QUARANTINE,
    R_ROOM,
    R_TEST_1,
    R_TEST_2,
    R_TEST_ALL,
    R_TEST_NOTICED,
    SUSCEPTIBLE,
    T_APART,
    T_APART_NOW,
    T_BUSY,
    T_CLOSED,
    T_DEATHS,
    T_NEXT_ACT,
    T_NEXT_AGE,
    T_NEXT_END,
    T_NEXT_LOOK,
    T_NEXT_NOTICE,
    T_NOTICED,
    T_SICK,
    T_TESTS,
    State,
    compiled,
)
from kennelward.spread.keyed import Stream
from kennelward.spread.model import NEVER
from kennelward.spread.packing import TEST_SLOTS, Packed

S_TEST, S_DETECTABLE = int(Stream.TEST), int(Stream.DETECTABLE)


@compiled
def daily(
    m: Packed,
    s: State,
    rules: np.ndarray,
    seed: int,
    replicate: int,
    now: float,
    comes: bool,
) -> None:
    """The plain engine's five passes, each only where something is pending."""
    t = s.tally
    if comes:
        arrivals(m, s, rules, seed, replicate, now)
    if t[T_NEXT_END] <= now:
        recover(m, s, seed, replicate, now)
    if t[T_NEXT_AGE] <= now:
        unprotect(m, s, seed, replicate, now)
    for k in range(int(t[T_BUSY])):
        i = s.busy[k]
        if s.here[i] and s.signs_at[i] <= now:
            t[T_SICK] += 1
    t[T_APART] += t[T_APART_NOW]
    if t[T_NEXT_NOTICE] <= now or t[T_NEXT_LOOK] <= now:
        t[T_NEXT_NOTICE] = NEVER
        for i in range(len(s.here)):
            if s.here[i]:
                look(m, s, rules, seed, replicate, i, now)
        pending_looks(s)
    if t[T_NEXT_ACT] <= now:
        act_all(m, s, rules, now)


@compiled
def act_all(m: Packed, s: State, rules: np.ndarray, now: float) -> None:
    """Every dog that is to be acted on, and when the next one is."""
    for i in range(len(s.here)):
        if s.here[i]:
            act(m, s, rules, i, now)
    s.tally[T_NEXT_ACT] = NEVER
    for i in range(len(s.here)):
        if s.here[i]:
            soonest = min(s.act_on[i], s.release_on[i])
            s.tally[T_NEXT_ACT] = min(s.tally[T_NEXT_ACT], soonest)


@compiled
def pending_looks(s: State) -> None:
    """When the next look is needed: the soonest test, result or unnoticed sign."""
    t = s.tally
    t[T_NEXT_LOOK] = NEVER
    for i in range(len(s.here)):
        if not s.here[i]:
            continue
        soonest = s.result_on[i]
        for slot in range(TEST_SLOTS):
            soonest = min(soonest, s.test_on[i, slot])
        t[T_NEXT_LOOK] = min(t[T_NEXT_LOOK], soonest)
        if s.status[i] == INFECTED and not s.known[i]:
            t[T_NEXT_NOTICE] = min(t[T_NEXT_NOTICE], s.noticed_at[i])


@compiled
def arrivals(
    m: Packed, s: State, rules: np.ndarray, seed: int, replicate: int, now: float
) -> None:
    """Dogs that come today, unless the gate is closed."""
    quarantine = int(m.numbers[N_QUARANTINE])
    for i in range(len(s.here)):
        due = m.arrives_on[i] >= 0 and ceil(m.arrives_on[i]) == now
        if not due or s.tally[T_CLOSED] != 0:
            continue
        apart = rules[R_QUARANTINE] > 0 and quarantine >= 0
        enter(m, s, seed, replicate, i, now, quarantine if apart else m.home[i])
        s.release_on[i] = now + rules[R_QUARANTINE] if apart else NEVER
        s.tally[T_NEXT_ACT] = min(s.tally[T_NEXT_ACT], s.release_on[i])
        for slot in range(2):
            after = rules[R_TEST_1] if slot == 0 else rules[R_TEST_2]
            if after < NEVER:
                s.test_on[i, slot] = now + after
                s.tally[T_NEXT_LOOK] = min(s.tally[T_NEXT_LOOK], now + after)


@compiled
def recover(m: Packed, s: State, seed: int, replicate: int, now: float) -> None:
    """Infections that have run their course: death, immunity or a new spell."""
    t = s.tally
    t[T_NEXT_END] = NEVER
    k = 0
    while k < int(t[T_BUSY]):
        i = s.busy[k]
        if not s.here[i]:
            k += 1
            continue
        if s.ends[i] > now:
            t[T_NEXT_END] = min(t[T_NEXT_END], s.ends[i])
            k += 1
            continue
        drop_busy(s, i)
        if s.dies[i]:
            t[T_DEATHS] += 1
            if is_apart(m, s.place[i]):
                t[T_APART_NOW] -= 1
            s.here[i] = False
            s.status[i] = GONE
        elif m.numbers[N_AGAIN] < 0:
            s.status[i] = IMMUNE
        else:
            s.spell[i] += 1
            s.known[i] = False
            new_spell(m, s, seed, replicate, i, now)


@compiled
def unprotect(m: Packed, s: State, seed: int, replicate: int, now: float) -> None:
    """Dogs whose protection has run out become susceptible."""
    s.tally[T_NEXT_AGE] = NEVER
    for i in range(len(s.here)):
        if s.here[i] and s.status[i] == SUSCEPTIBLE and s.sigma[i] == 0:
            if m.protected_until[i] <= now:
                new_spell(m, s, seed, replicate, i, now)
            else:
                s.tally[T_NEXT_AGE] = min(s.tally[T_NEXT_AGE], m.protected_until[i])


@compiled
def look(
    m: Packed,
    s: State,
    rules: np.ndarray,
    seed: int,
    replicate: int,
    i: int,
    now: float,
) -> None:
    """Signs noticed, tests taken, results back."""
    if s.status[i] == INFECTED and s.noticed_at[i] <= now and not s.known[i]:
        s.known[i] = True
        case_known(s, rules, now)
        if rules[R_ISOLATE_NOTICED] != 0:
            plan_act(s, i, now + rules[R_ACT_AFTER])
        if rules[R_TEST_NOTICED] != 0:
            s.test_on[i, 2] = now
    for slot in range(TEST_SLOTS):
        if s.test_on[i, slot] <= now:
            s.test_on[i, slot] = NEVER
            test(m, s, seed, replicate, i, now)
    if s.result_on[i] <= now:
        s.result_on[i] = NEVER
        if s.result[i] and not s.known[i]:
            s.known[i] = True
            case_known(s, rules, now)
        if s.result[i] and rules[R_ISOLATE_POSITIVE] != 0:
            plan_act(s, i, now + rules[R_ACT_AFTER])


@compiled
def plan_act(s: State, i: int, on: float) -> None:
    """Act on a dog on a day."""
    s.act_on[i] = on
    s.tally[T_NEXT_ACT] = min(s.tally[T_NEXT_ACT], on)


@compiled
def case_known(s: State, rules: np.ndarray, now: float) -> None:
    """The kennel's first known case sets its response going."""
    if s.tally[T_NOTICED] < NEVER:
        return
    s.tally[T_NOTICED] = now
    s.tally[T_CLOSED] = rules[R_CLOSE]
    if rules[R_TEST_ALL] != 0:
        for i in range(len(s.here)):
            if s.here[i]:
                s.test_on[i, 2] = now + 1 + rules[R_ACT_AFTER]


@compiled
def test(m: Packed, s: State, seed: int, replicate: int, i: int, now: float) -> None:
    """One sample taken; its result comes after the delay."""
    s.tally[T_TESTS] += 1
    luck = uniform(seed, replicate, S_TEST, m.uid[i], int(now))
    s.result[i] = luck < chance_positive(m, s, seed, replicate, i, now)
    s.result_on[i] = now + m.numbers[N_DELAY]


@compiled
def chance_positive(
    m: Packed, s: State, seed: int, replicate: int, i: int, now: float
) -> float:
    """As the dog is now, with its own detectability."""
    false = float(1.0 - m.numbers[N_SPECIFICITY])
    if s.status[i] != INFECTED:
        return false
    sick = 1 if s.signs_at[i] <= now else 0
    luck = uniform(seed, replicate, S_DETECTABLE, m.uid[i], s.spell[i])
    found = from_table(m.effect[sick], luck)
    first, full = m.numbers[N_AB_FROM], m.numbers[N_AB_FULL]
    if first >= 0:
        since = now - s.infected_at[i]
        if since < first:
            return false
        if since < full:
            found *= (since - first) / (full - first)
        return float(max(found, false))
    if not (s.starts[i] <= now and now < s.ends[i]):
        return false
    return float(max(found, false))


@compiled
def act(m: Packed, s: State, rules: np.ndarray, i: int, now: float) -> None:
    """Isolate, or let back."""
    isolation = int(m.numbers[N_ISOLATION])
    if s.act_on[i] <= now:
        s.act_on[i] = NEVER
        if isolation >= 0 and has_room(s, rules, isolation):
            move(m, s, i, isolation)
            s.release_on[i] = now + rules[R_ISOLATION_DAYS]
    elif s.release_on[i] <= now:
        s.release_on[i] = NEVER
        if is_apart(m, s.place[i]):
            move(m, s, i, m.home[i])


@compiled
def has_room(s: State, rules: np.ndarray, isolation: int) -> bool:
    """True where another dog can be isolated."""
    inside = 0
    for i in range(len(s.here)):
        if s.here[i] and s.place[i] == isolation:
            inside += 1
    return bool(inside < rules[R_ROOM])
