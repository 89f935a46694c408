"""Compiled pieces of the fast engine: luck, and one dog's infection."""

from math import ceil, floor, log

import numpy as np

from kennelward.spread.fast_state import (
    BUSY,
    DAY,
    DEATH_AFTER_SIGNS,
    DIES,
    ENDS,
    ENTERED,
    FULL,
    HAZARD,
    INFECTED,
    INFECTED_AT,
    INSIDE,
    LATENCY,
    LEAST,
    LEFT,
    LITTER,
    LITTERS,
    N_AGAIN,
    N_CHRONIC,
    N_CLINICAL,
    N_DEATH,
    N_FULL,
    N_KEEPS,
    N_NOTICE,
    N_ON_DAYS,
    N_ON_SHARE,
    NOTICED,
    ON,
    PLACE,
    PROTECTED,
    SHEDDING,
    SIGMA,
    SIGN_DELAY,
    SIGNS,
    SPELL,
    SPELL_KEYS,
    STARTS,
    STATUS,
    SUSCEPTIBILITY,
    SUSCEPTIBLE,
    T_CASES,
    T_LITTERS,
    TALLY,
    UID,
    VACCINATED,
    Run,
    helper,
    once,
    piece,
)
from kennelward.spread.keyed import GOLDEN, OTHER, Stream
from kennelward.spread.model import NEVER

STEPS = 256
S_RESISTANCE, S_LATENCY, S_SHEDDING = map(
    int, (Stream.RESISTANCE, Stream.LATENCY, Stream.SHEDDING)
)
S_CLINICAL, S_SIGN_DELAY, S_NOTICE = map(
    int, (Stream.CLINICAL, Stream.SIGN_DELAY, Stream.NOTICE)
)
S_CARRIED, S_CARRIED_SINCE, S_DEATH, S_SHEDS = map(
    int, (Stream.CARRIED_IN, Stream.CARRIED_SINCE, Stream.DEATH, Stream.SHEDS)
)
MIX_1, MIX_2 = np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB)
U_GOLDEN, U_OTHER = np.uint64(GOLDEN), np.uint64(OTHER)
U30, U27, U31, U11 = np.uint64(30), np.uint64(27), np.uint64(31), np.uint64(11)


@helper
def mixed(x: np.uint64) -> np.uint64:
    """SplitMix64's finaliser."""
    x = (x ^ (x >> U30)) * MIX_1
    x = (x ^ (x >> U27)) * MIX_2
    return x ^ (x >> U31)


@once
def base_key(seed: int, replicate: int, stream: int) -> np.uint64:
    """What all draws of a stream in one run share."""
    return mixed(
        np.uint64(seed) + mixed(np.uint64(replicate) * U_GOLDEN + np.uint64(stream))
    )


@helper
def uniform(key: np.uint64, who: int, which: int) -> float:
    """As `keyed.uniform`, bit for bit."""
    word = mixed(key ^ mixed(np.uint64(who) * U_OTHER + np.uint64(which)))
    return (float(word >> U11) + 0.5) * 2.0**-53


@helper
def from_table(run: Run, which: int, share: float) -> float:
    """As `tables.from_table`."""
    at = share * STEPS
    low = min(floor(at), STEPS - 1)
    part = at - low
    return run.tables[which, low] + part * (
        run.tables[which, low + 1] - run.tables[which, low]
    )


@helper
def insert(run: Run, row: int, i: int) -> None:
    """Into a list kept in the order of uid, so that sums have the plain engine's bits."""
    last = run.lists.shape[1] - 1
    at = run.lists[row, last]
    run.lists[row, last] = at + 1
    while at > 0 and run.lists[row, at - 1] > i:
        run.lists[row, at] = run.lists[row, at - 1]
        at -= 1
    run.lists[row, at] = i


@helper
def take_out(run: Run, row: int, i: int) -> None:
    """Out of such a list."""
    last = run.lists.shape[1] - 1
    at = 0
    while run.lists[row, at] != i:
        at += 1
    count = run.lists[row, last] - 1
    run.lists[row, last] = count
    for n in range(at, count):
        run.lists[row, n] = run.lists[row, n + 1]


