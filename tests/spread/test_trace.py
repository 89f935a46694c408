"""Tracing by weighted runs agrees with the exact filter, and refuses what is luck."""

import random
from dataclasses import replace
from fractions import Fraction as F

import numpy as np
import pytest

from benchmarks.spread.books import logs_to_trace
from kennelward.spread.exact_trace import NightTest, exact_trace
from kennelward.spread.keyed import uniform, uniforms
from kennelward.spread.model import (
    Course,
    Dog,
    Event,
    Happens,
    Place,
    Scenario,
    TestKind,
)
from kennelward.spread.tables import constant_table
from kennelward.spread.trace import (
    Believed,
    SignSeen,
    TestSeen,
    TooFewRuns,
    Traced,
    trace,
)
from kennelward.spread.trace_draws import mean_shedding, sheds_share
from kennelward.terms import BadInput

pytestmark = pytest.mark.slow  # the first call compiles


def nights_scenario(
    priors, nights, *, spread=0.5, sensitivity=0.8, specificity=1.0, let_in=None
) -> Scenario:
    """Susceptible-infected dogs whose groups change at midnight; 8 pens, and an empty one."""
    events = []
    uid = {dog: number for number, dog in enumerate(priors)}
    for day, groups in enumerate(nights):
        placed = {dog: pen for pen, group in enumerate(groups) for dog in group}
        for dog in priors:
            alone = len(nights[0]) * 10 + uid[dog]
            pen = placed.get(dog, alone)
            events.append(Event(at=float(day), what=Happens.MOVE, a=uid[dog], b=pen))
    pens = len(nights[0]) * 10 + len(priors)
    return Scenario(
        dogs=tuple(
            Dog(
                uid=uid[dog],
                home=pens,
                chance_infected=float(chance),
                from_outside=-np.log(1 - float((let_in or {}).get(dog, 0))),
            )
            for dog, chance in priors.items()
        ),
        places=tuple(Place() for _ in range(pens + 1)),
        events=tuple(events),
        course=Course(
            name="si",
            latency=constant_table(0.0),
            shedding=constant_table(1.0),
            sign_delay=constant_table(0.0),
            direct=-np.log(1 - spread),
            from_place=0.0,
            deposit=0.0,
            chance_clinical=0.0,
            is_chronic=True,
        ),
        test=TestKind(
            sensitivity_silent=sensitivity,
            sensitivity_sick=sensitivity,
            specificity=specificity,
            correlation=0.0,
        ),
        days=len(nights),
    )


PRIORS = {"A": F(1, 5), "B": F(0), "C": F(0), "D": F(1, 10)}
NIGHTS = [[["A", "B"], ["C", "D"]], [["B", "C"]], [["C", "D"]]]


def test_many_draws_are_as_one_by_one():
    one_by_one = [
        uniform(seed=7, replicate=r, stream=9, who=12345678901, which=2)
        for r in range(50)
    ]
    assert uniforms(7, np.arange(50), 9, 12345678901, 2).tolist() == one_by_one


@pytest.mark.parametrize(
    ("nights", "specificity", "negative_b", "expected"),
    [
        (NIGHTS, 1.0, False, {"A": 49 / 97, "B": 61 / 97, "D": 79 / 97}),
        (NIGHTS, 0.95, False, {"A": 0.39690, "B": 0.44922, "C": 0.68825, "D": 0.56896}),
        (NIGHTS, 1.0, True, {"A": 0.26971, "B": 0.25311, "D": 0.92531}),
        (
            [NIGHTS[1], NIGHTS[0], NIGHTS[2]],
            1.0,
            False,
            {"A": 0.2, "B": 0.1, "D": 1.0},
        ),
    ],
)
def test_hand_example(nights, specificity, negative_b, expected):
    """C12: C is positive; false positives; B negative too; nights 1 and 2 swapped."""
    results = [TestSeen(dog=2, day=3.0, is_positive=True)]
    if negative_b:
        results.append(TestSeen(dog=1, day=3.0, is_positive=False))
    world = nights_scenario(PRIORS, nights, specificity=specificity)
    found = trace(worlds=[world], results=results, now=3.0, seed=3, runs=65_536)
    assert isinstance(found, Traced)
    for dog, chance in expected.items():
        one = found.dogs["ABCD".index(dog)]
        spare = 4 * np.sqrt(chance * (1 - chance) / found.effective) + 1e-9
        assert abs(one.infected_now - chance) < spare, dog


