"""True prevalence, tables, limits, and kits without a gold standard."""

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kennelward.evidence import (
    CannotTell,
    Counted,
    TwoTestPriors,
    beta_chance,
    beta_from_mode,
    beta_pert,
    cell_chances,
    combine_two_tests,
    hui_walter_bayes,
    known_chance,
    latent_class_bayes,
    latent_class_mle,
    pooled_prevalence,
    post_test,
    posterior_two_tests,
    predictive_value_spread,
    prevalence_posterior,
    proportion_ci,
    rogan_gladen,
    three_test_cells,
    true_prevalence,
    true_prevalence_counted,
    two_by_two,
)
from kennelward.terms import BadInput, Call, OutOfRange, stream


@settings(max_examples=60, deadline=None)
@given(data=st.data(), n=st.integers(1, 60))
def test_limits_hold_the_share_and_blaker_is_never_wider(data, n) -> None:
    """Within 0 to 1, around the share; Blaker inside Clopper-Pearson; levels nest."""
    k = data.draw(st.integers(0, n))
    for method in ("wilson", "wilson_cc", "clopper_pearson", "blaker"):
        found = proportion_ci(k, n, method=method)
        assert 0 <= found.low <= k / n <= found.high <= 1
        inner = proportion_ci(k, n, method=method, confidence=0.8)
        assert found.low - 1e-12 <= inner.low
        assert inner.high <= found.high + 1e-12
    exact, blaker = proportion_ci(k, n), proportion_ci(k, n, method="blaker")
    assert exact.low - 1e-9 <= blaker.low
    assert blaker.high <= exact.high + 1e-9


@pytest.mark.parametrize(("k", "n"), [(3, 20), (0, 9), (9, 9), (41, 80)])
def test_clopper_pearson_and_wilson_against_scipy(k, n) -> None:
    """SciPy's own intervals, an independent implementation."""
    from scipy.stats import binomtest

    for method, name in (("clopper_pearson", "exact"), ("wilson", "wilson")):
        want = binomtest(k, n).proportion_ci(0.95, method=name)
        found = proportion_ci(k, n, method=method)
        assert (found.low, found.high) == pytest.approx((want.low, want.high), abs=1e-9)


def test_exact_limits_hold_at_least_95_of_100() -> None:
    """Coverage counted exactly over a grid of shares at n = 20."""
    n = 20
    limits = {
        method: [proportion_ci(k, n, method=method) for k in range(n + 1)]
        for method in ("clopper_pearson", "blaker")
    }
    for share in np.linspace(0.01, 0.99, 50):
        for found in limits.values():
            held = sum(
                math.comb(n, k) * share**k * (1 - share) ** (n - k)
                for k in range(n + 1)
                if found[k].low <= share <= found[k].high
            )
            assert held >= 0.95 - 1e-9


def test_lang_reiczigel_covers_where_figures_were_estimated() -> None:
    """4 000 simulated surveys with estimated figures: about 95 % hold the truth."""
    rng = np.random.default_rng(4)
    truth, se, sp, held, n = 0.2, 0.85, 0.95, 0, 4_000
    for _ in range(n):
        found = true_prevalence_counted(
            int(rng.binomial(150, truth * se + (1 - truth) * (1 - sp))),
            150,
            sensitivity=Counted(successes=int(rng.binomial(60, se)), trials=60),
            specificity=Counted(successes=int(rng.binomial(80, sp)), trials=80),
        )
        held += found.true.low <= truth <= found.true.high
    assert 0.935 < held / n < 0.98


@given(truth=st.floats(0, 1), se=st.floats(0.55, 1), sp=st.floats(0.55, 1))
def test_rogan_gladen_undoes_what_a_test_does(truth, se, sp) -> None:
    """There and back."""
    apparent = truth * se + (1 - truth) * (1 - sp)
    found = rogan_gladen(min(1.0, apparent), sensitivity=se, specificity=sp)
    assert found == pytest.approx(truth, abs=1e-9)


