"""Compiled pieces of the fast engine: what staff see and do once a day."""

from kennelward.spread.fast_dogs import (
    S_CARRIED,
    S_SINCE,
    from_table,
    infect,
    insert,
    new_spell,
    take_out,
    uniform,
)
from kennelward.spread.fast_state import (
    ACT,
    APART,
    BORN,
    BUSY,
    CHANCE,
    COMES,
    DIES,
    EFFECT,
    ENDS,
    EVENT,
    GONE,
    HERE,
    HOME,
    IMMUNE,
    INFECTED,
    INFECTED_AT,
    INSIDE,
    KNOWN,
    N_AB_FROM,
    N_AB_FULL,
    N_AGAIN,
    N_CARRIED,
    N_DELAY,
    N_ISOLATION,
    N_QUARANTINE,
    N_SPECIFICITY,
    NOTICED,
    PLACE,
    R_ACT_AFTER,
    R_CLOSE,
    R_ISOLATE_NOTICED,
    R_ISOLATE_POSITIVE,
    R_ISOLATION_DAYS,
    R_QUARANTINE,
    R_ROOM,
    R_TEST_1,
    R_TEST_ALL,
    R_TEST_NOTICED,
    RELEASE,
    RESULT,
    RESULT_ON,
    SIGMA,
    SIGNS,
    SPELL,
    STARTS,
    STATUS,
    SUSCEPTIBLE,
    T_APART_NOW,
    T_CARRIED,
    T_CLOSED,
    T_DEATHS,
    T_NEXT_WATCH,
    T_NOTICED,
    T_SICK,
    T_TESTS,
    TEST,
    TEST_SLOTS,
    UID,
    UPTO,
    WANES,
    WATCH,
    WATCHED,
    Run,
    helper,
    piece,
)
from kennelward.spread.fast_time import advance, is_quiet, put, wake
from kennelward.spread.keyed import Stream
from kennelward.spread.model import NEVER

S_TEST, S_DETECTABLE = int(Stream.TEST), int(Stream.DETECTABLE)


@helper
def watch(run: Run, i: int, on: float) -> None:
    """Something is due for a dog on a day."""
    run.tally[T_NEXT_WATCH] = min(run.tally[T_NEXT_WATCH], on)
    if run.who[i, WATCHED] == 0:
        run.who[i, WATCHED] = 1
        insert(run, WATCH, i)


@piece
def enter(run: Run, i: int, now: float, place: int) -> None:
    """A dog comes in, perhaps infected."""
    advance(run, place, now)
    run.who[i, HERE] = 1
    run.who[i, PLACE] = place
    run.who[i, UPTO] = run.clock[EVENT]
    run.tally[T_APART_NOW] += run.pen[place, APART]
    chance = run.given[i, CHANCE]
    if chance > 0 and uniform(run.keys[S_CARRIED], run.fixed[i, UID], 0) < chance:
        run.tally[T_CARRIED] += 1
        if is_quiet(run, place):
            wake(run, place)
        since = uniform(run.keys[S_SINCE], run.fixed[i, UID], 0)
        infect(run, i, now - run.rates[N_CARRIED] * since)
    else:
        new_spell(run, i, now)


@piece
def arrivals(run: Run, day: int) -> None:
    """Dogs that come today; the gate may be closed, never to a birth."""
    now = float(day)
    quarantine = int(run.rates[N_QUARANTINE])
    for n in range(run.first_turn[COMES, day], run.first_turn[COMES, day + 1]):
        i = run.turns[COMES, n]
        born = run.fixed[i, BORN] != 0
        if run.tally[T_CLOSED] != 0 and not born:
            continue
        apart = run.rates[R_QUARANTINE] > 0 and quarantine >= 0 and not born
        place = quarantine if apart else run.fixed[i, HOME]
        enter(run, i, now, place)
        if apart:
            run.dog[i, RELEASE] = now + run.rates[R_QUARANTINE]
            watch(run, i, run.dog[i, RELEASE])
        for slot in range(2):
            after = run.rates[R_TEST_1 + slot]
            if after < NEVER and not born:
                run.dog[i, TEST + slot] = now + after
                watch(run, i, now + after)


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
            n += 1
            continue
        take_out(run, BUSY, i)
        place = run.who[i, PLACE]
        run.pen[place, INSIDE] -= 1
        if run.who[i, DIES] != 0:
            run.tally[T_DEATHS] += 1
            run.tally[T_APART_NOW] -= run.pen[place, APART]
            run.who[i, HERE] = 0
            run.who[i, STATUS] = GONE
        elif run.rates[N_AGAIN] < 0:
            run.who[i, STATUS] = IMMUNE
        else:
            run.who[i, SPELL] += 1
            run.who[i, KNOWN] = 0
            new_spell(run, i, now)


@piece
def case_known(run: Run, i: int, now: float) -> None:
    """A dog is known to have it; the first one sets the kennel's response going."""
    run.who[i, KNOWN] = 1
    if run.tally[T_NOTICED] < NEVER:
        return
    run.tally[T_NOTICED] = now
    run.tally[T_CLOSED] = run.rates[R_CLOSE]
    if run.rates[R_TEST_ALL] != 0:
        on = now + 1 + run.rates[R_ACT_AFTER]
        for other in range(len(run.who)):
            if run.who[other, HERE] != 0:
                run.dog[other, TEST + 2] = on
                watch(run, other, on)


