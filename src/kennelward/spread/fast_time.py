"""Compiled pieces of the fast engine: time passing in a place, and the calendar."""

from math import exp

from kennelward.spread.fast_dogs import count_case, infect, uniform
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
    FULL,
    HAZARD,
    HERE,
    INFECTED,
    INSIDE,
    LEAST,
    LEFT,
    N_AIR,
    N_DEPOSIT,
    N_DROP,
    N_FLOOR,
    N_PICK,
    N_TAIL,
    ON,
    PLACE,
    SETTLED,
    SHED,
    SINCE,
    STARTS,
    STATUS,
    T_APART_NOW,
    T_HELD,
    T_LOAD,
    UPTO,
    WORKS,
    X_DIRECT,
    X_PLACE,
    Run,
    helper,
    piece,
)
from kennelward.spread.keyed import Stream
from kennelward.spread.model import NEVER
from kennelward.spread.packing import PLACE_BITS
from kennelward.spread.plain_calendar import MINUTES

S_CLEANING = int(Stream.CLEANING)


@piece
def advance(run: Run, place: int, now: float) -> None:
    """As `bring_on`, called instead of copied in."""
    bring_on(run, place, now)


@helper
def up_to(run: Run, place: int, now: float) -> None:
    """As `advance`, without the call where the place is quiet."""
    if is_quiet(run, place):
        run.pen[place, SINCE] = now
    elif run.pen[place, SINCE] < now:
        advance(run, place, now)


@helper
def bring_on(run: Run, place: int, now: float) -> None:
    """Shedding, contamination and hazard of a place, from its last cut to `now`."""
    if run.rates[N_AIR] > 0:
        advance_together(run, now)
        return
    start = run.pen[place, SINCE]
    length = now - start
    run.pen[place, SINCE] = now
    if length <= 0 or (run.pen[place, INSIDE] == 0 and run.pen[place, DIRT] == 0):
        return
    shed = 0.0
    if run.pen[place, INSIDE] > 0:
        shed = shed_in(run, place, start, now)
    meet(run, place, shed, 0.0, start, length)


@piece
def advance_together(run: Run, now: float) -> None:
    """Air joins the places: all have one cut, and shed before anybody is infected."""
    start = run.pen[0, SINCE]
    if now <= start:
        return
    for place in range(len(run.pen)):
        run.pen[place, SHED] = shed_in(run, place, start, now)
        run.pen[place, SINCE] = now
    for place in range(len(run.pen)):
        air = 0.0
        for n in range(run.near.shape[1]):
            if run.near[place, n] >= 0:
                air += run.pen[run.near[place, n], SHED]
        meet(run, place, run.pen[place, SHED], air, start, now - start)


@helper
def meet(
    run: Run, place: int, shed: float, air: float, start: float, length: float
) -> None:
    """What is shed there, and in the air of near places, for a time."""
    dirt = run.pen[place, DIRT]
    if dirt < run.rates[N_FLOOR] and shed == 0:
        run.pen[place, DIRT] = dirt = 0.0
        if air == 0:
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
    hazard += run.rates[N_AIR] * air
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
        if run.who[i, PLACE] == place and run.who[i, ON] != 0:
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
    """True where nobody sheds, or will, and nothing is contaminated.

    Where air joins the places none ever counts as quiet.
    """
    return (
        run.pen[place, DIRT] == 0
        and run.pen[place, INSIDE] == 0
        and run.rates[N_AIR] == 0
    )


@piece
def wake(run: Run, woken: int) -> None:
    """Put every dog where the calendar has moved it: `woken` is quiet no more.

    Moves of uninfected dogs between quiet places are passed over; all that they change
    is caught up here. In every place that is not quiet, who is there is always known.
    """
    run.clock[ASTIR] |= 1 << woken % PLACE_BITS
    settle(run)


@piece
def settle(run: Run) -> None:
    """Every dog to where the calendar has moved it; while moves are held, nobody.

    The moves since the last time one by one, or, where they are many, each dog's last.
    """
    if run.tally[T_HELD] != 0:
        return
    first, last = run.clock[SETTLED], run.moves_before[run.clock[EVENT]]
    run.clock[SETTLED] = last
    if last - first <= len(run.who):
        for k in range(first, last):
            move_by_calendar(run, run.moved[k, 1], run.moved[k, 0], run.moved[k, 2])
        return
    for i in range(len(run.who)):
        n, end = (
            run.first_move[run.clock[DAY], i],
            run.first_move[run.clock[DAY], i + 1],
        )
        while n + 1 < end and run.moves[n + 1, 0] < run.clock[EVENT]:
            n += 1
        move_by_calendar(run, i, run.moves[n, 0], run.moves[n, 1])


@helper
def move_by_calendar(run: Run, i: int, event: int, place: int) -> None:
    """A move that was passed over, unless the dog has been put through it already."""
    old = run.who[i, PLACE]
    if (
        run.who[i, HERE] == 0
        or run.who[i, STATUS] == INFECTED
        or run.pen[old, APART] != 0
        or event < run.who[i, UPTO]
    ):
        return
    run.who[i, PLACE] = place
    run.who[i, UPTO] = event + 1
    take_along(run, i, old, place)
    run.dog[i, ENTERED] = run.pen[place, HAZARD]


@helper
def take_along(run: Run, i: int, old: int, place: int) -> None:
    """What is left of its resistance, from one place into another."""
    if run.dog[i, LEFT] < NEVER:
        left = run.dog[i, LEFT] - (run.pen[old, HAZARD] - run.dog[i, ENTERED])
        run.dog[i, LEFT] = left
        run.pen[place, LEAST] = min(
            run.pen[place, LEAST], run.pen[place, HAZARD] + left
        )


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
    else:
        take_along(run, i, old, place)
    run.dog[i, ENTERED] = run.pen[place, HAZARD]


@helper
def carry(run: Run, load: float) -> None:
    """The load that staff carry on."""
    run.tally[T_LOAD] = load if load >= run.rates[N_FLOOR] else 0.0


@helper
def visit(run: Run, place: int) -> None:
    """Staff leave some of their load and pick some up."""
    load, dirt = run.tally[T_LOAD], run.pen[place, DIRT]
    if load == 0 and dirt == 0:
        return
    dropped = run.rates[N_DROP] * load
    picked = run.rates[N_PICK] * dirt
    after = dirt + (dropped - picked)
    if after < run.rates[N_FLOOR]:
        after = 0.0
    elif is_quiet(run, place):
        wake(run, place)
    run.pen[place, DIRT] = after
    carry(run, load + (picked - dropped))


@helper
def clean(run: Run, place: int, now: float, logs: float, spread: float) -> None:
    """Decimal logs off, drawn anew for each cleaning; the place is up to date."""
    took = logs * run.pen[place, WORKS]
    if spread > 0:
        luck = uniform(run.keys[S_CLEANING], place, int(now * MINUTES))
        took *= 1.0 + spread * (2.0 * luck - 1.0)
    dirt = run.pen[place, DIRT] * 10.0**-took
    run.pen[place, DIRT] = dirt if dirt >= run.rates[N_FLOOR] else 0.0
