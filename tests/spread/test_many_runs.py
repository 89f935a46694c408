"""Worlds, plans and workers on a small kennel: pairing, order, invariants."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

from kennelward.handbook import load_handbook
from kennelward.rounds.spread_knowledge import knowledge_of
from kennelward.spread.compiled import compiled
from kennelward.spread.kennel_now import (
    ComingDog,
    ComingLitter,
    KennelNow,
    PlaceNow,
    ResidentNow,
)
from kennelward.spread.knowledge import Grade, Known, drawn_world, middle_world
from kennelward.spread.many_runs import ManyRuns, Question
from kennelward.spread.measures import COLUMNS
from kennelward.spread.model import (
    NEVER,
    Action,
    Course,
    Dog,
    Place,
    PlaceKind,
    Policy,
    Rule,
    Scenario,
    TestKind,
    Trigger,
)
from kennelward.spread.packing import RESULTS
from kennelward.spread.policies import Plan, PolicyRule, PolicyText
from kennelward.spread.scenario_of import TestSetting, policy_in, scenario_of
from kennelward.spread.simulate import PlainEngine
from kennelward.spread.tables import constant_table
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
    told = len(COLUMNS)
    never, nothing = found["never"], found["nothing"]
    assert never[..., :told].tobytes() == nothing.tobytes()
    assert not never[..., told:].any()
    assert found["no visits"][..., :told].tobytes() == nothing.tobytes()


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
    by_uid = {dog.uid: dog for dog in scenario.dogs}
    assert by_uid[8].is_visitor
    assert not by_uid[7].is_visitor
    middle = middle_world(known)

    def cleaned_and_washed(*rules):
        made = compiled(
            Plan(
                id="x",
                policies=(
                    PolicyText(id="x", kind="outbreak", says="x", rules=tuple(rules)),
                ),
            ),
            isolation_room=1,
        )
        return policy_in(made, held, middle)

    bleach = PolicyRule(trigger="always", scope="all", action="clean", product="bleach")
    shoes = PolicyRule(trigger="always", scope="staff", action="change-shoes")
    assert cleaned_and_washed(bleach).cleaning_factor == 4
    assert cleaned_and_washed().cleaning_factor == 0.5
    assert cleaned_and_washed(shoes).extra_hygiene == 0.02
    assert cleaned_and_washed().extra_hygiene == 0.1
    later = replace(bleach, trigger="cases")
    assert cleaned_and_washed(later).rules[0].amount == 4
    assert cleaned_and_washed(later).cleaning_factor == 0.5


def test_a_test_before_the_visit_lowers_what_comes_in():
    """Bayes: 0.2 x 0.25 / (0.8 + 0.2 x 0.25) of those that come; 4 standard errors."""
    gate = Rule(trigger=Trigger.VISIT, action=Action.TEST, before=True)
    one = Scenario(
        dogs=(
            Dog(uid=1, home=0, arrives_on=1.0, is_visitor=True, chance_infected=0.2),
        ),
        places=(Place(),),
        events=(),
        course=Course(
            name="at once",
            latency=constant_table(0.0),
            shedding=constant_table(9.0),
            sign_delay=constant_table(1.0),
            direct=0.1,
            from_place=0.0,
            chance_clinical=0.0,
        ),
        test=TestKind(sensitivity_silent=0.75, sensitivity_sick=0.75, correlation=0.0),
        days=2,
    )
    runs = PlainEngine(one).runs(Policy(rules=(gate,)), seed=4, first=0, count=8000)
    came = runs[:, RESULTS.index("visits")] == 1
    carried = runs[:, RESULTS.index("carried_in")]
    share = 0.05 / 0.85
    error = (share * (1 - share) / came.sum()) ** 0.5
    assert abs(carried[came].mean() - share) < 4 * error
    assert carried[~came].sum() == 0
    assert runs[:, RESULTS.index("refused")].sum() == (~came).sum()
    assert (runs[:, -1] == 1).all(), "every visit's test is charged to its rule"


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
