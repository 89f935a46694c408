"""A scenario and a policy as arrays, in the one order both engines use."""

from typing import NamedTuple

import numpy as np

from kennelward.spread.model import NEVER, Happens, Policy, Scenario
from kennelward.spread.plain_truth import calendar
from kennelward.spread.tables import detectability, normal_table

TEST_SLOTS = 3
ABOUT_DOGS = (Happens.MOVE, Happens.MATE, Happens.BIRTH, Happens.LEAVE)


class Packed(NamedTuple):
    """Everything that stays the same over runs. Dogs are in order of uid."""

    uid: np.ndarray  # (dogs,) int64
    home: np.ndarray  # (dogs,) int64
    arrives_on: np.ndarray  # (dogs,) float64
    susceptibility: np.ndarray
    protected_until: np.ndarray
    chance_infected: np.ndarray
    litter: np.ndarray  # (dogs,) int64
    place_kind: np.ndarray  # (places,) int64
    decay: np.ndarray  # (places,) float64
    works: np.ndarray  # (places,) float64
    dirt: np.ndarray  # (places,) float64, at the start
    event_at: np.ndarray  # (events,) float64, rising
    event_what: np.ndarray  # (events,) int64
    event_a: np.ndarray
    event_b: np.ndarray
    event_x: np.ndarray  # (events,) float64
    first_event: np.ndarray  # (days + 1,) int64, first event of each day
    latency: np.ndarray  # (257,) float64
    shedding: np.ndarray
    sign_delay: np.ndarray
    effect: np.ndarray  # (2, 257) float64, silent and sick
    normal: np.ndarray  # (257,) float64
    numbers: np.ndarray  # (29,) float64, by the names in `NUMBERS`


NUMBERS = (
    "days", "direct", "from_place", "full_share", "tail", "deposit", "chance_clinical",
    "chance_death", "notice", "again", "is_chronic", "staff_pick", "staff_drop",
    "venereal", "birth_exposure", "birth_pulse", "vary_direct", "vary_place",
    "vary_decay", "specificity", "delay_days", "antibody_from", "antibody_full",
    "test_price", "quarantine_place", "isolation_place",
)  # fmt: skip

RULES = (
    "quarantine_days", "arrival_test_1", "arrival_test_2", "isolate_noticed",
    "test_noticed", "test_all_after_case", "close_after_case", "isolate_positive",
    "isolation_days", "isolation_room", "act_after_days", "cleaning_factor",
    "extra_hygiene", "price_apart_day", "price_sick_day", "price_death",
)  # fmt: skip


def pack(scenario: Scenario) -> Packed:
    """The scenario as arrays."""
    dogs = sorted(scenario.dogs, key=lambda dog: dog.uid)
    index = {dog.uid: number for number, dog in enumerate(dogs)}
    events = calendar(scenario.events)
    named = [
        (
            index[event.a] if event.what in ABOUT_DOGS else event.a,
            index[event.b] if event.what is Happens.MATE else event.b,
        )
        for event in events
    ]
    at = np.array([event.at for event in events], dtype=np.float64)
    dirt = list(scenario.start_contamination) + [0.0] * len(scenario.places)
    course, test = scenario.course, scenario.test
    numbers = {
        "days": scenario.days,
        "specificity": test.specificity,
        "delay_days": test.delay_days,
        "antibody_from": test.antibody_from,
        "antibody_full": test.antibody_full,
        "test_price": test.price,
        "quarantine_place": scenario.quarantine_place,
        "isolation_place": scenario.isolation_place,
    }
    return Packed(
        uid=np.array([dog.uid for dog in dogs], dtype=np.int64),
        home=np.array([dog.home for dog in dogs], dtype=np.int64),
        arrives_on=np.array([dog.arrives_on for dog in dogs], dtype=np.float64),
        susceptibility=np.array([dog.susceptibility for dog in dogs], dtype=np.float64),
        protected_until=np.array([d.protected_until for d in dogs], dtype=np.float64),
        chance_infected=np.array([d.chance_infected for d in dogs], dtype=np.float64),
        litter=np.array([dog.litter for dog in dogs], dtype=np.int64),
        place_kind=np.array([int(p.kind) for p in scenario.places], dtype=np.int64),
        decay=np.array([p.decay for p in scenario.places], dtype=np.float64),
        works=np.array([p.cleaning_works for p in scenario.places], dtype=np.float64),
        dirt=np.array(dirt[: len(scenario.places)], dtype=np.float64),
        event_at=at,
        event_what=np.array([int(e.what) for e in events], dtype=np.int64),
        event_a=np.array([a for a, _ in named], dtype=np.int64),
        event_b=np.array([b for _, b in named], dtype=np.int64),
        event_x=np.array([e.x for e in events], dtype=np.float64),
        first_event=np.searchsorted(at, np.arange(scenario.days + 1)).astype(np.int64),
        latency=np.array(course.latency),
        shedding=np.array(course.shedding),
        sign_delay=np.array(course.sign_delay),
        effect=np.array(
            [
                detectability(mean=mean, correlation=test.correlation)
                for mean in (test.sensitivity_silent, test.sensitivity_sick)
            ]
        ),
        normal=np.array(normal_table()),
        numbers=np.array(
            [
                float(numbers[name] if name in numbers else getattr(course, name))
                for name in NUMBERS
            ]
        ),
    )


def pack_policy(policy: Policy) -> np.ndarray:
    """The policy as (16,) float64, by the names in `RULES`."""
    tests = (*policy.arrival_tests, NEVER, NEVER)
    given = {"arrival_test_1": tests[0], "arrival_test_2": tests[1]}
    return np.array(
        [
            float(given[name] if name in given else getattr(policy, name))
            for name in RULES
        ]
    )
