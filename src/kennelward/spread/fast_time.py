"""Compiled pieces of the fast engine: time passing in a place, and the calendar."""

from math import exp

from kennelward.spread.fast_dogs import count_case, infect, take_out, uniform
from kennelward.spread.fast_state import (
    APART,
    ASTIR,
    BUSY,
    DAY,
    DECAY,
    DIRT,
    ENDS,
    ENTERED,
    EVENT,
    FLOOR,
    FULL,
    HAZARD,
    HERE,
    INFECTED,
    INSIDE,
    LEAST,
    LEFT,
    N_BIRTH,
    N_DEPOSIT,
    N_DROP,
    N_PICK,
    N_PULSE,
    N_TAIL,
    N_VENEREAL,
    PLACE,
    R_CLEANING,
    R_HYGIENE,
    SINCE,
    STARTS,
    STATUS,
    SUSCEPTIBLE,
    T_APART_NOW,
    T_LOAD,
    UID,
    UPTO,
    WORKS,
    X_DIRECT,
    X_PLACE,
    Run,
    helper,
    piece,
)
from kennelward.spread.keyed import Stream
from kennelward.spread.model import NEVER, Happens
from kennelward.spread.packing import PLACE_BITS

S_MATING, S_BIRTH = int(Stream.MATING), int(Stream.BIRTH)
MOVE, CLEAN, VISIT, WASH = map(
    int, (Happens.MOVE, Happens.CLEAN, Happens.VISIT, Happens.WASH)
)
MATE, BIRTH, LEAVE = map(int, (Happens.MATE, Happens.BIRTH, Happens.LEAVE))


@piece
def advance(run: Run, place: int, now: float) -> None:
    """Shedding, contamination and hazard of a place, from its last cut to `now`."""
    start = run.pen[place, SINCE]
    length = now - start
    run.pen[place, SINCE] = now
    dirt = run.pen[place, DIRT]
    if length <= 0 or (run.pen[place, INSIDE] == 0 and dirt == 0):
        return
    shed = 0.0
    if run.pen[place, INSIDE] > 0:
        shed = shed_in(run, place, start, now)
    if dirt < FLOOR and shed == 0:
        run.pen[place, DIRT] = 0.0
        return
    decay = run.pen[place, DECAY]
    kept = exp(-decay * length)
    gone = (1.0 - kept) / decay if decay > 0 else length
    met = dirt * gone
    dirt *= kept
    if shed > 0:
        rate = run.rates[N_DEPOSIT] * shed / length
        waiting = (length - gone) / decay if decay > 0 else length * length / 2
        dirt += rate * gone
        met += rate * waiting
    run.pen[place, DIRT] = dirt
    hazard = run.rates[X_DIRECT] * shed + run.rates[X_PLACE] * met
    before = run.pen[place, HAZARD]
    run.pen[place, HAZARD] = before + hazard
    if hazard > 0 and run.pen[place, LEAST] <= before + hazard:
        catch(run, place, start, length, hazard, before)


@helper
def shed_in(run: Run, place: int, start: float, now: float) -> float:
    """What the infected dogs of a place shed, in dog-days of full shedding."""
    shed = 0.0
    for n in range(run.lists[BUSY, run.lists.shape[1] - 1]):
        i = run.lists[BUSY, n]
        if run.who[i, PLACE] == place:
            full = min(run.dog[i, FULL], now) - max(run.dog[i, STARTS], start)
            late = min(run.dog[i, ENDS], now) - max(run.dog[i, FULL], start)
            shed += max(full, 0.0) + run.rates[N_TAIL] * max(late, 0.0)
    return shed


@piece
def catch(
    run: Run, place: int, start: float, length: float, hazard: float, before: float
) -> None:
    """Dogs of a place whose resistance its hazard has passed are infected."""
    least = NEVER
    for i in range(len(run.who)):
        if run.who[i, HERE] == 0 or run.who[i, PLACE] != place:
            continue
        level = run.dog[i, ENTERED] + run.dog[i, LEFT]
        if level <= before + hazard:
            at = start + length * ((level - before) / hazard)
            count_case(run, i, at)
            infect(run, i, at)
        else:
            least = min(least, level)
    run.pen[place, LEAST] = least


@helper
def is_quiet(run: Run, place: int) -> bool:
    """True where nobody sheds, or will, and nothing is contaminated."""
    return run.pen[place, DIRT] == 0 and run.pen[place, INSIDE] == 0


@piece
def wake(run: Run, woken: int) -> None:
    """Put every dog where the calendar has moved it: `woken` is quiet no more.

    Moves of uninfected dogs between quiet places are passed over; all that they change
    is caught up here. In every place that is not quiet, who is there is always known.
    """
    run.clock[ASTIR] |= 1 << woken % PLACE_BITS
    for i in range(len(run.who)):
        old = run.who[i, PLACE]
        if (
            run.who[i, HERE] == 0
            or run.who[i, STATUS] == INFECTED
            or run.pen[old, APART] != 0
        ):
            continue
        n, end = (
            run.first_move[run.clock[DAY], i],
            run.first_move[run.clock[DAY], i + 1],
        )
        while n + 1 < end and run.moves[n + 1, 0] < run.clock[EVENT]:
            n += 1
        if run.moves[n, 0] >= run.who[i, UPTO]:
            place = run.moves[n, 1]
            run.who[i, PLACE] = place
            if run.dog[i, LEFT] < NEVER:
                left = run.dog[i, LEFT] - (run.pen[old, HAZARD] - run.dog[i, ENTERED])
                run.dog[i, LEFT] = left
                run.pen[place, LEAST] = min(
                    run.pen[place, LEAST], run.pen[place, HAZARD] + left
                )
            run.dog[i, ENTERED] = run.pen[place, HAZARD]
        run.who[i, UPTO] = run.clock[EVENT]