def test_hand_example_source_and_order():
    """C12: D carried it in 61/97; P(positive) 97/1000; look at C, D, B, A in this order."""
    world = nights_scenario(PRIORS, NIGHTS)
    results = [TestSeen(dog=2, day=3.0, is_positive=True)]
    found = trace(worlds=[world], results=results, now=3.0, seed=3, runs=65_536)
    assert isinstance(found, Traced)
    assert abs(found.dogs[3].brought_in - 61 / 97) < 4 * 0.48 / found.effective**0.5
    assert abs(found.evidence - 0.097) < 0.004
    assert [d.dog for d in found.isolate_first()] == [2, 3, 1, 0]
    assert found.likely_source()[0].dog == 3


@pytest.mark.parametrize("seed", range(6))
def test_agrees_with_the_exact_filter(seed):
    """Eight dogs at most, drawn nights and results: every dog within 4 standard errors."""
    luck = random.Random(seed)
    dogs = "ABCDEFGH"[: luck.choice([4, 6, 8])]
    let_in = {dog: F(luck.choice([0, 1]), 20) for dog in dogs} if seed % 2 else {}
    priors = {dog: F(luck.choice([0, 1, 2]), 10) for dog in dogs}
    priors[dogs[0]] = F(1, 5)
    nights = []
    for _ in range(4):
        shuffled = luck.sample(dogs, len(dogs))
        cut = luck.randrange(1, len(dogs))
        nights.append([shuffled[:cut], shuffled[cut:]])
    tested = luck.sample(dogs, 2)
    says = [True, luck.random() < 0.5]
    exact = exact_trace(
        priors=priors, nights=nights, spread=F(1, 2), let_in=let_in,
        tests=[
            NightTest(dog=dog, is_positive=positive, sensitivity=F(4, 5), specificity=F(19, 20))
            for dog, positive in zip(tested, says, strict=True)
        ],
    )  # fmt: skip
    found = trace(
        worlds=[nights_scenario(priors, nights, specificity=0.95, let_in=let_in)],
        results=[
            TestSeen(dog=dogs.index(dog), day=4.0, is_positive=positive)
            for dog, positive in zip(tested, says, strict=True)
        ],
        now=4.0,
        seed=seed,
        runs=32_768,
    )
    assert isinstance(found, Traced)
    for one in found.dogs:
        for mine, theirs in (
            (one.infected_now, exact.infected_now[dogs[one.dog]]),
            (one.brought_in - one.let_in, exact.infected_at_start[dogs[one.dog]]),
        ):
            spare = 4 * np.sqrt(float(theirs * (1 - theirs)) / found.effective) + 1e-9
            assert abs(mine - float(theirs)) < spare


def test_results_that_hardly_can_be_are_not_ranked():
    """Nobody could have infected C: only a false positive explains it, one in 10 000."""
    priors = {"A": F(1, 1000), "C": F(0)}
    world = nights_scenario(priors, [[["A"], ["C"]]], specificity=1.0)
    results = [TestSeen(dog=1, day=1.0, is_positive=True)]
    found = trace(
        worlds=[world], results=results, now=1.0, seed=1, runs=2048, most_runs=4096
    )
    assert isinstance(found, TooFewRuns)
    assert found.effective == 0


def test_a_result_from_outside_the_log_is_refused():
    world = nights_scenario(PRIORS, NIGHTS)
    with pytest.raises(BadInput, match="dog 77"):
        trace(
            worlds=[world],
            results=[TestSeen(dog=77, day=1.0, is_positive=True)],
            now=3.0,
            seed=1,
        )
    with pytest.raises(BadInput, match="day of a result"):
        trace(
            worlds=[world],
            results=[TestSeen(dog=1, day=9.0, is_positive=True)],
            now=3.0,
            seed=1,
        )


