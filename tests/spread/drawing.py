"""Small scenarios drawn at random, with everything the engines know in them."""

import random

from kennelward.spread.model import (
    Action,
    Closes,
    Course,
    Dog,
    Event,
    Happens,
    Place,
    PlaceKind,
    Policy,
    Rule,
    Scenario,
    Scope,
    TestKind,
    Trigger,
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
            from_outside=luck.choice([0, 0, 0.02]),
            litter=luck.choice([-1, 0, 1]),
            dam=luck.choice([-1, 10]),
            is_visitor=i == dogs - 1,
            vaccinations=luck.choice([(), (), (-20.0,), (2.0, 9.0)]),
            blocked_until=luck.choice([-1e9, 6.0, 25.0]),
        )
        for i in range(dogs)
    ]
    return Scenario(
        dogs=tuple(held),
        places=(
            *(
                Place(
                    kind=PlaceKind.YARD if place == 1 else PlaceKind.HOME,
                    decay=luck.choice([0.05, 0.3]),
                    cleaning_works=luck.choice([1, 0.2]),
                    near=tuple(k for k in (place - 1, place + 1) if 0 <= k < places),
                )
                for place in range(homes)
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
        floor=luck.choice([1e-4, 0.0, 0.02]),
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
            washed = luck.choice([-1, 0, 1])
            found.append(
                Event(at=day + 0.4, what=Happens.CLEAN, a=clean, b=washed, x=2)
            )
        to = luck.randrange(places - 2)
        uid = luck.choice(dogs).uid
        at = day + luck.choice([0.5, 0.7])
        found.append(Event(at=at, what=Happens.MOVE, a=uid, b=to))
        if day % 5 == 0:
            pair = {"a": dogs[0].uid, "b": dogs[1].uid}
            found.append(Event(at=day + 0.6, what=Happens.MATE, **pair))
        if day == 9:
            found.append(Event(at=day + 0.1, what=Happens.BIRTH, a=dogs[0].uid))
        if day in (11, 20):
            leaves = Event(
                at=day + 0.2,
                what=Happens.LEAVE,
                a=dogs[2 if day == 20 else 3].uid,
                x=luck.choice([0.0, 1.0]),
            )
            found.append(leaves)
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
        unwashed=0.3,
        on_share=luck.choice([1.0, 0.6]),
        on_days=luck.choice([1, 3]),
        from_air=luck.choice([0.0, 0.0, 0.05]),
        vaccine_keeps=luck.choice([0.0, 0.1, 1.0]),
        vaccine_days=luck.choice([0.0, 4.0]),
        vary_direct=0.5,
        vary_place=0.5,
        vary_decay=0.3,
    )


def drawn_policy(seed: int) -> Policy:
    """A policy of up to nine rules for this seed."""
    luck = random.Random(1000 + seed)
    return Policy(
        name="drawn",
        rules=tuple(drawn_rule(luck) for _ in range(luck.randrange(10))),
        isolation_room=luck.choice([1, 4]),
        tests_a_day=luck.choice([0, 2]),
        cleaning_factor=luck.choice([0.5, 1, 2]),
        cleaning_spread=luck.choice([0, 0.25]),
        extra_hygiene=luck.choice([1, 0.5]),
        price_apart_day=3,
        price_sick_day=5,
        price_death=100,
    )


def drawn_rule(luck: random.Random) -> Rule:
    """Any rule that the simulator takes."""
    trigger = luck.choice([*Trigger, Trigger.SIGNS, Trigger.POSITIVE, Trigger.CASES])
    gate = trigger in (Trigger.ARRIVAL, Trigger.VISIT)
    scope = luck.choice(list(Scope))
    if trigger is Trigger.ALWAYS:
        action = luck.choice(list(Action)[6:])
    elif trigger is Trigger.CALENDAR:
        action = luck.choice(
            [a for a in list(Action)[:6] if a is not Action.QUARANTINE]
        )
        scope = luck.choice([Scope.ALL, Scope.LITTER])
    else:
        action = luck.choice([a for a in Action if gate or a is not Action.QUARANTINE])
    return Rule(
        trigger=trigger,
        action=action,
        scope=scope,
        after=luck.choice([0, 0, 1, 2.5]),
        days=luck.choice([3, 7, 14, 1e9]),
        first=luck.choice([0, 4]),
        every=luck.choice([0, 3, 7]),
        clear_rounds=luck.choice([1, 2]),
        cases=luck.choice([1, 2]),
        within=luck.choice([5, 1e9]),
        top=luck.choice([0, 2]),
        at_least=luck.choice([0.3, 1.0]),
        extend=luck.choice([0, 5]),
        clears=luck.choice([0.5, 1.0]),
        clears_after=luck.choice([0, 3]),
        closes=luck.randrange(1, int(sum(Closes)) + 1),
        amount=luck.choice([0.2, 3]),
        spread=luck.choice([0, 0.25]),
        before=gate and action is Action.TEST and luck.random() < 0.5,
        until_clear=luck.random() < 0.3,
    )