@helper
def put(run: Run, i: int, place: int, upto: int) -> None:
    """Into another place, with what is left of its resistance; both are up to date."""
    if run.who[i, STATUS] == INFECTED and is_quiet(run, place):
        wake(run, place)
    old = run.who[i, PLACE]
    run.who[i, PLACE] = place
    run.who[i, UPTO] = upto
    run.tally[T_APART_NOW] += run.pen[place, APART] - run.pen[old, APART]
    if run.who[i, STATUS] == INFECTED:
        run.pen[old, INSIDE] -= 1
        run.pen[place, INSIDE] += 1
    elif run.dog[i, LEFT] < NEVER:
        left = run.dog[i, LEFT] - (run.pen[old, HAZARD] - run.dog[i, ENTERED])
        run.dog[i, LEFT] = left
        run.pen[place, LEAST] = min(
            run.pen[place, LEAST], run.pen[place, HAZARD] + left
        )
    run.dog[i, ENTERED] = run.pen[place, HAZARD]


@helper
def carry(run: Run, load: float) -> None:
    """The load that staff carry on."""
    run.tally[T_LOAD] = load if load >= FLOOR else 0.0


@helper
def visit(run: Run, place: int) -> None:
    """Staff leave some of their load and pick some up."""
    load, dirt = run.tally[T_LOAD], run.pen[place, DIRT]
    if load == 0 and dirt == 0:
        return
    dropped = run.rates[N_DROP] * load
    picked = run.rates[N_PICK] * dirt
    after = dirt + (dropped - picked)
    if after < FLOOR:
        after = 0.0
    elif is_quiet(run, place):
        wake(run, place)
    run.pen[place, DIRT] = after
    carry(run, load + (picked - dropped))


@helper
def leave(run: Run, i: int) -> None:
    """A dog goes for good."""
    if run.who[i, HERE] != 0:
        run.who[i, HERE] = 0
        place = run.who[i, PLACE]
        run.tally[T_APART_NOW] -= run.pen[place, APART]
        if run.who[i, STATUS] == INFECTED:
            run.pen[place, INSIDE] -= 1
            take_out(run, BUSY, i)


@piece
def mate(run: Run, a: int, b: int, now: float) -> None:
    """A mating; both dogs' places are up to date."""
    for side in range(2):
        one = a if side == 0 else b
        two = b if side == 0 else a
        if run.who[two, STATUS] != INFECTED or run.who[one, STATUS] != SUSCEPTIBLE:
            continue
        if not (run.dog[two, STARTS] <= now and now < run.dog[two, ENDS]):
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


@helper
def move(run: Run, i: int, place: int, now: float) -> None:
    """The calendar moves a dog."""
    old = run.who[i, PLACE]
    infected = run.who[i, STATUS] == INFECTED
    if not infected and is_quiet(run, old) and is_quiet(run, place):
        return
    if run.who[i, HERE] == 0 or run.pen[old, APART] != 0:
        return
    for side in range(2):
        advance(run, old if side == 0 else place, now)
    put(run, i, place, run.clock[EVENT] + 1)


@piece
def breed(run: Run, what: int, a: int, b: int, now: float) -> None:
    """A mating, a whelping or a leaving of a dog that is here."""
    if run.who[a, HERE] == 0 or (what == MATE and run.who[b, HERE] == 0):
        return
    sheds = (
        run.who[a, STATUS] == INFECTED
        and run.dog[a, STARTS] <= now
        and now < run.dog[a, ENDS]
    )
    if what == BIRTH and not sheds:
        return
    advance(run, run.who[a, PLACE], now)
    if what == MATE:
        advance(run, run.who[b, PLACE], now)
        mate(run, a, b, now)
    elif what == BIRTH:
        birth(run, a, now)
    else:
        leave(run, a)


@helper
def apply_event(run: Run, n: int) -> None:
    """One thing on the calendar, in a kennel that is not clean."""
    now, x = run.events[n, 0], run.events[n, 1]
    what, a = int(run.events[n, 2]), int(run.events[n, 3])
    if what == MOVE:
        move(run, a, int(run.events[n, 4]), now)
    elif what == WASH:
        if run.tally[T_LOAD] != 0:
            carry(run, run.tally[T_LOAD] * (x * run.rates[R_HYGIENE]))
    elif what in (VISIT, CLEAN):
        advance(run, a, now)
        if what == VISIT:
            visit(run, a)
        elif run.pen[a, DIRT] != 0:
            logs = x * run.pen[a, WORKS] * run.rates[R_CLEANING]
            dirt = run.pen[a, DIRT] * 10.0**-logs
            run.pen[a, DIRT] = dirt if dirt >= FLOOR else 0.0
    else:
        breed(run, what, a, int(run.events[n, 4]), now)