def test_signs_count_by_their_ratio():
    """Two dogs apart, SI, no spread: odds of 1 to 4 times a ratio of 4 make 1 to 1.

    Exact by Bayes' rule in odds; the other dog keeps its chance.
    """
    priors = {"A": F(1, 5), "B": F(1, 10)}
    world = nights_scenario(priors, [[["A"], ["B"]]], spread=0.0)
    found = trace(
        worlds=[world], results=[], signs=[SignSeen(dog=0, day=0.5, ratio=4.0)],
        now=1.0, seed=2, runs=32_768,
    )  # fmt: skip
    assert isinstance(found, Traced)
    for one, chance in zip(found.dogs, (0.5, 0.1), strict=True):
        spare = 4 * np.sqrt(chance * (1 - chance) / found.effective)
        assert abs(one.infected_now - chance) < spare


def steady(homes, *, chance=0.02, direct=0.1):
    """Dogs that shed with this chance on any day, if each is alone: ten days' courses."""
    course = Course(
        name="short", latency=constant_table(0.5), shedding=constant_table(9.5),
        sign_delay=constant_table(0.0), direct=direct, from_place=0.0, deposit=0.0,
        chance_clinical=0.0, carried_days=10.0,
    )  # fmt: skip
    return Scenario(
        dogs=tuple(
            Dog(
                uid=n,
                home=home,
                chance_infected=chance / sheds_share(course),
                from_outside=chance / mean_shedding(course),
            )
            for n, home in enumerate(homes)
        ),
        places=tuple(Place() for _ in homes),
        events=(),
        course=course,
        test=TestKind(sensitivity_silent=0.5, sensitivity_sick=0.5, correlation=0.0),
        days=40,
    )


@pytest.mark.parametrize("homes", [range(10), [0] * 10], ids=["apart", "together"])
def test_as_many_shed_as_is_believed_whatever_spreads(homes):
    """Ten dogs of which one in fifty is believed to shed: alone, and all in one pen.

    The mean over four days is held to a fifth; in one pen a steady state has outbreaks
    that come and go.
    """
    world = steady(homes)
    sheds = []
    for now in (10.0, 20.0, 30.0, 40.0):
        found = trace(
            worlds=[world], results=[], now=now, seed=4, runs=16_384,
            believed=[Believed(dog=n, day=now, chance=0.02) for n in range(len(homes))],
        )  # fmt: skip
        assert isinstance(found, Traced)
        sheds.append(np.mean([one.found_now for one in found.dogs]) / 0.5)
    assert abs(np.mean(sheds) - 0.02) < 0.004


def test_where_it_spreads_fewer_bring_it_in():
    """The same belief: in one pen most cases are of the kennel's own making."""

    def brought(homes):
        believed = [Believed(dog=n, day=40.0, chance=0.02) for n in range(len(homes))]
        found = trace(
            worlds=[steady(homes)], results=[], now=40.0, seed=4, believed=believed
        )
        assert isinstance(found, Traced)
        return sum(one.brought_in for one in found.dogs)

    assert brought([0] * 10) < 0.5 * brought(range(10))


@pytest.mark.parametrize("day", [12.0, 39.0])
def test_a_dog_alone_is_as_by_bayes_rule_on_any_day(day):
    """One in fifty, a positive with sensitivity .9 and specificity .98: odds by hand.

    Of shedding; before results it may also be in its half day of latency.
    """
    positive = TestSeen(
        dog=0, day=day, is_positive=True, sensitivity=0.9, specificity=0.98
    )
    found = trace(
        worlds=[steady([0])], results=[positive], now=day, seed=4, wanted=4000,
        believed=[Believed(dog=0, day=day, chance=0.02)],
    )  # fmt: skip
    assert isinstance(found, Traced)
    by_hand = 0.02 * 0.9 / (0.02 * 0.9 + 0.98 * 0.02)
    assert abs(found.dogs[0].found_now / 0.5 - by_hand) < 0.05