@once
def susceptibility(run: Run, i: int, now: float) -> float:
    """Against an average grown dog, as of now."""
    if now < run.given[i, PROTECTED]:
        return 0.0
    sigma = run.given[i, SUSCEPTIBILITY]
    if run.who[i, VACCINATED] != 0:
        sigma = min(sigma, run.rates[N_KEEPS])
    if run.who[i, SPELL] > 0:
        sigma *= run.rates[N_AGAIN]
    return sigma


@once
def sheds_today(run: Run, i: int) -> int:
    """0 through a block of days in which an infected dog sheds nothing, else 1."""
    if run.rates[N_ON_SHARE] >= 1:
        return 1
    block = run.clock[DAY] // int(run.rates[N_ON_DAYS])
    which = block * SPELL_KEYS + run.who[i, SPELL] % SPELL_KEYS
    luck = uniform(run.keys[S_SHEDS], run.fixed[i, UID], which)
    return 1 if luck < run.rates[N_ON_SHARE] else 0


@helper
def new_spell(run: Run, i: int, now: float) -> None:
    """A fresh resistance, on top of what the place has already done."""
    run.who[i, STATUS] = SUSCEPTIBLE
    place = run.who[i, PLACE]
    spell = run.who[i, SPELL]
    sigma = susceptibility(run, i, now)
    run.dog[i, SIGMA] = sigma
    run.dog[i, ENTERED] = run.pen[place, HAZARD]
    run.dog[i, LEFT] = NEVER
    if sigma != 0:
        resistance = -log(uniform(run.keys[S_RESISTANCE], run.fixed[i, UID], spell))
        run.dog[i, LEFT] = resistance / sigma
        level = run.dog[i, ENTERED] + run.dog[i, LEFT]
        run.pen[place, LEAST] = min(run.pen[place, LEAST], level)


@piece
def infect(run: Run, i: int, at: float) -> None:
    """Infection at a moment: its whole course is drawn now."""
    uid, spell = run.fixed[i, UID], run.who[i, SPELL]
    run.who[i, STATUS] = INFECTED
    run.who[i, DIES] = 0
    run.who[i, ON] = sheds_today(run, i)
    run.pen[run.who[i, PLACE], INSIDE] += 1
    insert(run, BUSY, i)
    starts = at + from_table(run, LATENCY, uniform(run.keys[S_LATENCY], uid, spell))
    length = from_table(run, SHEDDING, uniform(run.keys[S_SHEDDING], uid, spell))
    full, ends = starts + length * run.rates[N_FULL], starts + length
    if run.rates[N_CHRONIC] != 0:
        full = ends = NEVER
    signs = noticed = NEVER
    if uniform(run.keys[S_CLINICAL], uid, spell) < run.rates[N_CLINICAL]:
        luck = uniform(run.keys[S_SIGN_DELAY], uid, spell)
        signs = starts + from_table(run, SIGN_DELAY, luck)
        if uniform(run.keys[S_DEATH], uid, spell) < run.rates[N_DEATH]:
            run.who[i, DIES] = 1
            ends = signs + DEATH_AFTER_SIGNS
            full = min(full, ends)
        wait = 0.0
        if run.rates[N_NOTICE] <= 0:
            wait = NEVER
        elif run.rates[N_NOTICE] < 1:
            luck = uniform(run.keys[S_NOTICE], uid, spell)
            wait = floor(log(luck) / log(1 - run.rates[N_NOTICE]))
        noticed = ceil(signs) + wait
        if noticed >= ends:
            noticed = NEVER
    run.dog[i, LEFT] = NEVER
    run.dog[i, INFECTED_AT], run.dog[i, STARTS], run.dog[i, FULL] = at, starts, full
    run.dog[i, ENDS], run.dog[i, SIGNS], run.dog[i, NOTICED] = ends, signs, noticed


@helper
def count_case(run: Run, i: int, at: float) -> None:
    """A case infected here."""
    run.tally[T_CASES] += 1
    litter = run.fixed[i, LITTER]
    if litter >= 0 and run.tally[TALLY + litter] == 0:
        run.tally[TALLY + litter] = 1
        run.tally[T_LITTERS] += 1
    weeks = TALLY + run.clock[LITTERS]
    week = min(int(at) // 7, run.tally.shape[0] - weeks - 1)
    run.tally[weeks + week] += 1
