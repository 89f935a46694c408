"""A kennel's own results in the prior, held against the posterior written out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from kennelward.evidence import (
    TestPerformance,
    beta_chance,
    known_chance,
    prior,
    record_from_results,
    result_seen,
)
from kennelward.terms import BadInput, Call

BASES = ((8, 12), (4, 16), (2, 98), (10, 10), (1, 199))


def results(positive: int, dogs: int, *, sensitivity: float, specificity: float):
    figures = TestPerformance(
        test="t",
        sees="x",
        sensitivity=known_chance(sensitivity),
        specificity=known_chance(specificity),
    )
    return [
        result_seen(
            Call.POSITIVE if number < positive else Call.NEGATIVE, performance=figures
        )
        for number in range(dogs)
    ]


def written_out(a, b, positive, dogs, *, sensitivity, specificity, weight) -> float:
    """The posterior mean by adaptive quadrature: the slow obvious twin."""

    def joint(p: float) -> float:
        seen = p * sensitivity + (1 - p) * (1 - specificity)
        likely = seen**positive * (1 - seen) ** (dogs - positive)
        return p ** (a - 1) * (1 - p) ** (b - 1) * likely**weight

    whole = quad(joint, 0, 1, limit=400)[0]
    return quad(lambda p: p * joint(p), 0, 1, limit=400)[0] / whole


@pytest.mark.parametrize(("a", "b"), BASES)
@pytest.mark.parametrize("positive", [0, 1, 4, 10])
def test_the_updated_base_has_the_mean_of_the_posterior(a, b, positive):
    figures = {"sensitivity": 0.8, "specificity": 0.95}
    base = beta_chance(a, b)
    record = record_from_results(base, results(positive, 10, **figures), weight=0.5)
    found = prior(base, own_record=record).updated_base.mean
    twin = written_out(a, b, positive, 10, **figures, weight=0.5)
    assert found == pytest.approx(twin, rel=0.01)


@pytest.mark.parametrize("positive", [0, 3, 7])
def test_tests_that_are_never_wrong_give_the_counts_themselves(positive):
    """Then it is Beta(a + w k, b + w (n - k)), as in Ibrahim and Chen 2000."""
    seen = results(positive, 10, sensitivity=1.0, specificity=1.0)
    record = record_from_results(beta_chance(8, 12), seen, weight=0.5)
    assert record.found == pytest.approx(positive, abs=0.1)
    assert record.tested == pytest.approx(10, abs=0.2)


@given(
    positive=st.integers(0, 30),
    more=st.integers(0, 30),
    base=st.sampled_from(BASES),
    sensitivity=st.floats(0.5, 0.99),
    specificity=st.floats(0.6, 0.99),
    weight=st.floats(0.05, 1),
)
def test_more_positives_never_lower_and_more_negatives_never_raise(
    positive, more, base, sensitivity, specificity, weight
):
    chance = beta_chance(*base)

    def mean(k: int, n: int) -> float:
        seen = results(k, n, sensitivity=sensitivity, specificity=specificity)
        record = record_from_results(chance, seen, weight=weight)
        return prior(chance, own_record=record).updated_base.mean

    dogs = positive + more
    now = mean(positive, dogs)
    assert mean(positive + 1, dogs + 1) >= now - 1e-9
    assert mean(positive, dogs + 1) <= now + 1e-9


def test_nothing_known_nothing_said_and_void_results_are_refused():
    assert record_from_results(beta_chance(8, 12), [], weight=0.5) is None
    (one,) = results(0, 1, sensitivity=0.8, specificity=0.95)
    void = result_seen(
        Call.NEGATIVE, performance=one.performance, void_reasons=("expired",)
    )
    with pytest.raises(BadInput, match="only results that count"):
        record_from_results(beta_chance(8, 12), [void], weight=0.5)