def test_prevalence_from_pools_against_the_likelihood_on_a_grid() -> None:
    """7 of 30 pools of five, sensitivity .9, specificity .98: the likeliest share."""
    grid = np.linspace(0.0005, 0.5, 200_000)
    clean = (1 - grid) ** 5
    positive = (1 - clean) * 0.9 + clean * 0.02
    likeliest = grid[np.argmax(7 * np.log(positive) + 23 * np.log1p(-positive))]
    found = pooled_prevalence(
        7, 30, pool_size=5, pool_sensitivity=0.9, pool_specificity=0.98
    )
    assert found.true.value == pytest.approx(float(likeliest), abs=1e-5)
    assert found.true.low < found.true.value < found.true.high
    single = pooled_prevalence(7, 30, pool_size=1)
    assert single.true.value == pytest.approx(7 / 30)
    none = pooled_prevalence(0, 30, pool_size=5, pool_specificity=0.98)
    assert none.true.value == 0
    assert none.is_outside


def test_posterior_prevalence_against_plain_sampling() -> None:
    """A rejection sampler on the same priors; 12 of 60 positive."""
    rng = np.random.default_rng(8)
    n = 2_000_000
    truth, se, sp = rng.beta(2, 8, n), rng.beta(40, 10, n), rng.beta(95, 5, n)
    positive = rng.binomial(60, truth * se + (1 - truth) * (1 - sp))
    kept = truth[positive == 12]
    want = np.quantile(kept, (0.05, 0.5, 0.95))
    found = prevalence_posterior(
        12,
        60,
        sensitivity=beta_chance(40, 10),
        specificity=beta_chance(95, 5),
        prior=beta_chance(2, 8),
    )
    assert (found.low, found.median, found.high) == pytest.approx(want, abs=0.004)


def test_three_meanings_of_a_predictive_value() -> None:
    """They differ, and the one for the next dog is Bayes at the means."""
    spread, mean, next_dog = predictive_value_spread(
        beta_chance(2, 48),
        sensitivity=beta_chance(45, 5),
        specificity=beta_chance(48, 2),
    )
    want = post_test(0.04, sensitivity=0.9, specificity=0.96, result=Call.POSITIVE)
    assert next_dog == pytest.approx(want, abs=1e-12)
    assert spread.low < spread.median < spread.high
    assert abs(mean - next_dog) > 0.001


@settings(max_examples=40, deadline=None)
@given(
    se=st.lists(st.floats(0, 1), min_size=2, max_size=2),
    sp=st.lists(st.floats(0, 1), min_size=2, max_size=2),
    share=st.floats(0, 1),
)
def test_series_and_parallel_bracket_the_single_tests(se, sp, share) -> None:
    """Whatever covariance two tests can have."""
    cov = share * min(se[0] * (1 - se[1]), se[1] * (1 - se[0]))
    both = combine_two_tests(se, sp, rule="series", cov_positive=cov)
    either = combine_two_tests(se, sp, rule="parallel", cov_positive=cov)
    assert both.sensitivity <= min(se) + 1e-9
    assert either.sensitivity >= max(se) - 1e-9
    assert both.specificity >= max(sp) - 1e-9
    assert either.specificity <= min(sp) + 1e-9


def test_three_test_cells_add_up_and_keep_the_margins() -> None:
    """Eight cells from margins and moments."""
    cells = three_test_cells([0.869, 0.873, 0.897], [0.071, 0.018, 0.015, -0.001])
    assert sum(cells.values()) == pytest.approx(1)
    for i, margin in enumerate((0.869, 0.873, 0.897)):
        assert sum(c for p, c in cells.items() if p[i]) == pytest.approx(margin)


