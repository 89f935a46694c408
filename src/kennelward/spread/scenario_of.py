"""A kennel, an infection and a world put together as a scenario for the simulator."""

from dataclasses import dataclass, replace

from kennelward.spread import course_of as made_of
from kennelward.spread.compiled import Compiled
from kennelward.spread.kennel_now import (
    ComingDog,
    Habits,
    KennelNow,
    ResidentNow,
    events_of,
)
from kennelward.spread.keyed import uniform
from kennelward.spread.knowledge import Knowledge, World, name_key
from kennelward.spread.model import Action, Dog, Place, Policy, Scenario
from kennelward.spread.tables import normal

TITRE_STREAM = 41  # of `keyed`
NOT_BLOCKED = -1e9
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
    return Scenario(
        dogs=(
            *(_resident(dog, world, seed=seed) for dog in kennel.residents),
            *(_coming(dog, world, seed=seed) for dog in kennel.coming),
            *_puppies(kennel, world, seed=seed),
        ),
        places=tuple(
            Place(
                kind=place.kind,
                decay=made_of.decay(world, place.surface),
                cleaning_works=made_of.works(world, place.surface),
            )
            for place in kennel.places
        ),
        events=events_of(kennel, washes=habits.washes, order=habits.order),
        course=made_of.course_of(knowledge, world),
        test=made_of.kind_of_test(
            world, delay_days=test.delay_days, window=test.window
        ),
        days=kennel.days,
        quarantine_place=kennel.quarantine_place,
        isolation_place=kennel.isolation_place,
    )


def policy_in(made: Compiled, kennel: KennelNow, world: World) -> Policy:
    """The policy with what its cleaning and washing do in this world."""
    keeps = "change_keeps" if made.habits.changes_shoes else "wash_keeps"
    varies = min(1.0, world.value("cleaning_varies", 0.0))
    rules = []
    for rule, product in zip(made.policy.rules, made.products, strict=True):
        if product:
            logs = made_of.logs(world, product)
            rules.append(replace(rule, amount=logs, spread=varies))
        elif rule.action is Action.HYGIENE:
            rules.append(replace(rule, amount=world.value("change_keeps", 1.0)))
        else:
            rules.append(rule)
    return replace(
        made.policy,
        rules=tuple(rules),
        cleaning_factor=made_of.logs(world, made.habits.product or kennel.product),
        cleaning_spread=varies,
        extra_hygiene=world.value(keeps, 1.0),
    )


def _susceptibility(world: World, *, age_days: float, is_vaccinated: bool) -> float:
    """Against an unprotected puppy. What protects a grown dog is mostly its vaccine."""
    if is_vaccinated and "vaccinated" in world.values:
        return world.value("vaccinated")
    return world.value("grown", 1.0) if age_days >= GROWN_DAYS else 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Protection:
    """What a dog is protected by; as in `Dog`."""

    susceptibility: float
    protected_until: float = -1.0
    blocked_until: float = NOT_BLOCKED


def protection_of(
    world: World, *, born: float, on: float, is_vaccinated: bool, litter: str, seed: int
) -> Protection:
    """Of a dog that comes in, or is here, `on` a day. Litters are told apart by name."""
    susceptibility = _susceptibility(
        world, age_days=on - born, is_vaccinated=is_vaccinated
    )
    if on - born >= GROWN_DAYS or is_vaccinated:
        return Protection(susceptibility=susceptibility)
    until, blocks = _by_the_dam(world, f"litter {litter}", seed=seed)
    return Protection(
        susceptibility=susceptibility,
        protected_until=born + until,
        blocked_until=born + blocks,
    )


def _resident(dog: ResidentNow, world: World, *, seed: int) -> Dog:
    has = protection_of(
        world, born=dog.born, on=0.0, is_vaccinated=dog.is_vaccinated,
        litter=str(dog.litter), seed=seed,
    )  # fmt: skip
    return Dog(
        uid=dog.uid,
        home=dog.home,
        susceptibility=has.susceptibility,
        protected_until=has.protected_until,
        chance_infected=world.value(dog.infected) if dog.infected else 0.0,
        litter=dog.litter,
        dam=dog.dam,
        vaccinations=dog.vaccinations,
        blocked_until=has.blocked_until,
    )


def _coming(dog: ComingDog, world: World, *, seed: int) -> Dog:
    born = dog.on - dog.age_days
    blocked = NOT_BLOCKED
    if dog.age_days < GROWN_DAYS and not dog.is_vaccinated:
        blocked = born + _by_the_dam(world, f"coming {dog.uid}", seed=seed)[1]
    return Dog(
        uid=dog.uid,
        home=dog.home,
        arrives_on=dog.on,
        susceptibility=_susceptibility(
            world, age_days=dog.age_days, is_vaccinated=dog.is_vaccinated
        ),
        chance_infected=world.value(VISIT if dog.is_visitor else ARRIVAL, 0.0),
        is_visitor=dog.is_visitor,
        vaccinations=dog.vaccinations,
        blocked_until=blocked,
    )


def _puppies(kennel: KennelNow, world: World, *, seed: int) -> list[Dog]:
    found = []
    for litter in kennel.litters:
        if not 0 <= litter.on < kennel.days:
            continue
        until, blocks = _by_the_dam(world, f"litter {litter.litter}", seed=seed)
        found += [
            Dog(
                uid=litter.puppy_uid(number),
                home=litter.place,
                arrives_on=litter.on,
                protected_until=litter.on + until,
                litter=litter.litter,
                is_born=True,
                dam=litter.dam,
                vaccinations=tuple(litter.on + d for d in litter.vaccinated_after_days),
                blocked_until=litter.on + blocks,
            )
            for number in range(litter.puppies)
        ]
    return found


def _by_the_dam(world: World, name: str, *, seed: int) -> tuple[float, float]:
    """Days of age for which antibody from the dam protects, and lets no vaccine take.

    The litter as one.
    """
    share = uniform(
        seed=seed,
        replicate=max(world.number, 0),
        stream=TITRE_STREAM,
        who=name_key(name),
        which=0,
    )
    titre = 0.0 if world.number < 0 else normal(share)
    return made_of.protected_days(world, titre_share=titre)
