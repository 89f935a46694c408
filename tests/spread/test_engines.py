"""Fast and plain agree in every run; both agree with exact results; invariants hold."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from kennelward.spread.engine_fast import FastEngine
from kennelward.spread.engine_plain import PlainRun, run_plain
from kennelward.spread.final_size import markov_sir
from kennelward.spread.model import (
    Action,
    Closes,
    Course,
    Dog,
    Event,
    Happens,
    Place,
    Policy,
    Rule,
    Scenario,
    Scope,
    TestKind,
    Trigger,
)
from kennelward.spread.simulate import outcome
from kennelward.spread.tables import constant_table, exponential_table
from kennelward.terms import BadInput
from tests.spread.drawing import drawn_policy, drawn_scenario

pytestmark = pytest.mark.slow  # the first call compiles

NO_TEST = TestKind(sensitivity_silent=0.5, sensitivity_sick=0.5)


def twins_differ(scenarios: range, *, runs: int, **size: int) -> list[tuple[int, int]]:
    """Runs in which the engines do not agree."""
    differ = []
    for k in scenarios:
        scenario, policy = drawn_scenario(k, **size), drawn_policy(k)
        engine = FastEngine(scenario)
        for replicate in range(runs):
            plain = run_plain(scenario, policy, seed=5, replicate=replicate)
            if outcome(engine, policy, seed=5, replicate=replicate) != plain:
                differ.append((k, replicate))
    return differ


def test_the_engines_agree_run_by_run():
    assert twins_differ(range(12), runs=12) == []


def test_the_engines_agree_on_a_hundred_thousand_runs():
    """8 dogs, 30 days, 400 scenarios x 250 runs; every route, rule and scope in them."""
    assert twins_differ(range(100, 500), runs=250) == []


def test_the_engines_agree_at_full_size():
    """60 dogs, 180 days, 100 runs."""
    assert twins_differ(range(5), runs=20, dogs=60, places=24, days=180) == []


def even_mixing(*, dogs: int, r0: float, step: float, latency: float = 0.0) -> Scenario:
    """One pen, exponential shedding of mean 1, `step` days between cuts."""
    days = 60
    return Scenario(
        dogs=tuple(
            Dog(uid=i, home=0, chance_infected=1.0 if i == 0 else 0.0)
            for i in range(dogs)
        ),
        places=(Place(),),
        events=tuple(
            Event(at=k * step, what=Happens.VISIT, a=0) for k in range(int(days / step))
        ),
        course=Course(
            name="sir",
            latency=constant_table(latency),
            shedding=exponential_table(mean=1.0),
            sign_delay=constant_table(0.0),
            direct=r0 / dogs,
            from_place=0.0,
            deposit=0.0,
            chance_clinical=0.0,
        ),
        test=NO_TEST,
        days=days,
    )


def test_final_size_agrees_with_the_exact_distribution():
    """C1: N 20, R0 2, mean 8.1179. Latency 0.5 days is longer than a step, so exact.

    The final size does not depend on latency. Four standard errors of 20 000 runs.
    """
    scenario = even_mixing(dogs=20, r0=2, step=0.25, latency=0.5)
    runs = FastEngine(scenario).runs(Policy(), seed=3, first=0, count=20_000)
    sizes = runs[:, 0] + 1
    exact = markov_sir(susceptible=19, first=1, infect_to_remove=2 / 20)
    mean = (exact * np.arange(1, 21)).sum()
    error = sizes.std() / np.sqrt(len(sizes))
    # The quantile table cuts the longest 1/512 of shedding times: 0.4 % of the mean.
    assert abs(sizes.mean() - mean) < 4 * error + 0.01 * mean
    assert abs((sizes == 1).mean() - exact[0]) < 4 * np.sqrt(0.35 * 0.65 / len(sizes))


def twenty_pens() -> Scenario:
    """20 pens of 3: direct .1 in a pen, .002 through the air from each other pen."""
    step, days = 0.25, 200
    return Scenario(
        dogs=tuple(
            Dog(uid=i, home=i // 3, chance_infected=1.0 if i == 0 else 0.0)
            for i in range(60)
        ),
        places=tuple(
            Place(near=tuple(k for k in range(20) if k != place)) for place in range(20)
        ),
        events=tuple(
            Event(at=k * step, what=Happens.VISIT, a=0) for k in range(int(days / step))
        ),
        course=Course(
            name="sir",
            latency=constant_table(step),
            shedding=exponential_table(mean=1 / 0.15),
            sign_delay=constant_table(0.0),
            direct=0.1,
            from_place=0.0,
            deposit=0.0,
            from_air=0.002,
            chance_clinical=0.0,
        ),
        test=NO_TEST,
        days=days,
    )


def test_pens_joined_by_air_have_the_final_size_of_two_level_mixing():
    """C10: 20 pens x 3, b_w .1, b_b .002, g .15: P(Z=1) .323276, mean 13.417 +- .016.

    Source: the study that the model comes from, its section 4 (the first by the chance
    that the first dog recovers before any contact, .15/(.15+.2+.114)). The final size
    does not depend on latency; a step is not longer than it, so nothing is skipped.
    """
    count = 20_000
    runs = FastEngine(twenty_pens()).runs(Policy(), seed=6, first=0, count=count)
    sizes = runs[:, 0] + 1
    first = 0.15 / (0.15 + 0.2 + 0.114)
    assert first == pytest.approx(0.323276, abs=1e-6)
    alone = (sizes == 1).mean()
    assert abs(alone - first) < 4 * np.sqrt(first * (1 - first) / count)
    error = np.hypot(sizes.std() / np.sqrt(count), 0.016)
    # The quantile table cuts the longest 1/512 of shedding times: 0.4 % of the mean.
    assert abs(sizes.mean() - 13.417) < 4 * error + 0.01 * 13.417


def test_one_dog_in_a_contaminated_place():
    """C5: C0 10, decay .12, hazard .03 a unit: P = .917915."""
    scenario = Scenario(
        dogs=(Dog(uid=1, home=0),),
        places=(Place(decay=0.12),),
        events=(),
        course=Course(
            name="dirt",
            latency=constant_table(1.0),
            shedding=constant_table(1.0),
            sign_delay=constant_table(0.0),
            direct=0.0,
            from_place=0.03,
            deposit=0.0,
        ),
        test=NO_TEST,
        days=400,
        start_contamination=(10.0,),
    )
    runs = FastEngine(scenario).runs(Policy(), seed=4, first=0, count=40_000)
    error = np.sqrt(0.918 * 0.082 / 40_000)
    assert abs(runs[:, 0].mean() - 0.917915) < 4 * error


def test_no_source_no_infection():
    """C13, 1e6 runs: nobody infected, nothing dirty, nobody infected arrives."""
    scenario = drawn_scenario(3)
    clean = replace(
        scenario,
        dogs=tuple(
            replace(dog, chance_infected=0.0, from_outside=0.0) for dog in scenario.dogs
        ),
    )
    runs = FastEngine(clean).runs(drawn_policy(3), seed=1, first=0, count=1_000_000)
    assert len(runs) == 1_000_000
    assert runs[:, 0].sum() == 0


def test_more_hygiene_never_raises_what_staff_carry():
    """C13: nobody can be infected, so the path is fixed; dirt elsewhere only falls."""
    scenario = drawn_scenario(11)
    fixed = replace(
        scenario,
        dogs=tuple(replace(d, susceptibility=0.0) for d in scenario.dogs),
        start_contamination=(50.0,),
    )
    found = []
    for keeps in (1.0, 0.5, 0.1):
        run = PlainRun(fixed, Policy(extra_hygiene=keeps), seed=1, replicate=0)
        run.outcome()
        found.append(sum(run.dirt) + run.load)
        assert run.cases == 0
    assert found[0] >= found[1] >= found[2]
    assert found[0] > found[2]


def test_threads_change_no_bit():
    """C13: four threads share one engine; rows are put in order."""
    scenario, policy = drawn_scenario(9), drawn_policy(9)
    engine = FastEngine(scenario)
    whole = engine.runs(policy, seed=2, first=0, count=800)
    with ThreadPoolExecutor(4) as pool:
        parts = pool.map(
            lambda first: engine.runs(policy, seed=2, first=first, count=50),
            range(0, 800, 50),
        )
        assert np.vstack(list(parts)).tobytes() == whole.tobytes()


def test_the_order_of_dogs_changes_nothing():
    """C13: dogs are told apart by uid."""
    scenario, policy = drawn_scenario(7), drawn_policy(7)
    shuffled = replace(scenario, dogs=scenario.dogs[::-1])
    one, other = (
        FastEngine(s).runs(policy, seed=2, first=0, count=500)
        for s in (scenario, shuffled)
    )
    assert one.tobytes() == other.tobytes()


def reactions() -> tuple[Rule, ...]:
    """Every action, after signs, a positive or cases."""
    return tuple(
        Rule(
            trigger=trigger,
            action=action,
            scope=scope,
            closes=int(sum(Closes)),
            top=2,
            every=7 if scope is Scope.ALL else 0,
            amount=0.5,
            clears=1.0,
        )
        for trigger in (Trigger.SIGNS, Trigger.POSITIVE, Trigger.CASES)
        for action in Action
        if action is not Action.QUARANTINE
        for scope in (Scope.PEN, Scope.ALL)
    )


def test_a_policy_that_never_fires_equals_the_baseline_bit_for_bit():
    """C13: everything that follows signs or a positive, where there are none."""
    scenario = drawn_scenario(8)
    silent = replace(scenario, course=replace(scenario.course, chance_clinical=0.0))
    engine = FastEngine(silent)
    base = engine.runs(Policy(), seed=2, first=0, count=500)
    runs = engine.runs(Policy(rules=reactions()), seed=2, first=0, count=500)
    told = base.shape[1]
    assert runs[:, :told].tobytes() == base.tobytes()
    assert not runs[:, told:].any()


def test_every_reaction_fires_somewhere():
    """Else the twins would agree on what neither does."""
    tested = Rule(
        trigger=Trigger.CALENDAR, action=Action.TEST, scope=Scope.ALL, every=5
    )
    engines = [FastEngine(drawn_scenario(k)) for k in range(10)]
    for rule in reactions():
        policy = Policy(rules=(rule, tested), isolation_room=8)
        fired = sum(
            engine.runs(policy, seed=2, first=0, count=100)[:, -2].sum()
            for engine in engines
        )
        assert fired > 0, rule


def test_runs_do_not_depend_on_how_they_are_cut_into_batches():
    scenario, policy = drawn_scenario(9), drawn_policy(9)
    whole = FastEngine(scenario).runs(policy, seed=2, first=0, count=100)
    engine = FastEngine(scenario)
    late = engine.runs(policy, seed=2, first=60, count=40)
    early = engine.runs(policy, seed=2, first=0, count=60)
    assert np.vstack([early, late]).tobytes() == whole.tobytes()


def test_two_dogs_with_one_uid_are_refused():
    with pytest.raises(BadInput, match="same uid"):
        Scenario(
            dogs=(Dog(uid=1, home=0), Dog(uid=1, home=0)), places=(Place(),), events=(),
            course=drawn_scenario(1).course, test=NO_TEST, days=3,
        )  # fmt: skip
