"""Compiled pieces of the fast engine: who comes, and what staff see once a day."""

from math import log

from kennelward.spread.fast_acts import (
    chance_positive,
    go_apart,
)
from kennelward.spread.fast_breed import (
    leave,
    no_longer_apart,
)
from kennelward.spread.fast_dogs import (
    S_CARRIED,
    S_CARRIED_SINCE,
    infect,
    new_spell,
    sheds_today,
    susceptibility,
    take_out,
    uniform,
)
from kennelward.spread.fast_rules import (
    case_known,
    fire,
)
from kennelward.spread.fast_state import (
    APART,
    ARRIVAL,
    ARRIVALS,
    AT_START,
    BORN,
    BUSY,
    CAME_FROM,
    CHANCE,
    COMES,
    DIES,
    ENDS,
    ENTERED,
    EVENT,
    GONE,
    HAZARD,
    HERE,
    HOME,
    IMMUNE,
    INFECTED,
    INSIDE,
    KNOWN,
    LEAST,
    LEFT,
    LET_IN_ON,
    N_AGAIN,
    N_CARRIED,
    N_QUARANTINE,
    NOBODY,
    NOTICED,
    ON,
    OUTSIDE,
    PLACE,
    QUARANTINE,
    R_ACTION,
    R_BEFORE,
    R_TRIGGER,
    S_NOW,
    S_SPENT,
    SIGMA,
    SIGNS,
    SIGNS_SEEN,
    SPELL,
    STATUS,
    SUSCEPTIBLE,
    T_APART,
    T_APART_NOW,
    T_CARRIED,
    T_CLOSED,
    T_DEATHS,
    T_NEXT_LET_IN,
    T_NEXT_VACCINE,
    T_REFUSED,
    T_SICK,
    T_TESTS,
    T_VISITS,
    TAKES,
    UID,
    UPTO,
    VACCINATED,
    VACCINE_ON,
    VISIT_BY,
    VISITOR,
    VISITS,
    WANES,
    Run,
    helper,
    once,
    piece,
)
from kennelward.spread.fast_time import (
    is_quiet,
    settle,
    up_to,
    wake,
)
from kennelward.spread.keyed import Stream
from kennelward.spread.model import NEVER

S_TEST, S_LET_IN = int(Stream.TEST), int(Stream.LET_IN)


@piece
def begin(run: Run) -> None:
    """Who is here from the start."""
    for i in range(len(run.fixed)):
        if run.fixed[i, AT_START] != 0:
            enter(run, i, 0.0, run.fixed[i, HOME])


@helper
def enter(run: Run, i: int, now: float, place: int) -> None:
    """A dog comes in, perhaps infected, perhaps vaccinated."""
    up_to(run, place, now)
    run.who[i, HERE] = 1
    run.who[i, PLACE] = run.who[i, CAME_FROM] = place
    run.who[i, UPTO] = run.clock[EVENT]
    run.tally[T_APART_NOW] += run.pen[place, APART]
    takes = run.given[i, TAKES]
    if takes <= now:
        run.who[i, VACCINATED] = 1
    else:
        run.dog[i, VACCINE_ON] = takes
        run.tally[T_NEXT_VACCINE] = min(run.tally[T_NEXT_VACCINE], takes)
    chance = run.given[i, CHANCE]
    if chance > 0 and uniform(run.keys[S_CARRIED], run.fixed[i, UID], 0) < chance:
        run.tally[T_CARRIED] += 1
        if is_quiet(run, place):
            wake(run, place)
        since = uniform(run.keys[S_CARRIED_SINCE], run.fixed[i, UID], 0)
        infect(run, i, now - run.rates[N_CARRIED] * since)
    else:
        rate = run.given[i, OUTSIDE]
        if rate > 0:
            on = now - log(uniform(run.keys[S_LET_IN], run.fixed[i, UID], 0)) / rate
            run.dog[i, LET_IN_ON] = on
            run.tally[T_NEXT_LET_IN] = min(run.tally[T_NEXT_LET_IN], on)
        new_spell(run, i, now)


@piece
def let_in(run: Run, now: float) -> None:
    """Dogs that met the infection outside the log since yesterday."""
    soonest = NEVER
    for i in range(len(run.who)):
        on = run.dog[i, LET_IN_ON]
        if run.who[i, HERE] == 0:
            continue
        if on > now:
            soonest = min(soonest, on)
            continue
        run.dog[i, LET_IN_ON] = NEVER
        if run.who[i, STATUS] != SUSCEPTIBLE:
            continue
        settle(run)
        place = run.who[i, PLACE]
        up_to(run, place, now)
        if is_quiet(run, place):
            wake(run, place)
        run.tally[T_CARRIED] += 1
        infect(run, i, on)
    run.tally[T_NEXT_LET_IN] = soonest


@piece
def arrivals(run: Run, day: int) -> None:
    """Dogs that come today; the gate may be closed, never to a birth."""
    now = float(day)
    for n in range(run.first_turn[COMES, day], run.first_turn[COMES, day + 1]):
        i = run.turns[COMES, n]
        if run.fixed[i, BORN] != 0:
            enter(run, i, now, run.fixed[i, HOME])
            continue
        gate = VISITS if run.fixed[i, VISITOR] != 0 else ARRIVALS
        if int(run.tally[T_CLOSED]) & gate != 0:
            run.tally[T_REFUSED] += 1
        else:
            come(run, i, now)


