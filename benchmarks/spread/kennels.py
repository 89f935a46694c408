"""The kennels that the spread benchmarks run: fixed, so that figures can be compared.

Home pens of 3 or 4 dogs, yards that each pen visits once a day, a round twice a day from
the cleanest to the dirtiest place, hands washed between and clothes changed at the end,
every pen cleaned every other day, an arrival every 15 days through quarantine, tests
with delay. Rates are invented for the benchmark and are no advice about any kennel.
"""

from itertools import product

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

YARDS = 4
ARRIVES_EVERY = 15  # days
CARRIES = (
    0.023  # of arrivals: 2.3 % of 4088 transported puppies, DiGangi et al., Animals
)


def kennel(*, dogs: int, pens: int, days: int, carries: float = CARRIES) -> Scenario:
    """A kennel of this size; the last two places are quarantine and isolation."""
    comes = [float(day) for day in range(5, days, ARRIVES_EVERY)]
    held = [
        Dog(uid=i, home=i % pens, litter=i % pens if i % 5 == 0 else -1)
        for i in range(dogs)
    ]
    held += [
        Dog(uid=10_000 + k, home=k % pens, arrives_on=day, chance_infected=carries)
        for k, day in enumerate(comes)
    ]
    quarantine, isolation = pens + YARDS, pens + YARDS + 1
    places = (
        *(Place(decay=0.05) for _ in range(pens)),
        *(Place(decay=0.1, cleaning_works=0.0) for _ in range(YARDS)),
        Place(kind=PlaceKind.QUARANTINE, decay=0.05),
        Place(kind=PlaceKind.ISOLATION, decay=0.05),
    )
    return Scenario(
        dogs=tuple(held),
        places=places,
        events=tuple(_calendar(held, pens=pens, places=len(places), days=days)),
        course=Course(
            name="made for the benchmark",
            latency=gamma_table(mean=4.0, sd=1.0),
            shedding=gamma_table(mean=8.0, sd=2.5),
            sign_delay=gamma_table(mean=1.5, sd=0.7),
            direct=0.05,
            from_place=0.02,
            full_share=0.7,
            tail=0.2,
            chance_clinical=0.5,
            chance_death=0.13,
            notice=0.7,
            staff_pick=0.01,
            staff_drop=0.1,
        ),
        test=TestKind(
            sensitivity_silent=0.3,
            sensitivity_sick=0.8,
            specificity=0.995,
            delay_days=1.0,
            price=15.0,
        ),
        days=days,
        quarantine_place=quarantine,
        isolation_place=isolation,
    )


def _calendar(dogs: list[Dog], *, pens: int, places: int, days: int) -> list[Event]:
    found = []
    for day in range(days):
        for hour in (0.3, 0.7):
            for place in range(places):
                at = day + hour + 0.0001 * place
                found.append(Event(at=at, what=Happens.VISIT, a=place))
                found.append(Event(at=at, what=Happens.WASH, a=0, x=0.1))
            found.append(Event(at=day + hour + 0.01, what=Happens.WASH, a=0, x=0.01))
        cleaned = (*range(pens), places - 2, places - 1)
        for pen in cleaned[day % 2 :: 2]:
            found.append(Event(at=day + 0.35, what=Happens.CLEAN, a=pen, x=3.0))
        for dog in dogs:
            yard = pens + dog.home % YARDS
            at = day + 0.4 + 0.01 * (dog.home // YARDS)
            found.append(Event(at=at, what=Happens.MOVE, a=dog.uid, b=yard))
            found.append(Event(at=at + 0.009, what=Happens.MOVE, a=dog.uid, b=dog.home))
    return found


PRICES = {"price_apart_day": 4.0, "price_sick_day": 30.0, "price_death": 900.0}
APART_DAYS = 14.0
SIGNS_APART = Rule(trigger=Trigger.SIGNS, action=Action.ISOLATE, days=APART_DAYS)
POSITIVE_APART = Rule(trigger=Trigger.POSITIVE, action=Action.ISOLATE, days=APART_DAYS)
SIGNS_TESTED = Rule(trigger=Trigger.SIGNS, action=Action.TEST)
ALL_TESTED = Rule(trigger=Trigger.CASES, action=Action.TEST, scope=Scope.ALL, after=1.0)
CLOSED = Rule(trigger=Trigger.CASES, action=Action.CLOSE, closes=int(Closes.ARRIVALS))


def arrivals(days: float, tests: tuple[float, ...]) -> tuple[Rule, ...]:
    """Quarantine for so many days, with tests on these days after coming."""
    apart = Rule(trigger=Trigger.ARRIVAL, action=Action.QUARANTINE, days=days)
    return (
        *((apart,) if days > 0 else ()),
        *(
            Rule(trigger=Trigger.ARRIVAL, action=Action.TEST, after=after)
            for after in tests
        ),
    )


BASE = Policy(
    name="14 days, test late, test sick",
    rules=(*arrivals(14.0, (11.0,)), SIGNS_APART, SIGNS_TESTED, POSITIVE_APART),
    **PRICES,
)


def fifty_policies() -> list[Policy]:
    """Quarantine x arrival tests x response (48), and two with better cleaning."""
    tests: tuple[tuple[float, ...], ...] = ((), (2.0,), (11.0,), (2.0, 11.0))
    responses: tuple[tuple[Rule, ...], ...] = (
        (SIGNS_APART, SIGNS_TESTED, POSITIVE_APART),
        (SIGNS_APART, SIGNS_TESTED, POSITIVE_APART, ALL_TESTED),
        (SIGNS_APART, POSITIVE_APART, CLOSED),
    )
    found = [
        Policy(
            name=f"{days:g} d, tests {on}, response {number}",
            rules=(*arrivals(days, on), *response),
            **PRICES,
        )
        for days, on, (number, response) in product(
            (0.0, 7.0, 14.0, 21.0), tests, enumerate(responses)
        )
    ]
    for days in (7.0, 14.0):
        found.append(
            Policy(
                name=f"{days:g} d, better cleaning",
                rules=(*arrivals(days, (11.0,)), SIGNS_APART, POSITIVE_APART),
                cleaning_factor=1.5,
                extra_hygiene=0.3,
                **PRICES,
            )
        )
    return found
