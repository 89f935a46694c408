"""Compiled pieces of the fast engine: when rules fire, whom they reach, what they switch."""

from kennelward.spread.fast_breed import leave
from kennelward.spread.fast_dogs import insert
from kennelward.spread.fast_state import (
    ALL,
    ALWAYS,
    APART,
    APART_BY,
    CALENDAR,
    CAME_FROM,
    CASES,
    CLOSE,
    DAM,
    DOG,
    EVENT,
    HERE,
    HOLD,
    HOME,
    HYGIENE,
    KNOWN,
    KNOWN_ON,
    LITTER,
    N_QUARANTINE,
    NOBODY,
    P_CLEANING,
    P_HYGIENE,
    P_SPREAD,
    PEN,
    PEN_YARD,
    PLACE,
    QUARANTINE,
    R_ACTION,
    R_AFTER,
    R_AMOUNT,
    R_AT_LEAST,
    R_BEFORE,
    R_CASES,
    R_CLEAR_ROUNDS,
    R_CLOSES,
    R_DAYS,
    R_EVERY,
    R_EXTEND,
    R_SCOPE,
    R_SPREAD,
    R_TOP,
    R_TRIGGER,
    R_UNTIL_CLEAR,
    R_WITHIN,
    RELEASE,
    S_CLEAR,
    S_NEXT,
    S_PLACE,
    S_SEEN,
    S_SINCE,
    S_SPENT,
    S_SUBJECT,
    S_UNTIL,
    SALES,
    SAME_LITTER,
    T_CLOSED,
    T_CLOSED_DAYS,
    T_EVER_HELD,
    T_HELD,
    T_NEXT_RULE,
    T_NEXT_WATCH,
    T_NOTICED,
    T_POSITIVES,
    T_SWITCHES,
    TEST,
    UID,
    UPTO,
    WAITS,
    WATCH,
    WATCHED,
    X_HYGIENE,
    X_LOGS,
    X_SPREAD,
    YARD,
    YARDS,
    Run,
    helper,
    once,
    piece,
)
from kennelward.spread.fast_time import advance, put, settle
from kennelward.spread.model import NEVER


@helper
def watch(run: Run, i: int, on: float) -> None:
    """Something is due for a dog on a day."""
    run.tally[T_NEXT_WATCH] = min(run.tally[T_NEXT_WATCH], on)
    if run.who[i, WATCHED] == 0:
        run.who[i, WATCHED] = 1
        insert(run, WATCH, i)


@once
def is_on(run: Run, r: int, now: float) -> bool:
    """True while a switch is on."""
    return run.state[r, S_SINCE] <= now and now < run.state[r, S_UNTIL]


@piece
def fire(run: Run, trigger: int, i: int, now: float) -> None:
    """Every rule with this trigger, for a dog, or -1."""
    for r in range(len(run.rules)):
        if run.rules[r, R_TRIGGER] != trigger or run.rules[r, R_BEFORE] != 0:
            continue
        if is_simple(run, r):
            on = min(run.due[i, r], now + run.rules[r, R_AFTER])
            run.due[i, r] = on
            watch(run, i, on)
        elif run.rules[r, R_ACTION] != QUARANTINE:
            set_off(run, r, i, now)


@once
def is_simple(run: Run, r: int) -> bool:
    """True of a rule that is done once, to the dog that it fires for: most are."""
    action = run.rules[r, R_ACTION]
    return (
        action < CLOSE
        and action != QUARANTINE
        and run.rules[r, R_SCOPE] == DOG
        and run.rules[r, R_EVERY] == 0
    )


@piece
def set_off(run: Run, r: int, i: int, now: float) -> None:
    """One rule fires."""
    action, after = run.rules[r, R_ACTION], run.rules[r, R_AFTER]
    if action == QUARANTINE:
        return
    if action >= CLOSE:
        if run.state[r, S_UNTIL] <= now:
            run.state[r, S_SINCE] = now + after
        until = now + after + run.rules[r, R_DAYS]
        run.state[r, S_UNTIL] = max(run.state[r, S_UNTIL], until)
        switch(run, now)
        next_rule(run, now)
        return
    place = NOBODY
    if i >= 0:
        if run.rules[r, R_SCOPE] != DOG:
            settle(run)
        place = pen_of(run, i)
    if run.rules[r, R_EVERY] > 0 and run.rules[r, R_TRIGGER] != CALENDAR:
        if run.state[r, S_NEXT] >= NEVER:
            run.state[r, S_NEXT] = now + max(after, 1.0)
            run.state[r, S_CLEAR], run.state[r, S_SEEN] = 0, -1
            run.state[r, S_SUBJECT], run.state[r, S_PLACE] = i, place
            next_rule(run, now)
        return
    if action == TEST and run.rules[r, R_SCOPE] != DOG:
        after = max(after, 1.0)
    ask(run, r, i, place, now + after)