def test_what_keeping_apart_averts_is_as_worked_out_by_hand():
    """A surely infected with B in its pen, C alone and infected: only A can pass it on.

    SI without end: days to come are cut at 365, so B catches it with 1 - (1/2)^365, and
    C, alone, gives nothing. B is still open in every run, since the night is to come.
    """
    priors = {"A": F(1), "B": F(0), "C": F(1)}
    world = nights_scenario(priors, [[["A", "B"], ["C"]]], spread=0.5)
    found = trace(
        worlds=[world], results=[], now=0.0, seed=2, runs=512, most_runs=512, wanted=200
    )
    assert isinstance(found, Traced)
    assert [round(one.averted, 6) for one in found.dogs] == [1.0, 0.0, 0.0]
    assert [one.dog for one in found.act_first()] == [0, 2, 1]


def test_the_range_holds_what_differs_from_world_to_world():
    """Two worlds that spread with 1/10 and 9/10 a night, and each of them alone.

    A carries it surely; B spends a night with it. No result, so the worlds weigh the
    same, and B's chance lies from the one's to the other's.
    """
    priors = {"A": F(1), "B": F(0)}
    worlds = [nights_scenario(priors, [[["A", "B"]]], spread=s) for s in (0.1, 0.9)]

    def of_b(held):
        found = trace(worlds=held, results=[], now=1.0, seed=8, runs=16_384)
        assert isinstance(found, Traced)
        return found.dogs[1]

    both = of_b(worlds)
    assert abs(both.low - 0.1) < 0.01
    assert abs(both.high - 0.9) < 0.01
    for world, chance in zip(worlds, (0.1, 0.9), strict=True):
        alone = of_b([world])
        assert alone.low < chance < alone.high
        assert alone.high - alone.low < 0.02


@pytest.mark.parametrize("runs", [8_192, 65_536])
def test_one_world_of_twenty_widens_no_range_beyond_itself(runs):
    """B's chance is 1/10 in one world and nothing in nineteen: never above 1/10."""
    priors = {"A": F(1), "B": F(0)}
    worlds = [
        nights_scenario(priors, [[["A", "B"]]], spread=0.1 if n == 0 else 0.0)
        for n in range(20)
    ]
    found = trace(worlds=worlds, results=[], now=1.0, seed=8, runs=runs)
    assert isinstance(found, Traced)
    assert 0 <= found.dogs[1].low <= found.dogs[1].infected_now
    assert found.dogs[1].infected_now < found.dogs[1].high < 0.11


def test_threads_change_nothing():
    from concurrent.futures import ThreadPoolExecutor

    worlds = [nights_scenario(PRIORS, NIGHTS, spread=s) for s in (0.3, 0.5, 0.7)]
    asked = {
        "worlds": worlds, "results": [TestSeen(dog=2, day=3.0, is_positive=True)],
        "now": 3.0, "seed": 5, "runs": 6000,
    }  # fmt: skip
    alone = trace(**asked)
    for threads in (1, 3):
        with ThreadPoolExecutor(threads) as pool:
            assert trace(**asked, workers=pool) == alone


def test_the_floor_of_contamination_moves_no_chance_that_is_told():
    """A book with a daily round, the same luck: less than a fifth of the chances' error.

    A floor that is far too high does move them, or the comparison would say nothing.
    """
    rare = logs_to_trace()[1]

    def chances(floor):
        worlds = [replace(world, floor=floor) for world in rare.worlds]
        found = trace(worlds=worlds, results=rare.results, now=rare.now, seed=3)
        assert isinstance(found, Traced)
        error = max(one.error for one in found.dogs)
        return np.array([one.infected_now for one in found.dogs]), error

    none, error = chances(0.0)
    default, _ = chances(rare.worlds[0].floor)
    high, _ = chances(0.3)
    assert np.abs(default - none).max() < error / 5
    assert np.abs(high - none).max() > error / 5
