"""What results are worth together: twins, properties and words."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kennelward.evidence import (
    INDEPENDENT,
    Condition,
    beta_chance,
    interpret,
    known_chance,
    post_test,
    prior,
)
from kennelward.terms import BadInput, OutOfRange, stream
from tests.evidence.one_dog import (
    FAECES,
    FLOTATION,
    HALF,
    NEGATIVE,
    POSITIVE,
    PUPPY,
    STRIP,
    a_test,
    chance,
    chances,
    good,
    seen,
)


def test_one_exact_result_is_bayes() -> None:
    """With exact figures the median is the closed form."""
    figures = a_test(known_chance(0.8), known_chance(0.95))
    for call in (POSITIVE, NEGATIVE):
        want = post_test(0.4, sensitivity=0.8, specificity=0.95, result=call)
        found = chance([seen(call, figures)], before=prior(known_chance(0.4)))
        assert found == pytest.approx(want, abs=1e-12)


def test_lattice_and_random_draws_agree() -> None:
    """The fixed lattice against 400 000 random draws of the same Betas."""
    results = [seen(NEGATIVE, FLOTATION), seen(POSITIVE)]
    fixed = interpret(prior=PUPPY, results=results, dependence=HALF)
    drawn = interpret(
        prior=PUPPY,
        results=results,
        dependence=HALF,
        rng=stream(1, "tests.interpret"),
        draws=400_000,
    )
    for name in ("low", "median", "high"):
        assert getattr(fixed.chance, name) == pytest.approx(
            getattr(drawn.chance, name), abs=0.004
        )


def test_the_plain_formula_done_by_hand() -> None:
    """Independent kinds with uncertain figures: a NumPy twin, draw by draw."""
    rng = np.random.default_rng(5)
    n = 400_000
    before = rng.beta(8, 12, n)
    se1, sp1 = rng.beta(28, 28, n), rng.beta(99, 1, n)
    se2, sp2 = rng.beta(44, 11, n), rng.beta(57, 3, n)
    odds = before / (1 - before) * (1 - se1) / sp1 * se2 / (1 - sp2)
    want = np.quantile(odds / (1 + odds), (0.05, 0.5, 0.95))
    told = interpret(
        prior=PUPPY,
        results=[seen(NEGATIVE, FLOTATION), seen(POSITIVE)],
        dependence={FAECES: INDEPENDENT},
    )
    found = (told.chance.low, told.chance.median, told.chance.high)
    assert found == pytest.approx(want, abs=0.004)


@settings(max_examples=40, deadline=None)
@given(
    calls=st.permutations([(POSITIVE, STRIP), (NEGATIVE, STRIP), (NEGATIVE, FLOTATION)])
)
def test_order_does_not_matter(calls) -> None:
    """Exact figures: any order of the same results gives the same chance."""
    fixed = {
        "strip": a_test(known_chance(0.8), known_chance(0.95)),
        "flotation": a_test(known_chance(0.5), known_chance(0.99), test="flotation"),
    }
    found = chance(
        [seen(call, fixed[p.test]) for call, p in calls],
        before=prior(known_chance(0.4)),
    )
    want = chance(
        [
            seen(POSITIVE, fixed["strip"]),
            seen(NEGATIVE, fixed["strip"]),
            seen(NEGATIVE, fixed["flotation"]),
        ],
        before=prior(known_chance(0.4)),
    )
    assert found == pytest.approx(want, abs=1e-12)


@settings(max_examples=40, deadline=None)
@given(base=chances, se=good, sp=good, narrow=st.floats(0.05, 0.94))
def test_intervals_nest(base, se, sp, narrow) -> None:
    """A narrower level lies inside a wider one."""
    result = [seen(POSITIVE, a_test(se, sp))]
    inner = interpret(prior=prior(base), results=result, level=narrow).chance
    outer = interpret(prior=prior(base), results=result, level=0.95).chance
    assert outer.low <= inner.low <= inner.median <= inner.high <= outer.high


def test_a_prior_of_0_stays_0_and_a_positive_is_then_an_error() -> None:
    """Nothing that was said to be impossible becomes possible."""
    none = prior(known_chance(0.0))
    assert chance([seen(NEGATIVE)], before=none) == 0
    with pytest.raises(OutOfRange, match=r"must be more than 0 .* got 0"):
        chance([seen(POSITIVE)], before=none)
    with pytest.raises(OutOfRange, match=r"must be less than 1 .* got 1"):
        chance([seen(NEGATIVE)], before=prior(known_chance(1.0)))


def test_what_the_other_answer_would_have_left() -> None:
    """For the latest result, and for a test that might be done."""
    told = interpret(prior=PUPPY, results=[seen(POSITIVE)], dependence=HALF)
    other = interpret(prior=PUPPY, results=[seen(NEGATIVE)], dependence=HALF)
    assert told.chance_if_positive == told.chance
    assert told.chance_if_negative == other.chance
    asked = interpret(
        prior=PUPPY, results=[seen(POSITIVE)], dependence=HALF, if_tested=FLOTATION
    )
    assert asked.chance_if_negative.median < told.chance.median
    assert asked.chance_if_positive.median > told.chance.median


def test_words_are_counts_of_dogs_and_never_a_verdict() -> None:
    """Natural frequencies; Brucella is worded as suspicion."""
    told = interpret(prior=PUPPY, results=[seen(POSITIVE)])
    words = str(told.in_words)
    assert words.startswith(f"Of 100 dogs like this one, about {told.frequency.after} ")
    assert "infected dog" not in words
    suspect = interpret(
        prior=prior(beta_chance(1, 199)),
        results=[seen(POSITIVE)],
        condition=Condition.BRUCELLA,
    )
    assert "second method" in str(suspect.in_words)
    assert suspect.frequency.of == 1000
    assert "positive dog" not in str(suspect.in_words)
    bitch = interpret(
        prior=prior(known_chance(0.878)),
        results=[seen(POSITIVE)],
        condition=Condition.PREGNANT,
    )
    assert "pregnant" in str(bitch.in_words)
    assert not bitch.act_as_suspect


def test_rounding_never_says_none_or_all() -> None:
    """A chance of 99.99 % is not shown as all of them."""
    told = interpret(
        prior=prior(known_chance(0.9)),
        results=[seen(POSITIVE, a_test(known_chance(0.99), known_chance(0.999)))],
    )
    f = told.frequency
    assert 0 < f.after < f.of
    assert f.high < f.of


def test_perfect_tests_that_contradict_are_refused() -> None:
    """Bayes has no answer to the impossible."""
    perfect = a_test(known_chance(1.0), known_chance(1.0))
    with pytest.raises(BadInput, match="contradict"):
        chance(
            [seen(POSITIVE, perfect), seen(NEGATIVE, perfect)],
            dependence={FAECES: INDEPENDENT},
        )


def test_same_answer_every_time() -> None:
    """Without a generator there is no luck at all."""
    results = [seen(POSITIVE), seen(NEGATIVE, FLOTATION)]
    first = interpret(prior=PUPPY, results=results, dependence=HALF)
    assert first == interpret(prior=PUPPY, results=results, dependence=HALF)
    one = interpret(prior=PUPPY, results=results, dependence=HALF, rng=stream(3, "x"))
    two = interpret(prior=PUPPY, results=results, dependence=HALF, rng=stream(3, "x"))
    assert one == two