@once
def pen_of(run: Run, i: int) -> int:
    """The pen it is in, or was in before it went apart."""
    place = run.who[i, PLACE]
    return run.who[i, CAME_FROM] if run.pen[place, APART] != 0 else place


@piece
def ask(run: Run, r: int, subject: int, place: int, on: float) -> None:
    """The rule is due for all whom it reaches."""
    if run.rules[r, R_SCOPE] == DOG:
        if run.who[subject, HERE] != 0:
            run.due[subject, r] = min(run.due[subject, r], on)
            watch(run, subject, run.due[subject, r])
        return
    settle(run)
    for i in range(len(run.who)):
        if run.who[i, HERE] != 0 and is_reached(run, r, subject, place, i):
            run.due[i, r] = min(run.due[i, r], on)
            watch(run, i, run.due[i, r])


@once
def is_reached(run: Run, r: int, subject: int, place: int, i: int) -> bool:
    """True of a dog in the rule's scope."""
    scope = run.rules[r, R_SCOPE]
    if scope == ALL:
        return True
    if scope == SAME_LITTER:
        return is_litter(run, i, subject)
    if scope == PEN:
        return i == subject or run.who[i, PLACE] == place
    if scope == YARD:
        return i == subject or run.fixed[i, YARDS] & run.fixed[subject, YARDS] != 0
    return is_traced(run, r, subject, i)


@once
def is_litter(run: Run, i: int, subject: int) -> bool:
    """True of litter mates and their dam."""
    if subject < 0:
        return run.fixed[i, LITTER] >= 0
    return (
        i == subject
        or (
            run.fixed[i, LITTER] >= 0
            and run.fixed[i, LITTER] == run.fixed[subject, LITTER]
        )
        or run.fixed[i, UID] == run.fixed[subject, DAM]
        or run.fixed[i, DAM] == run.fixed[subject, UID]
    )


@once
def is_traced(run: Run, r: int, subject: int, i: int) -> bool:
    """True of a dog among the likeliest to have met it."""
    own = run.meets[subject, i]
    if i == subject or own <= 0:
        return False
    if own >= run.rules[r, R_AT_LEAST]:
        return True
    before = 0
    for d in range(len(run.who)):
        if d == subject or run.who[d, HERE] == 0:
            continue
        other = run.meets[subject, d]
        if other > own or (other == own and d < i):
            before += 1
    return before < run.rules[r, R_TOP]


@helper
def next_rule(run: Run, now: float) -> None:
    """The next day on which a switch turns or a round is due."""
    soonest = NEVER
    for r in range(len(run.rules)):
        soonest = min(soonest, run.state[r, S_NEXT])
        if run.state[r, S_SINCE] > now:
            soonest = min(soonest, run.state[r, S_SINCE])
        if run.state[r, S_UNTIL] > now:
            soonest = min(soonest, run.state[r, S_UNTIL])
    run.tally[T_NEXT_RULE] = soonest


@piece
def switch(run: Run, now: float) -> None:
    """What is closed, held, cleaned and washed with, as of now."""
    closed, held, switches = 0, 0, 0
    logs, spread = run.rates[P_CLEANING], run.rates[P_SPREAD]
    keeps = run.rates[P_HYGIENE]
    for r in range(len(run.rules)):
        action = run.rules[r, R_ACTION]
        if action < CLOSE or not is_on(run, r, now):
            continue
        switches += 1
        if action == CLOSE:
            closed |= int(run.rules[r, R_CLOSES])
        elif action == HOLD:
            held = 1
        elif action == HYGIENE:
            keeps = min(keeps, run.rules[r, R_AMOUNT])
        elif run.rules[r, R_AMOUNT] > logs:
            logs, spread = run.rules[r, R_AMOUNT], run.rules[r, R_SPREAD]
    run.rates[X_LOGS], run.rates[X_SPREAD], run.rates[X_HYGIENE] = logs, spread, keeps
    hold(run, held, now)
    opened = int(run.tally[T_CLOSED]) & SALES != 0 and closed & SALES == 0
    run.tally[T_CLOSED], run.tally[T_SWITCHES] = closed, switches
    if opened:
        for i in range(len(run.who)):
            if run.who[i, WAITS] != 0 and run.who[i, HERE] != 0:
                advance(run, run.who[i, PLACE], now)
                leave(run, i)


