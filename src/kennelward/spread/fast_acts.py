"""Compiled pieces of the fast engine: tests, their results, and what is done to a dog."""

from kennelward.spread.fast_breed import (
    no_longer_apart,
    sheds,
)
from kennelward.spread.fast_dogs import (
    from_table,
    uniform,
)
from kennelward.spread.fast_rules import (
    case_known,
    fire,
    pen_of,
    watch,
)
from kennelward.spread.fast_state import (
    APART,
    APART_BY,
    BLOCKED,
    CAME_FROM,
    CLEAN_ONCE,
    DIES,
    DIRT,
    EFFECT,
    ENDS,
    EVENT,
    FULL,
    HERE,
    HOME,
    INFECTED,
    INFECTED_AT,
    ISOLATE,
    KNOWN,
    N_AB_FROM,
    N_AB_FULL,
    N_DELAY,
    N_ISOLATION,
    N_KEEPS,
    N_SPECIFICITY,
    N_VACCINE_DAYS,
    NOTICED,
    P_ROOM,
    P_TESTS,
    PLACE,
    POSITIVE,
    R_ACTION,
    R_AMOUNT,
    R_CLEARS,
    R_CLEARS_AFTER,
    R_DAYS,
    R_SPREAD,
    RELEASE,
    RESULT,
    RESULT_ON,
    S_NOW,
    S_SPENT,
    SIGNS,
    SPELL,
    STATUS,
    SUSCEPTIBILITY,
    T_NEXT_VACCINE,
    T_NEXT_WATCH,
    T_POSITIVES,
    T_TESTS,
    T_TODAY,
    T_TREATED,
    T_VACCINATED,
    TEST,
    TREAT,
    UID,
    VACCINATE,
    VACCINATED,
    VACCINE_ON,
    WATCH,
    WATCHED,
    Run,
    helper,
    once,
    piece,
)
from kennelward.spread.fast_time import (
    advance,
    clean,
    put,
    settle,
    up_to,
)
from kennelward.spread.keyed import Stream
from kennelward.spread.model import NEVER

S_TEST = int(Stream.TEST)
S_DETECTABLE = int(Stream.DETECTABLE)
S_TREATMENT = int(Stream.TREATMENT)


@piece
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
    elif not sheds(run, i, now):
        return false
    return max(found, false)


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
        soonest = min(run.dog[i, RELEASE], run.dog[i, RESULT_ON])
        for r in range(len(run.rules)):
            soonest = min(soonest, run.due[i, r])
        if run.who[i, HERE] == 0 or soonest >= NEVER:
            run.who[i, WATCHED] = 0
            continue
        run.tally[T_NEXT_WATCH] = min(run.tally[T_NEXT_WATCH], soonest)
        run.lists[WATCH, kept] = i
        kept += 1
    run.lists[WATCH, last] = kept


@once
def sample(run: Run, i: int, now: float) -> None:
    """Tests taken, results back."""
    for r in range(len(run.rules)):
        if run.rules[r, R_ACTION] == TEST and run.due[i, r] <= now:
            test(run, i, r, now)
    if run.dog[i, RESULT_ON] <= now:
        run.dog[i, RESULT_ON] = NEVER
        if run.who[i, RESULT] != 0:
            run.tally[T_POSITIVES] += 1
            if run.who[i, KNOWN] == 0:
                case_known(run, i, now)
            fire(run, POSITIVE, i, now)


@once
def test(run: Run, i: int, r: int, now: float) -> None:
    """Where a result is awaited, that one answers; over the day's limit, tomorrow."""
    if run.dog[i, RESULT_ON] < NEVER:
        run.due[i, r] = NEVER
        return
    most = run.rates[P_TESTS]
    if most > 0 and run.tally[T_TODAY] >= most:
        return
    run.due[i, r] = NEVER
    run.tally[T_TODAY] += 1
    run.tally[T_TESTS] += 1
    run.state[r, S_SPENT] += 1
    luck = uniform(run.keys[S_TEST], run.fixed[i, UID], int(now))
    chance = 1.0 - run.rates[N_SPECIFICITY]
    if run.who[i, STATUS] == INFECTED:
        chance = chance_positive(run, i, now)
    run.who[i, RESULT] = luck < chance
    run.dog[i, RESULT_ON] = now + run.rates[N_DELAY]


