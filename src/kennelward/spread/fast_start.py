"""Compiled pieces of the fast engine: an empty kennel, before the first day."""

from math import exp

from kennelward.spread.fast_dogs import base_key, from_table, uniform
from kennelward.spread.fast_rules import fire, next_rule, switch
from kennelward.spread.fast_state import (
    ALWAYS,
    APART,
    APART_BY,
    ASTIR,
    BUSY,
    CALENDAR,
    DAY,
    DECAY,
    DIRT,
    EVENT,
    HOME,
    LEAST,
    N_DIRECT,
    N_PLACE,
    N_VARY_DECAY,
    N_VARY_DIRECT,
    N_VARY_PLACE,
    NOBODY,
    NORMAL,
    PEN_APART,
    PEN_DECAY,
    PEN_DIRT,
    PEN_WORKS,
    PLACE,
    R_FIRST,
    R_TRIGGER,
    S_NEXT,
    S_SINCE,
    S_UNTIL,
    SETTLED,
    SIGMA,
    STREAMS,
    T_NEXT_LET_IN,
    T_NEXT_VACCINE,
    T_NEXT_WATCH,
    T_NOTICED,
    WATCH,
    WORKS,
    X_DIRECT,
    X_PLACE,
    Run,
    once,
    piece,
)
from kennelward.spread.keyed import Stream
from kennelward.spread.model import NEVER

V_DIRECT, V_PLACE, V_DECAY = map(
    int, (Stream.VARY_DIRECT, Stream.VARY_PLACE, Stream.VARY_DECAY)
)


@once
def vary(run: Run, stream: int, sd: float) -> float:
    """What is not known about a rate, drawn once a run."""
    if sd == 0:
        return 1.0
    return exp(sd * from_table(run, NORMAL, uniform(run.keys[stream], 0, 0)))


@piece
def reset(run: Run, seed: int, replicate: int) -> None:
    """An empty kennel."""
    for stream in range(STREAMS):
        run.keys[stream] = base_key(seed, replicate, stream)
    decay = vary(run, V_DECAY, run.rates[N_VARY_DECAY])
    run.rates[X_DIRECT] = run.rates[N_DIRECT] * vary(
        run, V_DIRECT, run.rates[N_VARY_DIRECT]
    )
    run.rates[X_PLACE] = run.rates[N_PLACE] * vary(
        run, V_PLACE, run.rates[N_VARY_PLACE]
    )
    run.dog[:] = NEVER
    run.who[:] = 0
    for i in range(len(run.who)):
        run.who[i, PLACE] = run.fixed[i, HOME]
        run.who[i, APART_BY] = -1
        run.dog[i, SIGMA] = 1.0
    run.pen[:] = 0.0
    for place in range(len(run.pen)):
        run.pen[place, DECAY] = run.pens[place, PEN_DECAY] * decay
        run.pen[place, WORKS] = run.pens[place, PEN_WORKS]
        run.pen[place, APART] = run.pens[place, PEN_APART]
        run.pen[place, DIRT] = run.pens[place, PEN_DIRT]
        run.pen[place, LEAST] = NEVER
    run.clock[DAY] = run.clock[EVENT] = run.clock[ASTIR] = 0
    run.clock[SETTLED] = 0
    run.lists[BUSY, run.lists.shape[1] - 1] = 0
    run.lists[WATCH, run.lists.shape[1] - 1] = 0
    run.tally[:] = 0.0
    run.tally[T_NOTICED] = run.tally[T_NEXT_WATCH] = NEVER
    run.tally[T_NEXT_VACCINE] = run.tally[T_NEXT_LET_IN] = NEVER
    reset_rules(run)


@once
def reset_rules(run: Run) -> None:
    """No rule has fired, but those that always hold."""
    run.due[:] = NEVER
    run.state[:] = 0.0
    for r in range(len(run.rules)):
        run.state[r, S_SINCE] = run.state[r, S_NEXT] = NEVER
        run.state[r, S_UNTIL] = -1.0
        if run.rules[r, R_TRIGGER] == CALENDAR:
            run.state[r, S_NEXT] = run.rules[r, R_FIRST]
    switch(run, 0.0)
    fire(run, ALWAYS, NOBODY, 0.0)
    next_rule(run, -1.0)