@once
def hold(run: Run, held: int, now: float) -> None:
    """Moves stop, and dogs in yards go home; or moves go on, and none is caught up."""
    if held == run.tally[T_HELD]:
        return
    if held != 0:
        settle(run)
        for i in range(len(run.who)):
            place = run.who[i, PLACE]
            if run.who[i, HERE] != 0 and run.pens[place, PEN_YARD] != 0:
                advance(run, place, now)
                advance(run, run.fixed[i, HOME], now)
                put(run, i, run.fixed[i, HOME], run.clock[EVENT])
        run.tally[T_EVER_HELD] = 1
    else:
        for i in range(len(run.who)):
            run.who[i, UPTO] = run.clock[EVENT]
    run.tally[T_HELD] = held


@helper
def count_switches(run: Run, now: float, days: int) -> None:
    """So many days with what is on now."""
    if run.tally[T_SWITCHES] == 0:
        return
    closed = 0
    for r in range(len(run.rules)):
        if run.rules[r, R_ACTION] >= CLOSE and is_on(run, r, now):
            run.state[r, S_SPENT] += days
            if run.rules[r, R_ACTION] == CLOSE and run.rules[r, R_TRIGGER] != ALWAYS:
                closed = days
    run.tally[T_CLOSED_DAYS] += closed


@piece
def rounds(run: Run, now: float) -> None:
    """Rounds of tests, and what the calendar asks for."""
    for r in range(len(run.rules)):
        if run.state[r, S_NEXT] > now:
            continue
        every = run.rules[r, R_EVERY]
        if run.rules[r, R_TRIGGER] == CALENDAR:
            ask(run, r, NOBODY, NOBODY, now + run.rules[r, R_AFTER])
            run.state[r, S_NEXT] = run.state[r, S_NEXT] + every if every > 0 else NEVER
            continue
        if run.state[r, S_SEEN] >= 0:
            found = run.tally[T_POSITIVES] > run.state[r, S_SEEN]
            run.state[r, S_CLEAR] = 0 if found else run.state[r, S_CLEAR] + 1
        if run.state[r, S_CLEAR] >= run.rules[r, R_CLEAR_ROUNDS]:
            run.state[r, S_NEXT] = NEVER
            run.state[r, S_CLEAR], run.state[r, S_SEEN] = 0, -1
            all_clear(run, now)
            continue
        run.state[r, S_SEEN] = run.tally[T_POSITIVES]
        run.state[r, S_NEXT] = now + every
        subject, place = int(run.state[r, S_SUBJECT]), int(run.state[r, S_PLACE])
        ask(run, r, subject, place, now)
    next_rule(run, now)


@once
def all_clear(run: Run, now: float) -> None:
    """What was to last until rounds come clear ends."""
    for r in range(len(run.rules)):
        if run.rules[r, R_UNTIL_CLEAR] != 0 and run.state[r, S_UNTIL] > now:
            run.state[r, S_UNTIL] = now
    switch(run, now)


@piece
def case_known(run: Run, i: int, now: float) -> None:
    """A dog is known to have it; rules that count cases fire."""
    run.who[i, KNOWN] = 1
    run.dog[i, KNOWN_ON] = NEVER
    run.tally[T_NOTICED] = min(run.tally[T_NOTICED], now)
    for r in range(len(run.rules)):
        if run.rules[r, R_TRIGGER] != CASES:
            continue
        before = 0
        for other in range(len(run.who)):
            on = run.dog[other, KNOWN_ON]
            if on < NEVER and on > now - run.rules[r, R_WITHIN]:
                before += 1
        if before + 1 == run.rules[r, R_CASES]:
            set_off(run, r, i, now)
    run.dog[i, KNOWN_ON] = now
    if run.who[i, HERE] != 0 and run.who[i, PLACE] == run.rates[N_QUARANTINE]:
        extend(run, now)


@once
def extend(run: Run, now: float) -> None:
    """A case in quarantine: its mates there stay longer, where a rule says so."""
    for i in range(len(run.who)):
        by = run.who[i, APART_BY]
        if (
            run.who[i, HERE] == 0
            or by < 0
            or run.who[i, PLACE] != run.rates[N_QUARANTINE]
        ):
            continue
        if run.rules[by, R_EXTEND] > 0:
            later = now + run.rules[by, R_EXTEND]
            run.dog[i, RELEASE] = max(run.dog[i, RELEASE], later)