@helper
def notice(run: Run, now: float) -> None:
    """Signs that staff notice today."""
    for n in range(run.lists[BUSY, run.lists.shape[1] - 1]):
        i = run.lists[BUSY, n]
        if run.dog[i, NOTICED] > now or run.who[i, KNOWN] != 0:
            continue
        case_known(run, i, now)
        if run.rates[R_ISOLATE_NOTICED] != 0:
            run.dog[i, ACT] = now + run.rates[R_ACT_AFTER]
            watch(run, i, run.dog[i, ACT])
        if run.rates[R_TEST_NOTICED] != 0:
            run.dog[i, TEST + 2] = now
            watch(run, i, now)


@piece
def watched_day(run: Run, now: float) -> None:
    """Tests, results and moves that are due; then what is due next."""
    last = run.lists.shape[1] - 1
    n = 0
    while (
        n < run.lists[WATCH, last]
    ):  # a first result may add to the list, behind or before
        i = run.lists[WATCH, n]
        if run.who[i, HERE] != 0:
            sample(run, i, now)
        while run.lists[WATCH, n] != i:
            n += 1
        n += 1
    for n in range(run.lists[WATCH, last]):
        i = run.lists[WATCH, n]
        if run.who[i, HERE] != 0:
            act(run, i, now)
    run.tally[T_NEXT_WATCH] = NEVER
    kept = 0
    for n in range(run.lists[WATCH, last]):
        i = run.lists[WATCH, n]
        soonest = min(run.dog[i, ACT], run.dog[i, RELEASE], run.dog[i, RESULT_ON])
        for slot in range(TEST_SLOTS):
            soonest = min(soonest, run.dog[i, TEST + slot])
        if run.who[i, HERE] == 0 or soonest >= NEVER:
            run.who[i, WATCHED] = 0
            continue
        run.tally[T_NEXT_WATCH] = min(run.tally[T_NEXT_WATCH], soonest)
        run.lists[WATCH, kept] = i
        kept += 1
    run.lists[WATCH, last] = kept


@helper
def sample(run: Run, i: int, now: float) -> None:
    """Tests taken, results back."""
    for slot in range(TEST_SLOTS):
        if run.dog[i, TEST + slot] <= now:
            run.dog[i, TEST + slot] = NEVER
            run.tally[T_TESTS] += 1
            luck = uniform(run.keys[S_TEST], run.fixed[i, UID], int(now))
            run.who[i, RESULT] = luck < chance_positive(run, i, now)
            run.dog[i, RESULT_ON] = now + run.rates[N_DELAY]
    if run.dog[i, RESULT_ON] <= now:
        run.dog[i, RESULT_ON] = NEVER
        if run.who[i, RESULT] != 0:
            if run.who[i, KNOWN] == 0:
                case_known(run, i, now)
            if run.rates[R_ISOLATE_POSITIVE] != 0:
                run.dog[i, ACT] = now + run.rates[R_ACT_AFTER]


@helper
def chance_positive(run: Run, i: int, now: float) -> float:
    """As the dog is now, with its own detectability."""
    false = 1.0 - run.rates[N_SPECIFICITY]
    if run.who[i, STATUS] != INFECTED:
        return false
    sick = 1 if run.dog[i, SIGNS] <= now else 0
    luck = uniform(run.keys[S_DETECTABLE], run.fixed[i, UID], run.who[i, SPELL])
    found = from_table(run, EFFECT + sick, luck)
    first, full = run.rates[N_AB_FROM], run.rates[N_AB_FULL]
    if first >= 0:
        since = now - run.dog[i, INFECTED_AT]
        if since < first:
            return false
        if since < full:
            found *= (since - first) / (full - first)
    elif not (run.dog[i, STARTS] <= now and now < run.dog[i, ENDS]):
        return false
    return max(found, false)


@helper
def act(run: Run, i: int, now: float) -> None:
    """Isolate, or let back."""
    isolation = int(run.rates[N_ISOLATION])
    to = -1
    if run.dog[i, ACT] <= now:
        run.dog[i, ACT] = NEVER
        if isolation >= 0 and has_room(run, isolation):
            to = isolation
            run.dog[i, RELEASE] = now + run.rates[R_ISOLATION_DAYS]
    elif run.dog[i, RELEASE] <= now:
        run.dog[i, RELEASE] = NEVER
        if run.pen[run.who[i, PLACE], APART] != 0:
            to = run.fixed[i, HOME]
    if to >= 0:
        for place in (run.who[i, PLACE], to):
            advance(run, place, now)
        put(run, i, to, run.clock[EVENT])


@helper
def has_room(run: Run, isolation: int) -> bool:
    """True where another dog can be isolated."""
    inside = 0
    for i in range(len(run.who)):
        if run.who[i, HERE] != 0 and run.who[i, PLACE] == isolation:
            inside += 1
    return inside < run.rates[R_ROOM]
