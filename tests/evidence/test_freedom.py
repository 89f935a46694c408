"""The chance of absence over time: against the recursion, simulation and listing."""

from datetime import date, timedelta
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kennelward.evidence import (
    DogAtRisk,
    DogsToTest,
    FreedomQuestion,
    Introduction,
    NegativeRound,
    beta_chance,
    chance_free,
    freedom_curve,
    group_sensitivity,
    known_chance,
    plan_freedom,
    sensitivity_needed,
)
from kennelward.terms import BadInput, OutOfRange

START = date(2026, 1, 1)
NAMES = tuple(f"d{i}" for i in range(12))
KENNEL = tuple(DogAtRisk(dog=name) for name in NAMES)


def day(n: int) -> date:
    """The n-th day after the start."""
    return START + timedelta(days=n)


def a_round(n: int, names=NAMES, *, se=0.9, dependence=0.0, pools=()) -> NegativeRound:
    """A round of negatives."""
    return NegativeRound(
        on=day(n),
        test="strip",
        dogs=tuple(names),
        pools=pools,
        sensitivity=known_chance(se),
        pool_sensitivity=known_chance(0.7) if pools else None,
        dependence=dependence,
    )


def ask(**changed) -> FreedomQuestion:
    """A question about the kennel of twelve."""
    asked = {
        "infection": "Brucella",
        "dogs": KENNEL,
        "design_infected": 2,
        "starts_on": START,
        "prior": known_chance(0.5),
    }
    return FreedomQuestion(**{**asked, **changed})


def at(question: FreedomQuestion, n: int) -> float:
    """Median chance on the n-th day."""
    return freedom_curve(question, until=day(n)).points[-1].chance.median


def test_rounds_with_nothing_in_common_are_the_recursion() -> None:
    """One round a period, each with its own introduction: Martin et al. 2007."""
    question = ask(
        design_infected=12,
        rounds=tuple(a_round(10 * k) for k in (1, 2, 3)),
        introductions=tuple(
            Introduction(on=day(10 * k), chance=known_chance(0.02 * k), says="arrival")
            for k in (1, 2, 3)
        ),
    )
    # All twelve infected: the same dogs, yet rounds are independent given that.
    found = group_sensitivity(group_size=12, infected=12, tested=12, sensitivity=0.9)
    want = chance_free(0.5, sensitivities=[found] * 3, introductions=[0.02, 0.04, 0.06])
    for k, period in enumerate(want, 1):
        assert at(question, 10 * k) == pytest.approx(period.after_tests, abs=1e-12)
        before = at(question, 10 * k - 1)
        discounted = before * (1 - 0.02 * k)
        assert discounted == pytest.approx(period.discounted, abs=1e-12)


def test_without_tests_only_introductions_count() -> None:
    """.99 a day for a year."""
    question = ask(daily_introduction=0.01)
    assert at(question, 0) == pytest.approx(0.5 * 0.99)
    assert at(question, 364) == pytest.approx(0.5 * 0.99**365)


def story_by_story(question: FreedomQuestion, n: int) -> float:
    """Every story listed: absent, there from the start, or in on one of the days."""
    rounds = [r for r in question.rounds if r.on <= day(n)]

    def negative(since: int) -> float:
        """Chance that every round on or after a day is negative, two infected."""
        total, count = 0.0, 0
        names = [dog.dog for dog in question.dogs]
        for i, a in enumerate(names):
            for b in names[i + 1 :]:
                count += 1
                silent = 1.0
                for dog in (a, b):
                    later = [r for r in rounds if r.on >= day(since) and dog in r.dogs]
                    if later:
                        se = later[0].sensitivity.mean
                        hidden = later[0].dependence * (1 - se)
                        shown = se / (1 - hidden)
                        silent *= hidden + (1 - hidden) * (1 - shown) ** len(later)
                total += silent
        return total / count

    chances = {}
    for i in question.introductions:
        chances[(i.on - START).days] = i.chance.mean
    absent, stories = question.prior.mean, (1 - question.prior.mean) * negative(0)
    for t in range(n + 1):
        q = 1 - (1 - question.daily_introduction) * (1 - chances.get(t, 0.0))
        stories += absent * q * negative(t)
        absent *= 1 - q
    return absent / (absent + stories)


