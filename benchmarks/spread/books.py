"""The logs that the tracing benchmark traces: fixed, so that figures can be compared.

60 dogs in 18 pens over 60 days. "No round" is moves alone. The other two are as a real
book gives them: two moves a day, a round through every pen a day by staff who do not
wash between pens and so carry a load to all of them, every pen cleaned every third day,
six sets of numbers, six results. "Rare" starts with few infected and much that stays in
a pen, "common" with many infected, long shedding with pauses, and dogs that catch it
again. Numbers are invented for the benchmark and are no advice about any kennel.
"""

from dataclasses import dataclass, replace

import numpy as np

from kennelward.spread.model import (
    Course,
    Dog,
    Event,
    Happens,
    Place,
    Scenario,
    TestKind,
)
from kennelward.spread.tables import gamma_table
from kennelward.spread.trace_evidence import TestSeen

DOGS, PENS, DAYS = 60, 18, 60
TESTED = (7, 25, 43, 2, 11, 30)  # the first is positive; the next two share its pen
TESTED_ON = 55.0
# What is not known: each world's direct rate, place rate and staff's picking up, times.
WORLDS = (
    (1.0, 1.0, 1.0),
    (0.5, 1.5, 2.0),
    (2.0, 0.7, 0.5),
    (1.4, 0.5, 1.5),
    (0.7, 2.0, 0.7),
    (1.0, 1.0, 3.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LogToTrace:
    """What `trace` is asked."""

    name: str
    worlds: tuple[Scenario, ...]
    results: tuple[TestSeen, ...]
    now: float = float(DAYS)


def logs_to_trace() -> tuple[LogToTrace, ...]:
    """The three logs, from the lightest on."""
    seen = tuple(
        TestSeen(dog=dog, day=TESTED_ON, is_positive=dog == TESTED[0]) for dog in TESTED
    )
    rare, common = _with_a_round(_moves()), _common(_with_a_round(_moves()))
    return (
        LogToTrace(name="no round", worlds=(_no_round(),), results=seen),
        LogToTrace(name="rare, daily round", worlds=_worlds(rare), results=seen),
        LogToTrace(name="common, daily round", worlds=_worlds(common), results=seen),
    )


def _moves() -> tuple[Event, ...]:
    rng = np.random.default_rng(4)
    return tuple(
        Event(
            at=float(rng.uniform(0.5, 59)),
            what=Happens.MOVE,
            a=int(rng.integers(DOGS)),
            b=int(rng.integers(PENS)),
        )
        for _ in range(120)
    )


def _no_round() -> Scenario:
    return Scenario(
        dogs=tuple(
            Dog(uid=i, home=i % PENS, chance_infected=0.01) for i in range(DOGS)
        ),
        places=tuple(Place(decay=0.1) for _ in range(PENS)),
        events=_moves(),
        course=Course(
            name="made for the benchmark",
            latency=gamma_table(mean=4.0, sd=1.0),
            shedding=gamma_table(mean=20.0, sd=6.0),
            sign_delay=gamma_table(mean=1.5, sd=0.7),
            direct=0.03,
            from_place=0.005,
        ),
        test=TestKind(sensitivity_silent=0.7, sensitivity_sick=0.8, specificity=0.99),
        days=DAYS,
    )


def _with_a_round(moves: tuple[Event, ...]) -> Scenario:
    events = list(moves)
    for day in range(DAYS):
        events += [
            Event(at=day + 0.3 + 0.0005 * pen, what=Happens.VISIT, a=pen)
            for pen in range(PENS)
        ]
        events += [
            Event(at=day + 0.4, what=Happens.CLEAN, a=pen, x=2.5)
            for pen in range(day % 3, PENS, 3)
        ]
    base = _no_round()
    return replace(
        base,
        events=tuple(events),
        course=replace(base.course, staff_pick=0.01, staff_drop=0.1, carried_days=24.0),
    )


def _common(rare: Scenario) -> Scenario:
    return replace(
        rare,
        dogs=tuple(replace(dog, chance_infected=0.12) for dog in rare.dogs),
        places=tuple(Place(decay=0.6) for _ in range(PENS)),
        course=replace(
            rare.course,
            latency=gamma_table(mean=6.0, sd=1.8),
            shedding=gamma_table(mean=60.0, sd=25.0),
            direct=0.002,
            from_place=0.004,
            staff_pick=0.001,
            staff_drop=0.2,
            again=0.6,
            on_share=0.6,
            on_days=3,
            carried_days=68.0,
        ),
    )


def _worlds(scenario: Scenario) -> tuple[Scenario, ...]:
    course = scenario.course
    return tuple(
        replace(
            scenario,
            course=replace(
                course,
                direct=course.direct * direct,
                from_place=course.from_place * place,
                staff_pick=course.staff_pick * picks,
            ),
        )
        for direct, place, picks in WORLDS
    )
