"""A kennel, an infection and a world put together as a scenario for the simulator."""

from dataclasses import dataclass, replace

from kennelward.spread import course_of as made
from kennelward.spread.kennel_now import (
    ComingDog,
    Habits,
    KennelNow,
    ResidentNow,
    events_of,
)
from kennelward.spread.keyed import uniform
from kennelward.spread.knowledge import Knowledge, World, name_key
from kennelward.spread.model import Dog, Place, Policy, Scenario
from kennelward.spread.tables import normal

TITRE_STREAM = 41  # of `keyed`
GROWN_DAYS = 183  # six months, as Bouzid 2015 parts the ages
ARRIVAL, VISIT = "arrival_infected", "visitor_infected"


@dataclass(frozen=True, slots=True, kw_only=True)
class TestSetting:
    """How the kennel's test is used: what the simulator must know beside its worth."""

    __test__ = False  # not a test case of pytest

    delay_days: float = 0.0
    window: tuple[float, float] | None = None  # of an antibody test


def scenario_of(
    kennel: KennelNow,
    knowledge: Knowledge,
    world: World,
    *,
    test: TestSetting,
    habits: Habits | None = None,
    seed: int = 0,
) -> Scenario:
    """The scenario of one world. `seed` gives puppies their dams' antibody."""
    habits = habits or Habits()
    coming = [
        dog
        for dog in kennel.coming
        if not (habits.refuse_visits if dog.is_visitor else habits.refuse_arrivals)
    ]
    refused = {dog.uid for dog in kennel.coming} - {dog.uid for dog in coming}
    return Scenario(
        dogs=(
            *(_resident(dog, world, seed=seed) for dog in kennel.residents),
            *(_coming(dog, world, habits=habits) for dog in coming),
            *_puppies(kennel, world, seed=seed),
        ),
        places=tuple(
            Place(
                kind=place.kind,
                decay=made.decay(world, place.surface),
                cleaning_works=made.works(world, place.surface),
            )
            for place in kennel.places
        ),
        events=events_of(kennel, without=frozenset(refused)),
        course=made.course_of(knowledge, world),
        test=made.kind_of_test(world, delay_days=test.delay_days, window=test.window),
        days=kennel.days,
        quarantine_place=kennel.quarantine_place,
        isolation_place=kennel.isolation_place,
    )


def policy_in(
    policy: Policy, kennel: KennelNow, world: World, habits: Habits
) -> Policy:
    """The policy with what its cleaning and washing do in this world."""
    keeps = "change_keeps" if habits.changes_shoes else "wash_keeps"
    return replace(
        policy,
        cleaning_factor=made.logs(world, habits.product or kennel.product),
        extra_hygiene=world.value(keeps, 1.0),
    )


def _susceptibility(world: World, *, age_days: float, is_vaccinated: bool) -> float:
    """Against an unprotected puppy. What protects a grown dog is mostly its vaccine."""
    if is_vaccinated and "vaccinated" in world.values:
        return world.value("vaccinated")
    return world.value("grown", 1.0) if age_days >= GROWN_DAYS else 1.0


def _resident(dog: ResidentNow, world: World, *, seed: int) -> Dog:
    protected = -1.0
    if -dog.born < GROWN_DAYS and not dog.is_vaccinated:
        protected = dog.born + _protected(world, dog.litter, seed=seed)
    return Dog(
        uid=dog.uid,
        home=dog.home,
        susceptibility=_susceptibility(
            world, age_days=-dog.born, is_vaccinated=dog.is_vaccinated
        ),
        protected_until=protected,
        chance_infected=world.value(dog.infected) if dog.infected else 0.0,
        litter=dog.litter,
    )


def _coming(dog: ComingDog, world: World, *, habits: Habits) -> Dog:
    chance = world.value(VISIT if dog.is_visitor else ARRIVAL, 0.0)
    if dog.is_visitor and habits.test_visitors:
        missed = 1 - world.value("test_finds_silent")
        chance = chance * missed / (1 - chance + chance * missed)
    return Dog(
        uid=dog.uid,
        home=dog.home,
        arrives_on=dog.on,
        susceptibility=_susceptibility(
            world, age_days=dog.age_days, is_vaccinated=dog.is_vaccinated
        ),
        chance_infected=chance,
    )


def _puppies(kennel: KennelNow, world: World, *, seed: int) -> list[Dog]:
    found = []
    for litter in kennel.litters:
        if not 0 <= litter.on < kennel.days:
            continue
        protected = litter.on + _protected(world, litter.litter, seed=seed)
        found += [
            Dog(
                uid=litter.puppy_uid(number),
                home=litter.place,
                arrives_on=litter.on,
                protected_until=protected,
                litter=litter.litter,
                is_born=True,
            )
            for number in range(litter.puppies)
        ]
    return found


def _protected(world: World, litter: int, *, seed: int) -> float:
    """Days from birth for which a litter's antibody protects; the litter as one."""
    share = uniform(
        seed=seed,
        replicate=max(world.number, 0),
        stream=TITRE_STREAM,
        who=name_key(f"litter {litter}"),
        which=0,
    )
    titre = 0.0 if world.number < 0 else normal(share)
    return made.protected_days(world, titre_share=titre)[0]