@settings(max_examples=15, deadline=None)
@given(
    se=st.floats(0.3, 1),
    dependence=st.floats(0, 1),
    q=st.floats(0, 0.2),
    background=st.floats(0, 0.01),
    split=st.integers(1, 11),
)
def test_the_curve_against_every_story(se, dependence, q, background, split) -> None:
    """Some dogs tested twice, some once, an arrival in between."""
    question = ask(
        rounds=(
            a_round(3, NAMES[:split], se=se, dependence=dependence),
            a_round(8, NAMES[split // 2 :], se=se, dependence=dependence),
        ),
        introductions=(Introduction(on=day(5), chance=known_chance(q), says="x"),),
        daily_introduction=background,
    )
    for n in (2, 3, 5, 8, 12):
        assert at(question, n) == pytest.approx(story_by_story(question, n), abs=1e-10)


def test_the_curve_against_simulated_kennels() -> None:
    """A million kennels: half start infected, an arrival may bring it, two rounds."""
    rng = np.random.default_rng(9)
    n = 1_000_000
    starts_in = rng.random(n) < 0.5
    comes_in = ~starts_in & (rng.random(n) < 0.1)
    pairs = np.stack([rng.permuted(np.arange(12)) for _ in range(20_000)])[:, :2]
    pair = pairs[rng.integers(0, len(pairs), n)]
    first = starts_in & _finds(pair, 6, 0.8, rng)
    second = (starts_in | comes_in) & _finds(pair, 12, 0.8, rng)
    silent = ~first & ~second
    want = float((~starts_in & ~comes_in)[silent].mean())
    question = ask(
        rounds=(a_round(1, NAMES[:6], se=0.8), a_round(9, se=0.8)),
        introductions=(Introduction(on=day(5), chance=known_chance(0.1), says="x"),),
    )
    assert at(question, 9) == pytest.approx(want, abs=0.003)


def _finds(pair, tested_dogs: int, se: float, rng) -> np.ndarray:
    hits = (pair < tested_dogs) & (rng.random(pair.shape) < se)
    return hits.any(axis=1)


def test_pools_of_different_dogs() -> None:
    """One pooled round: the generating function of the round, then Bayes."""
    pools = (NAMES[:4], NAMES[4:8])
    found = at(ask(rounds=(a_round(2, (), pools=pools),)), 2)
    # Two infected of twelve; a pool with any infected misses with .3.
    silent = 0.0
    for a in range(12):
        for b in range(a + 1, 12):
            hit = {x // 4 for x in (a, b) if x < 8}
            silent += 0.3 ** len(hit)
    silent /= 66
    assert found == pytest.approx(0.5 / (0.5 + 0.5 * silent), abs=1e-12)


def test_the_interval_holds_the_median_and_shrinks_with_certainty() -> None:
    """Uncertain figures make a wider curve; exact ones none."""
    sure = freedom_curve(ask(rounds=(a_round(2),)), until=day(3)).points[-1].chance
    assert sure.low == sure.median == sure.high
    vague = ask(
        prior=beta_chance(5, 5),
        rounds=(
            NegativeRound(
                on=day(2), test="strip", dogs=NAMES, sensitivity=beta_chance(18, 2)
            ),
        ),
    )
    found = freedom_curve(vague, until=day(3)).points[-1].chance
    assert found.low < found.median < found.high


@settings(max_examples=30, deadline=None)
@given(n=st.integers(0, 11), se=st.floats(0.2, 1), dependence=st.floats(0, 1))
def test_more_negatives_never_lower_the_chance(n, se, dependence) -> None:
    """One more dog in the round, or the round done again."""
    once = ask(rounds=(a_round(1, NAMES[: n + 1], se=se, dependence=dependence),))
    more = ask(rounds=(a_round(1, NAMES[: n + 2], se=se, dependence=dependence),))
    again = ask(
        rounds=(
            a_round(1, NAMES[: n + 1], se=se, dependence=dependence),
            a_round(2, NAMES[: n + 1], se=se, dependence=dependence),
        )
    )
    assert at(more, 3) >= at(once, 3) - 1e-12
    assert at(again, 3) >= at(once, 3) - 1e-12


def test_dogs_that_left_no_longer_count() -> None:
    """A test of a dog that is not in the kennel changes nothing."""
    with_gone = ask(rounds=(a_round(1, ("gone", *NAMES[:3])),))
    without = ask(rounds=(a_round(1, NAMES[:3]),))
    assert at(with_gone, 2) == pytest.approx(at(without, 2))


def test_an_open_suspect_suspends_the_answer() -> None:
    """From its day on, and in words."""
    question = ask(rounds=(a_round(1),), suspect_since=day(4))
    curve = freedom_curve(question, until=day(6))
    assert [p.is_suspended for p in curve.points] == [False] * 4 + [True] * 3
    assert "nothing can be said" in str(curve.rests_on[0])


def test_words_never_say_free() -> None:
    """A count of kennels, and what it rests on."""
    question = ask(
        rounds=(a_round(1),),
        introductions=(Introduction(on=day(2), chance=known_chance(0.01), says="x"),),
    )
    curve = freedom_curve(question, until=day(6))
    words = " ".join(map(str, curve.rests_on))
    assert "of 100 kennels with this record" in words
    assert "absent, or so rare that fewer than" in words
    assert "negative tests (12, in rounds: 1)" in words
    assert "free" not in words.lower()
    assert curve.on(day(3)).on == day(3)
    with pytest.raises(BadInput, match="the curve runs from"):
        curve.on(day(9))


def test_bad_questions() -> None:
    """Each says what is allowed."""
    with pytest.raises(OutOfRange, match="from 1 to 12, got 13"):
        ask(design_infected=13)
    with pytest.raises(BadInput, match="lies before the question starts"):
        ask(rounds=(a_round(-1),))
    with pytest.raises(BadInput, match="until must be 2026-01-01 or later"):
        freedom_curve(ask(), until=day(-1))
    with pytest.raises(BadInput, match="pools need a pool_sensitivity"):
        NegativeRound(
            on=START, test="s", pools=(("a",),), sensitivity=known_chance(0.5)
        )


def test_sensitivity_needed_is_the_inverse() -> None:
    """From .5 to .95 takes a group sensitivity of .947."""
    needed = sensitivity_needed(prior=0.5, wanted=0.95)
    (period,) = chance_free(0.5, sensitivities=[needed], introductions=[0])
    assert period.after_tests == pytest.approx(0.95)
    assert sensitivity_needed(prior=0.97, wanted=0.95) == 0


KINDS = (
    DogsToTest(name="adults", dogs=NAMES[:4], price_cents=900),
    DogsToTest(name="others", dogs=NAMES[4:], price_cents=700),
)
RISKY = tuple(
    DogAtRisk(dog=name, relative_risk=3.0 if i < 4 else 1.0)
    for i, name in enumerate(NAMES)
)


def plan(question, *, wanted=0.9, dates=(5, 20), dependence=0.0, visit=1500):
    """The cheapest plan."""
    return plan_freedom(
        question,
        test="strip",
        sensitivity=known_chance(0.85),
        dependence=dependence,
        kinds=KINDS,
        dates=[day(n) for n in dates],
        wanted=wanted,
        visit_cents=visit,
    )


@pytest.mark.parametrize("wanted", [0.6, 0.75, 0.9, 0.97])
def test_the_search_against_every_plan(wanted: float) -> None:
    """Every mix of dogs on two dates, rounds independent: none cheaper does it."""
    question = ask(
        dogs=RISKY,
        introductions=(Introduction(on=day(12), chance=known_chance(0.05), says="x"),),
    )
    cheapest = None
    missed = {(a, b): 1 - _found(a, b) for a, b in product(range(5), range(9))}
    for first, second in product(missed, missed):
        price = sum(
            900 * a + 700 * b + (1500 if a + b else 0) for a, b in (first, second)
        )
        if cheapest is not None and price >= cheapest:
            continue
        chance = 0.5 / (0.5 + 0.5 * missed[first])
        chance *= 0.95
        chance = chance / (chance + (1 - chance) * missed[second])
        if chance >= wanted:
            cheapest = price
    found = plan(question, wanted=wanted)
    if cheapest is None:
        assert not found.is_reached
    else:
        assert found.cheapest_cents == cheapest


def _found(adults: int, others: int) -> float:
    """By listing pairs of infected dogs by weight."""
    total = silent = 0.0
    for i in range(12):
        for j in range(i + 1, 12):
            weight = (3 if i < 4 else 1) * (3 if j < 4 else 1)
            seen = 1.0
            for dog in (i, j):
                if dog < adults or 4 <= dog < 4 + others:
                    seen *= 0.15
            total += weight
            silent += weight * seen
    return 1 - silent / total


def test_the_plan_is_worked_out_again_dog_by_dog() -> None:
    """What it claims is what the curve says of its rounds, and the gap is told."""
    question = ask(dogs=RISKY)
    found = plan(question, wanted=0.95, dates=(5, 20, 40), dependence=0.6)
    rounds = tuple(
        a_round((r.on - START).days, r.dogs, se=0.85, dependence=0.6)
        for r in found.rounds
    )
    assert found.chance == pytest.approx(at(ask(dogs=RISKY, rounds=rounds), 40))
    assert found.price_cents == sum(r.price_cents for r in found.rounds)
    assert found.is_reached == (found.chance >= 0.95)
    assert found.gap_cents >= 0
    for r in found.rounds:
        assert len(set(r.dogs)) == len(r.dogs)


def test_a_level_that_cannot_be_reached_is_an_answer() -> None:
    """With what can be reached."""
    question = ask(daily_introduction=0.02)
    found = plan(question, wanted=0.999)
    assert not found.is_reached
    assert found.chance < 0.999
    assert "cannot be reached" in str(found.says)


def test_nothing_to_do_costs_nothing() -> None:
    """The level is there already."""
    found = plan(ask(prior=known_chance(0.99)), wanted=0.9)
    assert found.price_cents == 0
    assert found.rounds == ()
    assert found.is_reached


def test_plans_refuse_bad_kinds() -> None:
    """A dog of another risk, twice, or not there."""
    with pytest.raises(BadInput, match="must share one risk"):
        plan_freedom(
            ask(dogs=RISKY),
            test="strip",
            sensitivity=known_chance(0.8),
            dependence=0,
            kinds=[DogsToTest(name="all", dogs=NAMES, price_cents=1)],
            dates=[day(3)],
            wanted=0.9,
        )
    with pytest.raises(BadInput, match="dogs not in the kennel"):
        plan_freedom(
            ask(),
            test="strip",
            sensitivity=known_chance(0.8),
            dependence=0,
            kinds=[DogsToTest(name="ghosts", dogs=("x",), price_cents=1)],
            dates=[day(3)],
            wanted=0.9,
        )