@once
def come(run: Run, i: int, now: float) -> None:
    """By the gate: perhaps tested there, perhaps to quarantine."""
    trigger = VISIT_BY if run.fixed[i, VISITOR] != 0 else ARRIVAL
    apart, tested = int(NOBODY), int(NOBODY)
    for r in range(len(run.rules)):
        if run.rules[r, R_TRIGGER] == trigger:
            if run.rules[r, R_ACTION] == QUARANTINE:
                apart = r
            if run.rules[r, R_BEFORE] != 0:
                tested = r
    quarantine = int(run.rates[N_QUARANTINE])
    if quarantine < 0:
        apart = int(NOBODY)
    place = run.fixed[i, HOME] if apart < 0 else quarantine
    enter(run, i, now, place)
    if tested >= 0 and fails(run, i, tested, now):
        return
    run.tally[T_VISITS] += run.fixed[i, VISITOR]
    if apart >= 0:
        run.who[i, CAME_FROM] = run.fixed[i, HOME]
        go_apart(run, i, place, now, apart)
    fire(run, trigger, i, now)


@piece
def fails(run: Run, i: int, r: int, now: float) -> bool:
    """A test at the gate; a positive stays away."""
    run.state[r, S_SPENT] += 1
    run.tally[T_TESTS] += 1
    luck = uniform(run.keys[S_TEST], run.fixed[i, UID], int(now))
    if luck >= chance_positive(run, i, now):
        return False
    run.tally[T_REFUSED] += 1
    if run.who[i, STATUS] == INFECTED:
        run.tally[T_CARRIED] -= 1
    leave(run, i)
    return True


@piece
def wane(run: Run, day: int) -> None:
    """Dogs whose protection has run out become susceptible."""
    for n in range(run.first_turn[WANES, day], run.first_turn[WANES, day + 1]):
        i = run.turns[WANES, n]
        if (
            run.who[i, HERE] != 0
            and run.who[i, STATUS] == SUSCEPTIBLE
            and run.dog[i, SIGMA] == 0
        ):
            new_spell(run, i, float(day))


@piece
def infected_day(run: Run, now: float) -> None:
    """Infections run their course: death, immunity, a new spell, or a day of signs."""
    last = run.lists.shape[1] - 1
    n = 0
    while n < run.lists[BUSY, last]:
        i = run.lists[BUSY, n]
        if run.dog[i, ENDS] > now:
            if run.dog[i, SIGNS] <= now:
                run.tally[T_SICK] += 1
            run.who[i, ON] = sheds_today(run, i)
            n += 1
            continue
        take_out(run, BUSY, i)
        place = run.who[i, PLACE]
        run.pen[place, INSIDE] -= 1
        if run.who[i, DIES] != 0:
            run.tally[T_DEATHS] += 1
            run.tally[T_APART_NOW] -= run.pen[place, APART]
            no_longer_apart(run, i)
            run.who[i, HERE] = 0
            run.who[i, STATUS] = GONE
        elif run.rates[N_AGAIN] < 0:
            run.who[i, STATUS] = IMMUNE
        else:
            run.who[i, SPELL] += 1
            run.who[i, KNOWN] = 0
            new_spell(run, i, now)


@piece
def vaccines_take(run: Run, now: float) -> None:
    """Vaccines that protect from today: what is left of a resistance counts for more."""
    soonest = NEVER
    for i in range(len(run.who)):
        if run.who[i, HERE] == 0:
            continue
        if run.dog[i, VACCINE_ON] > now:
            soonest = min(soonest, run.dog[i, VACCINE_ON])
            continue
        run.dog[i, VACCINE_ON] = NEVER
        run.who[i, VACCINATED] = 1
        before = run.dog[i, SIGMA]
        if run.who[i, STATUS] != SUSCEPTIBLE or before == 0:
            continue
        sigma = susceptibility(run, i, now)
        hazard = run.pen[run.who[i, PLACE], HAZARD]
        left = (run.dog[i, LEFT] - (hazard - run.dog[i, ENTERED])) * before
        run.dog[i, LEFT] = left / sigma if sigma > 0 else NEVER
        run.dog[i, ENTERED], run.dog[i, SIGMA] = hazard, sigma
        if sigma > 0:
            level = hazard + run.dog[i, LEFT]
            place = run.who[i, PLACE]
            run.pen[place, LEAST] = min(run.pen[place, LEAST], level)
    run.tally[T_NEXT_VACCINE] = soonest


@once
def notice(run: Run, now: float) -> None:
    """Signs that staff notice today."""
    for n in range(run.lists[BUSY, run.lists.shape[1] - 1]):
        i = run.lists[BUSY, n]
        if run.dog[i, NOTICED] > now:
            continue
        run.dog[i, NOTICED] = NEVER
        if run.who[i, KNOWN] == 0:
            case_known(run, i, now)
        fire(run, SIGNS_SEEN, i, now)


@helper
def count_apart(run: Run, days: int) -> None:
    """So many days with who is apart now."""
    run.tally[T_APART] += run.tally[T_APART_NOW] * days
    for r in range(len(run.rules)):
        run.state[r, S_SPENT] += run.state[r, S_NOW] * days