@once
def act(run: Run, i: int, now: float) -> None:
    """What is due today, rule by rule; then back to the pen where days are over."""
    moved = False
    for r in range(len(run.rules)):
        action = run.rules[r, R_ACTION]
        if action == TEST or run.due[i, r] > now:
            continue
        if action == ISOLATE:
            moved = isolate(run, i, r, now) or moved
            continue
        run.due[i, r] = NEVER
        if action == VACCINATE:
            vaccinate(run, i, r, now)
        elif action == TREAT:
            treat(run, i, r, now)
        elif action == CLEAN_ONCE:
            run.state[r, S_SPENT] += 1
            settle(run)
            place = pen_of(run, i)
            advance(run, place, now)
            if run.pen[place, DIRT] != 0:
                clean(run, place, now, run.rules[r, R_AMOUNT], run.rules[r, R_SPREAD])
    if not moved and run.dog[i, RELEASE] <= now:
        run.dog[i, RELEASE] = NEVER
        no_longer_apart(run, i)
        place = run.who[i, PLACE]
        if run.pen[place, APART] != 0:
            up_to(run, place, now)
            up_to(run, run.fixed[i, HOME], now)
            put(run, i, run.fixed[i, HOME], run.clock[EVENT])


@piece
def isolate(run: Run, i: int, r: int, now: float) -> bool:
    """Where there is no room it waits, as long as it would have been apart."""
    place = int(run.rates[N_ISOLATION])
    if place < 0:
        run.due[i, r] = NEVER
        return False
    if run.who[i, PLACE] != place and not has_room(run, place):
        if now >= run.due[i, r] + run.rules[r, R_DAYS]:
            run.due[i, r] = NEVER
        return False
    run.due[i, r] = NEVER
    put_apart(run, i, place, now, r)
    return True


@piece
def put_apart(run: Run, i: int, place: int, now: float, r: int) -> None:
    """Into quarantine or isolation, for the days of this rule."""
    settle(run)
    old = run.who[i, PLACE]
    go_apart(run, i, place, now, r)
    if old != place:
        if run.pen[old, APART] == 0:
            run.who[i, CAME_FROM] = old
        advance(run, old, now)
        advance(run, place, now)
        put(run, i, place, run.clock[EVENT])


@helper
def go_apart(run: Run, i: int, place: int, now: float, r: int) -> None:
    """For the days of this rule, and charged to it; where it is changes elsewhere."""
    before = 0.0
    if run.who[i, APART_BY] >= 0:
        run.state[run.who[i, APART_BY], S_NOW] -= 1
        if run.who[i, PLACE] == place:
            before = run.dog[i, RELEASE]
    run.dog[i, RELEASE] = max(now + run.rules[r, R_DAYS], before)
    watch(run, i, run.dog[i, RELEASE])
    run.who[i, APART_BY] = r
    run.state[r, S_NOW] += 1


@once
def has_room(run: Run, isolation: int) -> bool:
    """True where another dog can be isolated."""
    inside = 0
    for i in range(len(run.who)):
        if run.who[i, HERE] != 0 and run.who[i, PLACE] == isolation:
            inside += 1
    return inside < run.rates[P_ROOM]


@once
def vaccinate(run: Run, i: int, r: int, now: float) -> None:
    """A dog that a vaccine protects already gets none; it may be too young for it."""
    keeps = run.rates[N_KEEPS]
    if run.who[i, VACCINATED] != 0 or run.given[i, SUSCEPTIBILITY] <= keeps:
        return
    run.state[r, S_SPENT] += 1
    run.tally[T_VACCINATED] += 1
    if now >= run.given[i, BLOCKED]:
        takes = min(run.dog[i, VACCINE_ON], now + run.rates[N_VACCINE_DAYS])
        run.dog[i, VACCINE_ON] = takes
        run.tally[T_NEXT_VACCINE] = min(run.tally[T_NEXT_VACCINE], takes)


@once
def treat(run: Run, i: int, r: int, now: float) -> None:
    """As the vet planned: it clears, perhaps, and some days later."""
    run.state[r, S_SPENT] += 1
    run.tally[T_TREATED] += 1
    if run.who[i, STATUS] != INFECTED or run.who[i, DIES] != 0:
        return
    luck = uniform(run.keys[S_TREATMENT], run.fixed[i, UID], run.who[i, SPELL])
    if luck >= run.rules[r, R_CLEARS]:
        return
    end = min(run.dog[i, ENDS], now + run.rules[r, R_CLEARS_AFTER])
    run.dog[i, ENDS] = end
    run.dog[i, FULL] = min(run.dog[i, FULL], end)
    if run.dog[i, NOTICED] >= end:
        run.dog[i, NOTICED] = NEVER
