"""Small scenarios drawn at random, with everything the engines know in them."""

import random

from kennelward.spread.model import (
    Course,
    Dog,
    Event,
    Happens,
    Place,
    PlaceKind,
    Policy,
    Scenario,
    TestKind,
)
from kennelward.spread.tables import gamma_table


def drawn_scenario(
    seed: int, *, dogs: int = 8, places: int = 5, days: int = 30
) -> Scenario:
    """A scenario for this seed; the last two places are quarantine and isolation."""
    luck = random.Random(seed)
    homes = places - 2
    held = [
        Dog(
            uid=10 + 3 * i,
            home=luck.randrange(homes),
            arrives_on=-1.0 if i < dogs - 2 else luck.uniform(0, days / 2),
            susceptibility=luck.choice([1, 0.4]),
            protected_until=luck.choice([-1, -1, 7.0]),
            chance_infected=luck.choice([0, 0.3]),
            litter=luck.choice([-1, 0, 1]),
        )
        for i in range(dogs)
    ]
    return Scenario(
        dogs=tuple(held),
        places=(
            *(
                Place(
                    decay=luck.choice([0.05, 0.3]), cleaning_works=luck.choice([1, 0.2])
                )
                for _ in range(homes)
            ),
            Place(kind=PlaceKind.QUARANTINE),
            Place(kind=PlaceKind.ISOLATION),
        ),
        events=tuple(_events(luck, held, places=places, days=days)),
        course=drawn_course(luck),
        test=TestKind(
            sensitivity_silent=0.4,
            sensitivity_sick=0.8,
            specificity=0.97,
            delay_days=luck.choice([0, 2]),
            antibody_from=luck.choice([-1.0, 5.0]),
            antibody_full=12.0,
            price=10,
        ),
        days=days,
        quarantine_place=places - 2,
        isolation_place=places - 1,
    )


def _events(
    luck: random.Random, dogs: list[Dog], *, places: int, days: int
) -> list[Event]:
    found = []
    for day in range(days):
        for place in range(places):
            found.append(Event(at=day + 0.3, what=Happens.VISIT, a=place))
            wash = day + 0.3 + 0.001 * place
            found.append(Event(at=wash, what=Happens.WASH, a=0, x=0.5))
        if day % 3 == 0:
            clean = luck.randrange(places)
            found.append(Event(at=day + 0.4, what=Happens.CLEAN, a=clean, x=2))
        to = luck.randrange(places - 2)
        uid = luck.choice(dogs).uid
        at = day + luck.choice([0.5, 0.7])
        found.append(Event(at=at, what=Happens.MOVE, a=uid, b=to))
        if day % 5 == 0:
            pair = {"a": dogs[0].uid, "b": dogs[1].uid}
            found.append(Event(at=day + 0.6, what=Happens.MATE, **pair))
        if day == 9:
            found.append(Event(at=day + 0.1, what=Happens.BIRTH, a=dogs[0].uid))
        if day == 20:
            found.append(Event(at=day + 0.2, what=Happens.LEAVE, a=dogs[2].uid))
    return found


def drawn_course(luck: random.Random) -> Course:
    """An infection with every route open."""
    return Course(
        name="drawn",
        latency=gamma_table(mean=3, sd=1),
        shedding=gamma_table(mean=8, sd=3),
        sign_delay=gamma_table(mean=1.5, sd=1),
        direct=0.2,
        from_place=0.05,
        full_share=0.6,
        tail=0.3,
        chance_clinical=0.6,
        chance_death=0.2,
        notice=0.5,
        carried_days=luck.choice([0.0, 6.0]),
        again=luck.choice([-1.0, 0.5]),
        is_chronic=luck.random() < 0.2,
        staff_pick=0.05,
        staff_drop=0.2,
        venereal=0.5,
        birth_exposure=0.5,
        birth_pulse=3,
        vary_direct=0.5,
        vary_place=0.5,
        vary_decay=0.3,
    )


def drawn_policy(seed: int) -> Policy:
    """A policy for this seed."""
    luck = random.Random(1000 + seed)
    return Policy(
        name="drawn",
        quarantine_days=luck.choice([0, 7]),
        arrival_tests=luck.choice([(), (2,), (2, 9)]),
        isolate_noticed=luck.random() < 0.5,
        test_noticed=luck.random() < 0.5,
        test_all_after_case=luck.random() < 0.5,
        close_after_case=luck.random() < 0.5,
        isolation_room=luck.choice([1, 4]),
        act_after_days=luck.choice([0, 1]),
        cleaning_factor=luck.choice([0.5, 1, 2]),
        price_apart_day=3,
        price_sick_day=5,
        price_death=100,
    )
