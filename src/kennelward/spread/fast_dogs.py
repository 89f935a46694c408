"""Compiled pieces of the fast engine: luck, one dog's infection, moves."""

from math import ceil, exp, floor, log

import numpy as np

from kennelward.spread.fast_state import (
    DEATH_AFTER_SIGNS,
    INFECTED,
    ISOLATION,
    N_AGAIN,
    N_CHRONIC,
    N_CLINICAL,
    N_DEATH,
    N_FULL,
    N_NOTICE,
    QUARANTINE,
    SUSCEPTIBLE,
    T_APART_NOW,
    T_BUSY,
    T_CARRIED,
    T_CASES,
    T_NEXT_AGE,
    T_NEXT_END,
    T_NEXT_NOTICE,
    State,
    compiled,
)
from kennelward.spread.keyed import GOLDEN, OTHER, Stream
from kennelward.spread.model import NEVER
from kennelward.spread.packing import Packed

STEPS = 256
S_RESISTANCE, S_LATENCY, S_SHEDDING = map(
    int, (Stream.RESISTANCE, Stream.LATENCY, Stream.SHEDDING)
)
S_CLINICAL, S_SIGN_DELAY, S_NOTICE = map(
    int, (Stream.CLINICAL, Stream.SIGN_DELAY, Stream.NOTICE)
)
S_CARRIED, S_DEATH = int(Stream.CARRIED_IN), int(Stream.DEATH)
MIX_1, MIX_2 = np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB)
U_GOLDEN, U_OTHER = np.uint64(GOLDEN), np.uint64(OTHER)
U30, U27, U31, U11 = np.uint64(30), np.uint64(27), np.uint64(31), np.uint64(11)


@compiled
def mixed(x: np.uint64) -> np.uint64:
    """SplitMix64's finaliser."""
    x = (x ^ (x >> U30)) * MIX_1
    x = (x ^ (x >> U27)) * MIX_2
    return x ^ (x >> U31)


@compiled
def uniform(seed: int, replicate: int, stream: int, who: int, which: int) -> float:
    """As `keyed.uniform`, bit for bit."""
    base = mixed(
        np.uint64(seed) + mixed(np.uint64(replicate) * U_GOLDEN + np.uint64(stream))
    )
    word = mixed(base ^ mixed(np.uint64(who) * U_OTHER + np.uint64(which)))
    return (float(word >> U11) + 0.5) * 2.0**-53


@compiled
def from_table(table: np.ndarray, share: float) -> float:
    """As `tables.from_table`."""
    at = share * STEPS
    low = min(floor(at), STEPS - 1)
    part = at - low
    return float(table[low] + part * (table[low + 1] - table[low]))


@compiled
def vary(m: Packed, seed: int, replicate: int, stream: int, sd: float) -> float:
    """What is not known about a rate, drawn once a run."""
    if sd == 0:
        return 1.0
    return exp(sd * from_table(m.normal, uniform(seed, replicate, stream, 0, 0)))


@compiled
def is_apart(m: Packed, place: int) -> bool:
    """True for quarantine and isolation."""
    kind = m.place_kind[place]
    return kind in (QUARANTINE, ISOLATION)


@compiled
def sigma_of(m: Packed, s: State, i: int, now: float) -> float:
    """Susceptibility now."""
    if now < m.protected_until[i]:
        return 0.0
    factor = m.numbers[N_AGAIN] if s.spell[i] > 0 else 1.0
    return float(m.susceptibility[i] * factor)


@compiled
def new_spell(
    m: Packed, s: State, seed: int, replicate: int, i: int, now: float
) -> None:
    """A fresh resistance, on top of what the place has already done."""
    s.status[i] = SUSCEPTIBLE
    s.sigma[i] = sigma_of(m, s, i, now)
    luck = uniform(seed, replicate, S_RESISTANCE, m.uid[i], s.spell[i])
    resistance = -log(luck)
    place = s.place[i]
    if s.sigma[i] != 0:
        s.level[i] = s.hazard[place] + resistance / s.sigma[i]
        s.least[place] = min(s.least[place], s.level[i])
    else:
        s.level[i] = NEVER
        s.tally[T_NEXT_AGE] = min(s.tally[T_NEXT_AGE], m.protected_until[i])


