"""Worlds, plans and workers on a small kennel: pairing, order, invariants."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

from kennelward.handbook import load_handbook
from kennelward.rounds.spread_knowledge import knowledge_of
from kennelward.spread.kennel_now import (
    ComingDog,
    ComingLitter,
    Habits,
    KennelNow,
    PlaceNow,
    ResidentNow,
)
from kennelward.spread.knowledge import Grade, Known, drawn_world, middle_world
from kennelward.spread.many_runs import ManyRuns, Question
from kennelward.spread.measures import COLUMNS
from kennelward.spread.model import NEVER, PlaceKind
from kennelward.spread.policies import Plan, PolicyRule, PolicyText
from kennelward.spread.scenario_of import TestSetting, policy_in, scenario_of
from kennelward.terms import BadInput

pytestmark = pytest.mark.slow  # the first call compiles

PLACES = (
    PlaceNow(name="row 1", kind=PlaceKind.HOME),
    PlaceNow(name="row 2", kind=PlaceKind.HOME, surface="porous"),
    PlaceNow(name="yard", kind=PlaceKind.YARD, surface="soil"),
    PlaceNow(name="quarantine", kind=PlaceKind.QUARANTINE),
    PlaceNow(name="isolation", kind=PlaceKind.ISOLATION),
)


def kennel(**more):
    """Six puppies in two pens, one of which may carry it, and what is to come."""
    usual = {
        "days": 60,
        "places": PLACES,
        "residents": tuple(
            ResidentNow(
                uid=100 + n,
                name=f"dog {n}",
                home=n % 2,
                born=-90.0,
                infected="infected_100" if n == 0 else "",
                litter=n % 2,
            )
            for n in range(6)
        ),
        "coming": (
            ComingDog(uid=7, on=20.0, home=1, age_days=63.0, is_vaccinated=False),
            ComingDog(
                uid=8, on=30.0, home=0, age_days=900.0, is_visitor=True, stays_days=4.0
            ),
        ),
        "litters": (
            ComingLitter(
                dam=101, on=10.0, place=1, puppies=3, litter=2, leaves_after_days=63.0
            ),
        ),
        "isolation_room": 2,
        "quarantine_place": 3,
        "isolation_place": 4,
    }
    return KennelNow(**{**usual, **more})


def knowledge(infection="parvovirus", **chances):
    """The handbook's, with the chance that the first puppy carries it."""
    held = knowledge_of(handbook=load_handbook(), infection=infection)
    carried = {"infected_100": 0.5, **chances}
    numbers = {
        **held.numbers,
        **{
            name: Known(
                name=name,
                value=value,
                low=value,
                high=value,
                says="",
                source="",
                grade=Grade.GUESS,
                is_chance=True,
            )
            for name, value in carried.items()
        },
    }
    return replace(held, numbers=MappingProxyType(numbers))


def asked(infection="parvovirus", held=None, **chances):
    return Question(
        kennel=held or kennel(),
        knowledge=knowledge(infection, **chances),
        test=TestSetting(),
        worlds_seed=5,
    )


def plan(*rules, name="plan", kind="sick"):
    return Plan(
        id=name,
        policies=(PolicyText(id=name, kind=kind, says=name, rules=tuple(rules)),),
    )


NOTHING = Plan(id="nothing")
APART = plan(
    PolicyRule(trigger="signs", scope="dog", action="isolate", days=14), name="apart"
)
WORLDS, RUNS = (0, 4), (0, 60)


def column(rows, name):
    return rows[..., COLUMNS.index(name)]


def test_any_number_of_workers_gives_the_same_bytes():
    alone = ManyRuns(asked())([NOTHING, APART], WORLDS, RUNS, 3)
    with ThreadPoolExecutor(3) as pool:
        three = ManyRuns(asked(), workers=pool)([NOTHING, APART], WORLDS, RUNS, 3)
    assert {k: v.tobytes() for k, v in alone.items()} == {
        k: v.tobytes() for k, v in three.items()
    }


def test_runs_are_numbered_so_that_they_can_be_added_to():
    """The first 60 and the next 60 are the 120 of one go."""
    many = ManyRuns(asked())
    whole = many([APART], WORLDS, (0, 120), 3)["apart"]
    parts = [many([APART], WORLDS, (start, 60), 3)["apart"] for start in (0, 60)]
    assert np.concatenate(parts, axis=1).tobytes() == whole.tobytes()


