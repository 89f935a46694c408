"""Compiled pieces of the fast engine: time passing, and the calendar."""

from math import exp

import numpy as np

from kennelward.spread.fast_dogs import (
    count_case,
    infect,
    is_apart,
    move,
    uniform,
)
from kennelward.spread.fast_state import (
    FLOOR,
    INFECTED,
    N_BIRTH,
    N_DEPOSIT,
    N_DROP,
    N_PICK,
    N_PULSE,
    N_TAIL,
    N_VENEREAL,
    R_CLEANING,
    R_HYGIENE,
    SUSCEPTIBLE,
    T_APART_NOW,
    T_BUSY,
    T_DECAY,
    T_DIRECT,
    T_DIRTY,
    T_LOAD,
    T_PLACE,
    State,
    compiled,
)
from kennelward.spread.keyed import Stream
from kennelward.spread.model import NEVER, Happens
from kennelward.spread.packing import Packed

S_MATING, S_BIRTH = int(Stream.MATING), int(Stream.BIRTH)
MOVE, CLEAN, VISIT, WASH = map(
    int, (Happens.MOVE, Happens.CLEAN, Happens.VISIT, Happens.WASH)
)
MATE, BIRTH, LEAVE = map(int, (Happens.MATE, Happens.BIRTH, Happens.LEAVE))


@compiled
def segment(
    m: Packed, s: State, seed: int, replicate: int, start: float, end: float
) -> None:
    """Shedding, contamination and hazard from `start` to `end`."""
    length = end - start
    busy = int(s.tally[T_BUSY])
    if length <= 0 or (busy == 0 and s.tally[T_DIRTY] == 0):
        return
    s.shed[:] = 0.0
    for k in range(busy):
        i = s.busy[k]
        if s.here[i]:
            full = min(s.full_until[i], end) - max(s.starts[i], start)
            late = min(s.ends[i], end) - max(s.full_until[i], start)
            amount = max(full, 0.0) + m.numbers[N_TAIL] * max(late, 0.0)
            s.shed[s.place[i]] += amount
    dirty = 0.0
    for place in range(len(s.dirt)):
        if s.dirt[place] < FLOOR and s.shed[place] == 0:
            s.dirt[place] = 0.0
        else:
            meet(m, s, seed, replicate, place, start, length)
        if s.dirt[place] > 0:
            dirty = 1.0
    s.tally[T_DIRTY] = dirty


@compiled
def meet(
    m: Packed,
    s: State,
    seed: int,
    replicate: int,
    place: int,
    start: float,
    length: float,
) -> None:
    """One place over one segment."""
    shed = s.shed[place]
    rate = m.numbers[N_DEPOSIT] * shed / length
    dirt = s.dirt[place]
    decay = m.decay[place] * s.tally[T_DECAY]
    left = exp(-decay * length)
    gone = (1.0 - left) / decay if decay > 0 else length
    waiting = (length - gone) / decay if decay > 0 else length * length / 2
    s.dirt[place] = dirt * left + rate * gone
    hazard = s.tally[T_DIRECT] * shed + s.tally[T_PLACE] * (
        dirt * gone + rate * waiting
    )
    if hazard <= 0:
        return
    before = s.hazard[place]
    after = before + hazard
    s.hazard[place] = after
    if s.least[place] > after:
        return
    least = NEVER
    for i in range(len(s.here)):
        if s.here[i] and s.place[i] == place:
            if s.level[i] <= after:
                at = start + length * (s.level[i] - before) / hazard
                count_case(m, s, i)
                infect(m, s, seed, replicate, i, at)
            else:
                least = min(least, s.level[i])
    s.least[place] = least


@compiled
def apply_event(
    m: Packed,
    s: State,
    rules: np.ndarray,
    seed: int,
    replicate: int,
    k: int,
) -> None:
    """One thing on the calendar."""
    what, a, x = m.event_what[k], m.event_a[k], m.event_x[k]
    if what == MOVE:
        if s.here[a] and not is_apart(m, s.place[a]):
            move(m, s, a, m.event_b[k])
    elif what == CLEAN:
        if s.dirt[a] != 0:
            logs = x * m.works[a] * rules[R_CLEANING]
            s.dirt[a] *= 10.0**-logs
    elif what == VISIT:
        visit(m, s, a)
    elif what == WASH:
        s.tally[T_LOAD] *= x * rules[R_HYGIENE]
    elif what == MATE:
        mate(m, s, seed, replicate, a, m.event_b[k], m.event_at[k])
    elif what == BIRTH:
        birth(m, s, seed, replicate, a, m.event_at[k])
    elif what == LEAVE:
        if s.here[a] and is_apart(m, s.place[a]):
            s.tally[T_APART_NOW] -= 1
        s.here[a] = False


@compiled
def visit(m: Packed, s: State, place: int) -> None:
    """Staff leave some of their load and pick some up."""
    load = s.tally[T_LOAD]
    if load == 0 and s.dirt[place] == 0:
        return
    dropped = m.numbers[N_DROP] * load
    picked = m.numbers[N_PICK] * s.dirt[place]
    s.dirt[place] += dropped - picked
    s.tally[T_LOAD] = load + (picked - dropped)
    if s.dirt[place] > 0:
        s.tally[T_DIRTY] = 1.0


@compiled
def sheds(s: State, i: int, now: float) -> bool:
    """True where the dog is here and shedding."""
    return bool(
        s.here[i] and s.status[i] == INFECTED and s.starts[i] <= now and now < s.ends[i]
    )


@compiled
def mate(
    m: Packed, s: State, seed: int, replicate: int, a: int, b: int, now: float
) -> None:
    """A mating with a shedding dog."""
    for side in range(2):
        one = a if side == 0 else b
        two = b if side == 0 else a
        if not sheds(s, two, now) or s.status[one] != SUSCEPTIBLE or not s.here[one]:
            continue
        luck = uniform(seed, replicate, S_MATING, m.uid[one], int(now))
        if luck < m.numbers[N_VENEREAL]:
            count_case(m, s, one)
            infect(m, s, seed, replicate, one, now)
            return


@compiled
def birth(m: Packed, s: State, seed: int, replicate: int, dam: int, now: float) -> None:
    """A shedding dam whelps: a pulse of contamination and direct exposure."""
    if not sheds(s, dam, now):
        return
    place = s.place[dam]
    s.dirt[place] += m.numbers[N_PULSE]
    s.tally[T_DIRTY] = 1.0
    for i in range(len(s.here)):
        exposed = s.here[i] and s.place[i] == place
        if not exposed or s.status[i] != SUSCEPTIBLE:
            continue
        luck = uniform(seed, replicate, S_BIRTH, m.uid[i], int(now))
        if luck < m.numbers[N_BIRTH]:
            count_case(m, s, i)
            infect(m, s, seed, replicate, i, now)