@compiled
def enter(
    m: Packed, s: State, seed: int, replicate: int, i: int, now: float, place: int
) -> None:
    """A dog comes in, perhaps infected."""
    s.here[i] = True
    s.place[i] = place
    if is_apart(m, place):
        s.tally[T_APART_NOW] += 1
    chance = m.chance_infected[i]
    if chance > 0 and uniform(seed, replicate, S_CARRIED, m.uid[i], 0) < chance:
        s.tally[T_CARRIED] += 1
        infect(m, s, seed, replicate, i, now)
    else:
        new_spell(m, s, seed, replicate, i, now)


@compiled
def infect(m: Packed, s: State, seed: int, replicate: int, i: int, at: float) -> None:
    """Infection at a moment: its whole course is drawn now."""
    uid, spell = m.uid[i], s.spell[i]
    s.status[i] = INFECTED
    s.infected_at[i] = at
    s.level[i] = NEVER
    s.starts[i] = at + from_table(
        m.latency, uniform(seed, replicate, S_LATENCY, uid, spell)
    )
    length = from_table(m.shedding, uniform(seed, replicate, S_SHEDDING, uid, spell))
    s.full_until[i] = s.starts[i] + length * m.numbers[N_FULL]
    s.ends[i] = s.starts[i] + length
    if m.numbers[N_CHRONIC] != 0:
        s.full_until[i] = NEVER
        s.ends[i] = NEVER
    s.signs_at[i] = NEVER
    s.noticed_at[i] = NEVER
    s.dies[i] = False
    if uniform(seed, replicate, S_CLINICAL, uid, spell) < m.numbers[N_CLINICAL]:
        fall_ill(m, s, seed, replicate, i)
    s.tally[T_NEXT_NOTICE] = min(s.tally[T_NEXT_NOTICE], s.noticed_at[i])
    s.tally[T_NEXT_END] = min(s.tally[T_NEXT_END], s.ends[i])
    add_busy(s, i)


@compiled
def fall_ill(m: Packed, s: State, seed: int, replicate: int, i: int) -> None:
    """Signs, death, and the day staff notice."""
    uid, spell = m.uid[i], s.spell[i]
    delay = from_table(m.sign_delay, uniform(seed, replicate, S_SIGN_DELAY, uid, spell))
    s.signs_at[i] = s.starts[i] + delay
    s.dies[i] = uniform(seed, replicate, S_DEATH, uid, spell) < m.numbers[N_DEATH]
    if s.dies[i]:
        s.ends[i] = s.signs_at[i] + DEATH_AFTER_SIGNS
        s.full_until[i] = min(s.full_until[i], s.ends[i])
    notice = m.numbers[N_NOTICE]
    wait = 0.0
    if notice <= 0:
        wait = NEVER
    elif notice < 1:
        luck = uniform(seed, replicate, S_NOTICE, uid, spell)
        wait = floor(log(luck) / log(1 - notice))
    noticed = ceil(s.signs_at[i]) + wait
    s.noticed_at[i] = noticed if noticed < s.ends[i] else NEVER


@compiled
def add_busy(s: State, i: int) -> None:
    """Keep the infected in the order of uid, so that sums have the plain engine's bits."""
    count = int(s.tally[T_BUSY])
    at = count
    while at > 0 and s.busy[at - 1] > i:
        s.busy[at] = s.busy[at - 1]
        at -= 1
    s.busy[at] = i
    s.tally[T_BUSY] = count + 1


@compiled
def drop_busy(s: State, i: int) -> None:
    """Take one out of the infected."""
    count = int(s.tally[T_BUSY])
    at = 0
    while s.busy[at] != i:
        at += 1
    for k in range(at, count - 1):
        s.busy[k] = s.busy[k + 1]
    s.tally[T_BUSY] = count - 1


@compiled
def count_case(m: Packed, s: State, i: int) -> None:
    """A case infected here."""
    s.tally[T_CASES] += 1
    if m.litter[i] >= 0:
        s.hit[m.litter[i]] = True


@compiled
def move(m: Packed, s: State, i: int, place: int) -> None:
    """To another place, with what is left of its resistance."""
    old = s.place[i]
    if s.level[i] < NEVER:
        s.level[i] = s.hazard[place] + (s.level[i] - s.hazard[old])
        s.least[place] = min(s.least[place], s.level[i])
    s.place[i] = place
    if is_apart(m, place):
        s.tally[T_APART_NOW] += 1
    if is_apart(m, old):
        s.tally[T_APART_NOW] -= 1