def test_a_plan_that_never_fires_equals_the_present_one():
    """A positive goes apart, but nobody is ever tested; visits refused, none come."""
    never = plan(
        PolicyRule(trigger="positive", scope="dog", action="isolate", days=30),
        name="never",
    )
    no_visits = plan(
        PolicyRule(trigger="visit", scope="all", action="refuse"),
        name="no visits",
        kind="visits",
    )
    held = kennel(coming=kennel().coming[:1])
    found = ManyRuns(asked(held=held))([NOTHING, never, no_visits], WORLDS, RUNS, 3)
    assert found["never"].tobytes() == found["nothing"].tobytes()
    assert found["no visits"].tobytes() == found["nothing"].tobytes()


def test_nothing_carried_in_nobody_ill():
    """C13: no source, no infection, in any world."""
    question = asked(infected_100=0.0, arrival_infected=0.0, visitor_infected=0.0)
    rows = ManyRuns(question)([NOTHING], (0, 20), (0, 50), 3)["nothing"]
    assert column(rows, "cases").sum() == 0
    assert column(rows, "sick_days").sum() == 0


def test_the_order_of_residents_changes_nothing():
    held = kennel()
    turned = replace(held, residents=held.residents[::-1])
    one, other = (
        ManyRuns(asked(held=each))([APART], WORLDS, RUNS, 3)["apart"]
        for each in (held, turned)
    )
    assert one.tobytes() == other.tobytes()


def test_keeping_sick_dogs_apart_helps_with_parvovirus():
    """Fewer cases, beyond 4 standard errors of the paired difference."""
    found = ManyRuns(asked())([NOTHING, APART], (0, 10), (0, 400), 3)
    gain = column(found["nothing"], "cases") - column(found["apart"], "cases")
    error = gain.std() / np.sqrt(gain.size)
    assert gain.mean() > 4 * error


def test_pairing_makes_the_difference_surer():
    """The variance of a difference is smaller paired than with luck of its own."""
    many = ManyRuns(asked())
    paired = many([NOTHING, APART], (0, 6), (0, 300), 3)
    other = many([APART], (0, 6), (0, 300), 4)["apart"]
    base = column(paired["nothing"], "cases")
    together = (base - column(paired["apart"], "cases")).var()
    alone = (base - column(other, "cases")).var()
    assert together < alone


def test_weeks_add_up_to_the_cases():
    many = ManyRuns(asked())
    weekly = many.weekly([NOTHING], (0, 3), 50, 3)["nothing"]
    cases = column(many([NOTHING], (0, 3), (0, 50), 3)["nothing"], "cases")
    assert weekly.sum(axis=1).tolist() == cases.reshape(-1).tolist()
    assert weekly.shape == (150, 9)


def test_a_world_is_a_scenario():
    """Births stay out of quarantine; refused dogs are not in it; products count."""
    held, known = kennel(), knowledge()
    world = drawn_world(known, seed=5, number=0)
    scenario = scenario_of(held, known, world, test=TestSetting())
    born = [dog for dog in scenario.dogs if dog.is_born]
    assert len(born) == 3
    assert all(dog.protected_until > dog.arrives_on for dog in born)
    alone = scenario_of(
        held,
        known,
        world,
        test=TestSetting(),
        habits=Habits(refuse_arrivals=True, refuse_visits=True),
    )
    assert {d.uid for d in scenario.dogs} - {d.uid for d in alone.dogs} == {7, 8}
    from kennelward.spread.model import Policy

    middle = middle_world(known)
    bleach = policy_in(Policy(), held, middle, Habits(product="bleach"))
    soap = policy_in(Policy(), held, middle, Habits())
    assert (bleach.cleaning_factor, soap.cleaning_factor) == (4, 0.5)
    shoes = policy_in(Policy(), held, middle, Habits(changes_shoes=True))
    assert (shoes.extra_hygiene, soap.extra_hygiene) == (0.02, 0.1)


def test_a_test_before_the_visit_lowers_what_comes_in():
    known = knowledge(visitor_infected=0.2, test_finds_silent=0.75)
    world = middle_world(known)
    with_test, without = (
        next(
            dog
            for dog in scenario_of(
                kennel(),
                known,
                world,
                test=TestSetting(),
                habits=Habits(test_visitors=tested),
            ).dogs
            if dog.uid == 8
        ).chance_infected
        for tested in (True, False)
    )
    assert without == pytest.approx(0.2)
    assert with_test == pytest.approx(0.05 / 0.85)  # Bayes: .2 x .25 / (.8 + .2 x .25)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"days": 0}, "days"),
        ({"residents": kennel().residents * 2}, "same uid"),
        ({"clean_every_days": 0}, "cleanings"),
        (
            {"residents": (replace(kennel().residents[0], home=9),)},
            "not among the kennel's places",
        ),
    ],
)
def test_kennels_that_cannot_be(wrong, message):
    with pytest.raises(BadInput, match=message):
        kennel(**wrong)
    assert NEVER > 1e6