def test_two_tests_on_one_group_cannot_tell() -> None:
    """Three counts for five unknowns: the reason is the answer."""
    found = latent_class_mle(["11", "10", "01", "00"], [38, 2, 87, 35])
    assert isinstance(found, CannotTell)
    assert "3 counts for 5 unknowns" in str(found.says)
    vague = TwoTestPriors(
        sensitivity=(beta_chance(1, 1), beta_chance(1, 1)),
        specificity=(beta_chance(1, 1), beta_chance(60, 2)),
    )
    found = latent_class_bayes([38, 2, 87, 35], priors=vague)
    assert isinstance(found, CannotTell)
    assert "at least two of the tests' figures" in str(found.says)


def test_two_groups_of_the_same_prevalence_cannot_tell() -> None:
    """Flat likelihood is found, not reported as a figure."""
    cells = cell_chances(0.3, [0.9, 0.8], [0.95, 0.9])
    counts = [1000 * c for c in cells.values()]
    found = latent_class_mle(list(cells), [counts, counts])
    assert isinstance(found, CannotTell)


def test_two_groups_that_differ_give_the_model_back() -> None:
    """Hui and Walter's design, exact expected counts."""
    rows = []
    for prevalence in (0.1, 0.6):
        cells = cell_chances(prevalence, [0.9, 0.8], [0.95, 0.9])
        rows.append([1000 * c for c in cells.values()])
    found = latent_class_mle(["11", "10", "01", "00"], rows)
    assert not isinstance(found, CannotTell)
    assert found.prevalence == pytest.approx((0.1, 0.6), abs=1e-5)
    assert found.sensitivity == pytest.approx((0.9, 0.8), abs=1e-5)
    assert found.specificity == pytest.approx((0.95, 0.9), abs=1e-5)


def test_hui_walter_published_likeliest_values() -> None:
    """Hui & Walter 1980, Biometrics 36:167, Table 3: tuberculin tests.

    Printed (from memory of the paper): Mantoux .9661, Tine .9688 sensitive, .9933 and
    .9841 specific, prevalence .0268 and .7168.
    """
    found = latent_class_mle(
        ["11", "10", "01", "00"], [[14, 4, 9, 528], [887, 31, 37, 367]]
    )
    assert not isinstance(found, CannotTell)
    assert found.sensitivity == pytest.approx((0.9661, 0.9688), abs=0.0005)
    assert found.specificity == pytest.approx((0.9933, 0.9841), abs=0.0005)
    assert found.prevalence == pytest.approx((0.0268, 0.7168), abs=0.0005)


def test_exact_mixture_against_a_listing_of_true_counts() -> None:
    """A tiny table: every split of every cell, weighed and averaged in plain Python."""
    from scipy.special import betaln

    table = [3, 1, 2, 4]
    shapes = {
        "prevalence": (1, 1),
        "sensitivity_1": (4, 2),
        "sensitivity_2": (5, 2),
        "specificity_1": (9, 1),
        "specificity_2": (6, 2),
    }
    total, means = 0.0, dict.fromkeys(shapes, 0.0)
    for y in product(*(range(n + 1) for n in table)):
        z = [n - t for n, t in zip(table, y, strict=True)]
        gains = {
            "prevalence": (sum(y), sum(z)),
            "sensitivity_1": (y[0] + y[1], y[2] + y[3]),
            "sensitivity_2": (y[0] + y[2], y[1] + y[3]),
            "specificity_1": (z[2] + z[3], z[0] + z[1]),
            "specificity_2": (z[1] + z[3], z[0] + z[2]),
        }
        weight = math.prod(math.comb(n, t) for n, t in zip(table, y, strict=True))
        for name, (a, b) in shapes.items():
            right, wrong = gains[name]
            weight *= math.exp(betaln(a + right, b + wrong) - betaln(a, b))
        total += weight
        for name, (a, b) in shapes.items():
            right, wrong = gains[name]
            means[name] += weight * (a + right) / (a + b + right + wrong)
    found = latent_class_bayes(
        table,
        priors=TwoTestPriors(
            sensitivity=(beta_chance(4, 2), beta_chance(5, 2)),
            specificity=(beta_chance(9, 1), beta_chance(6, 2)),
        ),
    )
    assert not isinstance(found, CannotTell)
    for name, mean in means.items():
        assert found[name].mean == pytest.approx(mean / total, abs=1e-9)
        assert found[name].q025 < found[name].median < found[name].q975


