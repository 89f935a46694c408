"""Compiled pieces of the fast engine: matings, births, leavings, and any one event."""

from kennelward.spread.fast_dogs import count_case, infect, take_out, uniform
from kennelward.spread.fast_state import (
    APART,
    APART_BY,
    ASTIR,
    BUSY,
    DIRT,
    ENDS,
    HERE,
    INFECTED,
    INSIDE,
    MATINGS,
    N_BIRTH,
    N_PULSE,
    N_UNWASHED,
    N_VENEREAL,
    ON,
    PLACE,
    S_NOW,
    SALES,
    SINCE,
    SOLD,
    STARTS,
    STATUS,
    SUSCEPTIBLE,
    T_APART_NOW,
    T_CLOSED,
    T_HELD,
    T_LOAD,
    UID,
    WAITS,
    X_HYGIENE,
    X_LOGS,
    X_SPREAD,
    Run,
    helper,
    once,
    piece,
)
from kennelward.spread.fast_time import (
    advance,
    bring_on,
    carry,
    clean,
    is_quiet,
    put,
    visit,
    wake,
)
from kennelward.spread.keyed import Stream
from kennelward.spread.model import Happens
from kennelward.spread.packing import PLACE_BITS

S_MATING, S_BIRTH = int(Stream.MATING), int(Stream.BIRTH)
(MOVE, CLEAN, VISIT, WASH, MATE, BIRTH, LEAVE) = map(int, Happens)


@once
def no_longer_apart(run: Run, i: int) -> None:
    """Of the rule that put it apart, one dog fewer."""
    if run.who[i, APART_BY] >= 0:
        run.state[run.who[i, APART_BY], S_NOW] -= 1
    run.who[i, APART_BY] = -1


@once
def would_leave(run: Run, i: int) -> None:
    """A dog goes, unless it is sold and sales are closed; its place is up to date."""
    if run.fixed[i, SOLD] != 0 and int(run.tally[T_CLOSED]) & SALES != 0:
        if run.who[i, HERE] != 0:
            run.who[i, WAITS] = 1
        return
    leave(run, i)


@helper
def leave(run: Run, i: int) -> None:
    """A dog goes for good."""
    if run.who[i, HERE] != 0:
        run.who[i, HERE] = run.who[i, WAITS] = 0
        no_longer_apart(run, i)
        place = run.who[i, PLACE]
        run.tally[T_APART_NOW] -= run.pen[place, APART]
        if run.who[i, STATUS] == INFECTED:
            run.pen[place, INSIDE] -= 1
            take_out(run, BUSY, i)


@helper
def sheds(run: Run, i: int, now: float) -> bool:
    """True of an infected dog that sheds now."""
    return (
        run.who[i, STATUS] == INFECTED
        and run.dog[i, STARTS] <= now
        and now < run.dog[i, ENDS]
        and run.who[i, ON] != 0
    )


@piece
def mate(run: Run, a: int, b: int, now: float) -> None:
    """A mating; both dogs' places are up to date."""
    for side in range(2):
        one = a if side == 0 else b
        two = b if side == 0 else a
        if run.who[two, STATUS] != INFECTED or run.who[one, STATUS] != SUSCEPTIBLE:
            continue
        if not sheds(run, two, now):
            continue
        if (
            uniform(run.keys[S_MATING], run.fixed[one, UID], int(now))
            < run.rates[N_VENEREAL]
        ):
            if is_quiet(run, run.who[one, PLACE]):
                wake(run, run.who[one, PLACE])
            if is_quiet(run, run.who[one, PLACE]):  # it was elsewhere by the calendar
                run.pen[run.who[one, PLACE], SINCE] = now
                run.clock[ASTIR] |= 1 << run.who[one, PLACE] % PLACE_BITS
            count_case(run, one, now)
            infect(run, one, now)
            return


@piece
def birth(run: Run, dam: int, now: float) -> None:
    """A shedding dam whelps: a pulse of contamination and direct exposure."""
    place = run.who[dam, PLACE]
    run.pen[place, DIRT] += run.rates[N_PULSE]
    for i in range(len(run.who)):
        exposed = run.who[i, HERE] != 0 and run.who[i, PLACE] == place
        if not exposed or run.who[i, STATUS] != SUSCEPTIBLE:
            continue
        if uniform(run.keys[S_BIRTH], run.fixed[i, UID], int(now)) < run.rates[N_BIRTH]:
            count_case(run, i, now)
            infect(run, i, now)


@piece
def breed(run: Run, what: int, a: int, b: int, now: float) -> None:
    """A mating, a whelping or a leaving of a dog that is here."""
    if run.who[a, HERE] == 0 or (what == MATE and run.who[b, HERE] == 0):
        return
    if what == BIRTH and not sheds(run, a, now):
        return
    if what == MATE and int(run.tally[T_CLOSED]) & MATINGS != 0:
        return
    advance(run, run.who[a, PLACE], now)
    if what == MATE:
        advance(run, run.who[b, PLACE], now)
        mate(run, a, b, now)
    elif what == BIRTH:
        birth(run, a, now)
    else:
        would_leave(run, a)


@helper
def apply_event(run: Run, n: int) -> None:
    """One thing on the calendar, in a kennel that is not clean."""
    now, x = run.events[n, 0], run.events[n, 1]
    what, a = int(run.events[n, 2]), int(run.events[n, 3])
    if what == WASH:
        if run.tally[T_LOAD] != 0:
            carry(run, run.tally[T_LOAD] * (x * run.rates[X_HYGIENE]))
        return
    if what >= MATE:
        breed(run, what, a, int(run.events[n, 4]), now)
        return
    other = int(run.events[n, 4])
    first = second = a
    if what == MOVE:
        first, second = run.who[a, PLACE], other
        if not goes(run, a, first, second):
            return
    for place in (first, second):
        if run.pen[place, SINCE] < now:
            bring_on(run, place, now)
    if what == MOVE:
        put(run, a, other, n + 1)
    elif what == VISIT:
        visit(run, a)
    elif run.pen[a, DIRT] != 0:
        washed = 1.0 if other != 0 else run.rates[N_UNWASHED]
        logs = x * run.rates[X_LOGS] * washed
        clean(run, a, now, logs, run.rates[X_SPREAD])


@helper
def goes(run: Run, i: int, old: int, place: int) -> bool:
    """True where a move by the calendar is made, and not passed over as quiet."""
    if run.tally[T_HELD] != 0 or run.who[i, HERE] == 0 or run.pen[old, APART] != 0:
        return False
    infected = run.who[i, STATUS] == INFECTED
    return infected or not is_quiet(run, old) or not is_quiet(run, place)
