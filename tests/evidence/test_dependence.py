"""Results that see the same thing: twins and properties."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kennelward.evidence import (
    INDEPENDENT,
    Dependence,
    interpret,
    known_chance,
    prior,
)
from kennelward.terms import BadInput
from tests.evidence.one_dog import (
    FAECES,
    HALF,
    NEGATIVE,
    POSITIVE,
    PUPPY,
    a_test,
    chance,
    chances,
    good,
    seen,
)


def hidden_state_twin(
    results, *, before: float, tests, repeats: float, kinds: float
) -> float:
    """The obvious way: every hidden state of every test is listed and summed.

    `tests`: name -> (se, sp); `results`: (name, is_positive).
    """
    names = list(dict.fromkeys(name for name, _ in results))

    def joint(infected: bool) -> float:
        shows = {
            t: (1 - repeats * (1 - tests[t][0]), repeats * (1 - tests[t][1]))
            for t in names
        }
        v1 = 1 - kinds * min(1 - shows[t][0] for t in names)
        v0 = kinds * min(shows[t][1] for t in names)
        total = 0.0
        for v in (True, False):
            weight_v = (v1 if infected else v0) if v else 1 - (v1 if infected else v0)
            for states in product((True, False), repeat=len(names)):
                weight = weight_v
                for t, w in zip(names, states, strict=True):
                    upper, lower = solve(shows[t], (v1, v0))
                    shown = upper if v else lower
                    weight *= shown if w else 1 - shown
                for name, is_positive in results:
                    se, sp = tests[name]
                    upper, lower = solve((se, 1 - sp), shows[name])
                    there = upper if states[names.index(name)] else lower
                    weight *= there if is_positive else 1 - there
                total += weight
        return total

    return before * joint(True) / (before * joint(True) + (1 - before) * joint(False))


def solve(margins, state) -> tuple[float, float]:
    """s and f with s v1 + f (1 - v1) and s v0 + f (1 - v0) equal to the margins."""
    (a, b), (v1, v0) = margins, state
    s, f = np.linalg.solve([[v1, 1 - v1], [v0, 1 - v0]], [a, b])
    assert -1e-9 <= f <= 1 + 1e-9
    assert -1e-9 <= s <= 1 + 1e-9
    return float(s), float(f)


figures = st.floats(0.55, 0.98)


@settings(max_examples=60, deadline=None)
@given(
    results=st.lists(
        st.tuples(st.sampled_from("ab"), st.booleans()), min_size=1, max_size=4
    ),
    a=st.tuples(figures, figures),
    b=st.tuples(figures, figures),
    before=st.floats(0.02, 0.9),
    repeats=st.floats(0, 0.95),
    kinds=st.floats(0, 0.95),
)
def test_dependence_against_a_listing_of_hidden_states(
    results, a, b, before, repeats, kinds
) -> None:
    """The chance is the same as summing every hidden state in turn."""
    tests = {"a": a, "b": b}
    want = hidden_state_twin(
        results, before=before, tests=tests, repeats=repeats, kinds=kinds
    )
    performances = {
        t: a_test(known_chance(se), known_chance(sp), test=t)
        for t, (se, sp) in tests.items()
    }
    found = chance(
        [seen(POSITIVE if p else NEGATIVE, performances[t]) for t, p in results],
        before=prior(known_chance(before)),
        dependence={
            FAECES: Dependence(repeats=known_chance(repeats), kinds=known_chance(kinds))
        },
    )
    assert found == pytest.approx(want, abs=1e-9)


def test_dependence_against_simulated_dogs() -> None:
    """Two million dogs with hidden states, tested twice with each of two tests."""
    rng = np.random.default_rng(7)
    n, before, repeats, kinds = 2_000_000, 0.3, 0.6, 0.4
    tests = {"a": (0.8, 0.9), "b": (0.6, 0.95)}
    infected = rng.random(n) < before
    shows = {
        t: (1 - repeats * (1 - se), repeats * (1 - sp)) for t, (se, sp) in tests.items()
    }
    v1 = 1 - kinds * min(1 - s[0] for s in shows.values())
    v0 = kinds * min(s[1] for s in shows.values())
    there = rng.random(n) < np.where(infected, v1, v0)
    read = {}
    for t, (se, sp) in tests.items():
        upper, lower = solve(shows[t], (v1, v0))
        state = rng.random(n) < np.where(there, upper, lower)
        upper, lower = solve((se, 1 - sp), shows[t])
        for k in (1, 2):
            read[t, k] = rng.random(n) < np.where(state, upper, lower)
        # Each test keeps its own sensitivity and specificity.
        assert read[t, 1][infected].mean() == pytest.approx(se, abs=0.002)
        assert read[t, 1][~infected].mean() == pytest.approx(1 - sp, abs=0.002)
    performances = {
        t: a_test(known_chance(se), known_chance(sp), test=t)
        for t, (se, sp) in tests.items()
    }
    for pattern in product((True, False), repeat=3):
        a1, a2, b1 = pattern
        kept = (read["a", 1] == a1) & (read["a", 2] == a2) & (read["b", 1] == b1)
        found = chance(
            [
                seen(POSITIVE if p else NEGATIVE, performances[t])
                for t, p in zip("aab", pattern, strict=True)
            ],
            before=prior(known_chance(before)),
            dependence={
                FAECES: Dependence(
                    repeats=known_chance(repeats), kinds=known_chance(kinds)
                )
            },
        )
        assert found == pytest.approx(float(infected[kept].mean()), abs=0.01)


def test_full_dependence_makes_a_repeat_worthless() -> None:
    """The same strip again adds nothing at dependence 1, all at 0."""
    whole = {FAECES: Dependence(repeats=known_chance(1.0), kinds=known_chance(0.0))}
    for call in (POSITIVE, NEGATIVE):
        once = chance([seen(call)], dependence=whole)
        assert chance([seen(call)] * 3, dependence=whole) == pytest.approx(once)
        twice = chance([seen(call)] * 2, dependence={FAECES: INDEPENDENT})
        half = chance([seen(call)] * 2, dependence=HALF)
        assert min(once, twice) < half < max(once, twice)


def test_repeats_never_prove_more_than_that_the_antibody_is_there() -> None:
    """Twenty negatives with dependence stop at a floor well above none."""
    found = [chance([seen(NEGATIVE)] * n) for n in (1, 2, 5, 20, 40)]
    assert found == sorted(found, reverse=True)
    assert found[-1] > 0.03
    assert found[-2] == pytest.approx(found[-1], abs=0.002)


@settings(max_examples=150, deadline=None)
@given(
    base=chances,
    se=good,
    sp=good,
    se2=good,
    sp2=good,
    calls=st.lists(st.tuples(st.booleans(), st.booleans()), max_size=4),
    repeats=st.floats(0, 1),
    kinds=st.floats(0, 1),
    of_second=st.booleans(),
)
def test_a_negative_never_raises_and_a_positive_never_lowers(
    base, se, sp, se2, sp2, calls, repeats, kinds, of_second
) -> None:
    """After any history; median and both ends of the interval."""
    first = a_test(se, sp, test="a")
    second = a_test(se2, sp2, test="b")
    dependence = {
        FAECES: Dependence(repeats=known_chance(repeats), kinds=known_chance(kinds))
    }
    history = [
        seen(POSITIVE if is_positive else NEGATIVE, second if other else first)
        for is_positive, other in [(True, False), (False, True), *calls]
    ]
    more = second if of_second else first

    def told(results):
        return interpret(
            prior=prior(base), results=results, dependence=dependence
        ).chance

    now = told(history)
    down, up = (
        told([*history, seen(NEGATIVE, more)]),
        told([*history, seen(POSITIVE, more)]),
    )
    for name in ("low", "median", "high"):
        assert getattr(down, name) <= getattr(now, name) + 1e-9
        assert getattr(up, name) >= getattr(now, name) - 1e-9


@settings(max_examples=150, deadline=None)
@given(
    tests=st.lists(st.tuples(good, good), min_size=4, max_size=4),
    calls=st.lists(st.tuples(st.integers(0, 2), st.booleans()), max_size=5),
    repeats=st.floats(0, 1),
    kinds=st.floats(0, 1),
)
def test_the_same_holds_for_many_kinds_that_are_named_beforehand(
    tests, calls, repeats, kinds
) -> None:
    """Four kinds that see one thing; the fourth comes last."""
    kinds_of_test = tuple(
        a_test(se, sp, test=f"test {i}") for i, (se, sp) in enumerate(tests)
    )
    dependence = {
        FAECES: Dependence(
            repeats=known_chance(repeats),
            kinds=known_chance(kinds),
            tests=kinds_of_test,
        )
    }
    history = [
        seen(POSITIVE if is_positive else NEGATIVE, kinds_of_test[i])
        for i, is_positive in calls
    ]
    told = interpret(
        prior=PUPPY,
        results=history,
        dependence=dependence,
        if_tested=kinds_of_test[3],
    )
    for name in ("low", "median", "high"):
        now = getattr(told.chance, name)
        assert getattr(told.chance_if_negative, name) <= now + 1e-9
        assert getattr(told.chance_if_positive, name) >= now - 1e-9


def test_results_of_one_kind_need_a_dependence() -> None:
    """Independence is never assumed in silence."""
    with pytest.raises(BadInput, match="not independent; give a dependence"):
        chance([seen(NEGATIVE)] * 2, dependence={})