def test_sampler_gives_back_simulated_truth() -> None:
    """Short run: the intervals hold the figures that made the data."""
    rng = np.random.default_rng(2)
    rows = []
    for prevalence in (0.1, 0.6):
        cells = list(cell_chances(prevalence, [0.9, 0.8], [0.97, 0.95]).values())
        rows.append(rng.multinomial(2_000, cells))
    found = hui_walter_bayes(
        rows[0], rows[1], rng=stream(3, "tests.sampler"), chains=100, kept=400
    )
    truth = {"prevalence_1": 0.1, "prevalence_2": 0.6, "sensitivity_1": 0.9}
    truth |= {"sensitivity_2": 0.8, "specificity_1": 0.97, "specificity_2": 0.95}
    for name, value in truth.items():
        half = (found[name].q975 - found[name].q025) / 2
        assert abs(found[name].median - value) < 1.5 * half


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: proportion_ci(40, 30), "successes must be from 0 to 30, got 40"),
        (lambda: proportion_ci(1, 0), "trials must be 1 or more, got 0"),
        (lambda: proportion_ci(1, 3, method="guess"), "method must be one of wilson"),
        (
            lambda: rogan_gladen(0.2, sensitivity=0.4, specificity=0.5),
            "must be more than 1, or positives say nothing; got 0.4 + 0.5",
        ),
        (
            lambda: true_prevalence(5, 20, sensitivity=1.2, specificity=0.9),
            "sensitivity must be from 0 to 1, got 1.2",
        ),
        (
            lambda: post_test(
                0, sensitivity=0.9, specificity=0.9, result=Call.POSITIVE
            ),
            "prior must be above 0 and below 1",
        ),
        (
            lambda: post_test(
                0.5, sensitivity=0.9, specificity=0.9, result=Call.INVALID
            ),
            "result must be positive or negative, got invalid",
        ),
        (
            lambda: posterior_two_tests(
                0.5,
                sensitivity=[0.9, 0.8],
                specificity=[0.9, 0.9],
                results=(Call.POSITIVE, Call.POSITIVE),
                cov_positive=0.3,
            ),
            "cov_positive must be from -0.02 to 0.08, got 0.3",
        ),
        (
            lambda: three_test_cells([0.9, 0.9, 0.9], [0.5, 0, 0, 0]),
            "every pattern must have 0 or more",
        ),
        (lambda: two_by_two(0, 3, 0, 4), "at least one truly positive"),
        (lambda: two_by_two(-1, 3, 2, 4), "cell a must be 0 or more, got -1"),
        (lambda: beta_pert(0, 60, 50), "mode must be from 0 to 50, got 60"),
        (
            lambda: beta_from_mode(0.9, value=0.95, chance_above=0.999),
            "no Beta has its mode at 0.9",
        ),
        (
            lambda: latent_class_mle(["11", "10"], [1, 2, 3]),
            "got 3 counts for 2 patterns",
        ),
        (
            lambda: latent_class_mle(["12", "10"], [1, 2]),
            "made of 0 and 1",
        ),
        (
            lambda: latent_class_bayes(
                [1, 2, 3, 4],
                priors=TwoTestPriors(
                    sensitivity=(known_chance(0.9), beta_chance(2, 2)),
                    specificity=(beta_chance(2, 2), beta_chance(2, 2)),
                ),
            ),
            "not exact",
        ),
    ],
)
def test_bad_input_names_value_and_range(call, words) -> None:
    """Clear errors."""
    with pytest.raises((BadInput, OutOfRange)) as caught:
        call()
    assert words in str(caught.value)
