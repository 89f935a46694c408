"""Diagnostic statistics as published; inputs, values and sources in published/."""

import pytest

from kennelward.evidence import (
    CannotTell,
    Summary,
    TwoTestPriors,
    beta_chance,
    beta_from_mode,
    beta_pert,
    cell_chances,
    cohen_kappa,
    combine_three_tests,
    combine_two_tests,
    covariance_bounds,
    covariance_from_counts,
    hui_walter_bayes,
    latent_class_bayes,
    latent_class_mle,
    n_for_sensitivity,
    n_for_true_prevalence,
    post_test,
    posterior_two_tests,
    proportion_ci,
    rogan_gladen,
    true_prevalence,
    two_by_two,
)
from kennelward.terms import Call, stream
from tests.evidence.published_checks import checks

CHECKS = checks("diagnostics")
METHODS = {
    "wilson": "wilson",
    "clopper_pearson": "clopper_pearson",
    "wilson_cc": "wilson_cc",
    "jeffreys_equal_tailed": "jeffreys",
}


def limits(estimate) -> list[float]:
    """Both limits in order."""
    return [estimate.low, estimate.high]


def test_d01_limits_of_a_share() -> None:
    """Newcombe's four cases by four methods; the lower limit of 0 is exactly 0."""
    check = CHECKS["D01"]
    for k, n in check.inputs["cases"]:
        for name, wanted in check.expected[f"{k}/{n}"].items():
            found = proportion_ci(k, n, method=METHODS[name])
            check.same(limits(found), wanted, what=f"{k}/{n} {name}")
    assert proportion_ci(0, 20, method="wilson").low == 0.0, check.source
    assert proportion_ci(0, 20).low == 0.0, check.source


def test_d02_wilson_with_and_without_correction() -> None:
    """23 of 60."""
    check = CHECKS["D02"]
    wilson = proportion_ci(23, 60, method="wilson")
    check.same(wilson.value, check.expected["p"])
    check.same(limits(wilson), check.expected["wilson"])
    corrected = proportion_ci(23, 60, method="wilson_cc")
    check.same(limits(corrected), check.expected["wilson_cc"])


def test_d03_whole_table() -> None:
    """Every figure of a two-by-two table of 1 586."""
    check = CHECKS["D03"]
    i, want = check.inputs, check.expected
    exact = two_by_two(i["a"], i["b"], i["c"], i["d"])
    wilson = two_by_two(i["a"], i["b"], i["c"], i["d"], method="wilson")
    check.same(exact.sensitivity.value, want["sensitivity"])
    check.same(limits(exact.sensitivity), want["sensitivity_exact_ci"])
    check.same(limits(wilson.sensitivity), want["sensitivity_wilson_ci"])
    check.same(exact.specificity.value, want["specificity"])
    check.same(limits(exact.specificity), want["specificity_exact_ci"])
    check.same(limits(wilson.specificity), want["specificity_wilson_ci"])
    check.same(exact.positive_predictive.value, want["ppv"])
    check.same(limits(exact.positive_predictive), want["ppv_exact_ci"])
    check.same(exact.negative_predictive.value, want["npv"])
    check.same(limits(exact.negative_predictive), want["npv_exact_ci"])
    check.same(exact.apparent_prevalence.value, want["apparent_prevalence"])
    check.same(exact.true_prevalence.value, want["true_prevalence"])
    check.same(exact.accuracy.value, want["accuracy"])
    check.same(exact.lr_positive.value, want["lr_pos"])
    check.same(limits(exact.lr_positive), want["lr_pos_ci"])
    check.same(exact.lr_negative.value, want["lr_neg"])
    check.same(limits(exact.lr_negative), want["lr_neg_ci"])
    check.same(exact.diagnostic_odds_ratio.value, want["diagnostic_odds_ratio"])
    check.same(limits(exact.diagnostic_odds_ratio), want["dor_ci"])
    check.same(exact.youden, want["youden"])
    check.same(exact.number_needed_to_diagnose, want["number_needed_to_diagnose"])


def test_d04_liver_scan() -> None:
    """Altman and Bland's liver scans."""
    check = CHECKS["D04"]
    i, want = check.inputs, check.expected
    found = two_by_two(i["a"], i["b"], i["c"], i["d"], method="wilson")
    check.same(found.sensitivity.value, want["sensitivity"])
    check.same(found.specificity.value, want["specificity"])
    check.same(found.positive_predictive.value, want["ppv"])
    check.same(found.negative_predictive.value, want["npv"])
    check.same(found.true_prevalence.value, want["prevalence"])
    check.same(found.lr_positive.value, want["lr_pos"])
    check.same(found.lr_negative.value, want["lr_neg"])
    check.same(limits(found.sensitivity), want["sensitivity_wilson_ci"])
    check.same(limits(found.specificity), want["specificity_wilson_ci"])


def test_d05_exact_limits() -> None:
    """Clopper-Pearson limits of a published accuracy table."""
    check = CHECKS["D05"]
    for k, n in check.inputs["cases"]:
        found, want = proportion_ci(k, n), check.expected[f"{k}/{n}"]
        check.same(found.value, want["p"])
        check.same(limits(found), want["ci"])


def test_d07_a_negative_thyroid_result() -> None:
    """Chance after one negative."""
    check = CHECKS["D07"]
    i = check.inputs
    found = post_test(
        i["prior"], sensitivity=i["se"], specificity=i["sp"], result=Call.NEGATIVE
    )
    check.same(found, check.expected["p_disease"])


def test_d08_high_prior_both_results() -> None:
    """Chance after a positive and after a negative."""
    check = CHECKS["D08"]
    i = check.inputs
    for call, key in (
        (Call.POSITIVE, "after_positive"),
        (Call.NEGATIVE, "after_negative"),
    ):
        found = post_test(
            i["prior"], sensitivity=i["se"], specificity=i["sp"], result=call
        )
        check.same(found, check.expected[key])


def test_d09_rogan_gladen_also_outside_its_range() -> None:
    """Estimates are not clipped in silence; the clipped ones stand beside them."""
    check = CHECKS["D09"]
    for (apparent, se, sp), raw, held in zip(
        check.inputs["cases"],
        check.expected["unclipped"],
        check.expected["clipped"],
        strict=True,
    ):
        found = rogan_gladen(apparent, sensitivity=se, specificity=sp)
        check.same(found, raw)
        check.same(min(1.0, max(0.0, found)), held)


@pytest.mark.parametrize(
    ("method", "key"),
    [("blaker", "blaker"), ("clopper_pearson", "exact"), ("wilson", "wilson")],
)
def test_d10_true_prevalence_limits(method: str, key: str) -> None:
    """Limits of the apparent prevalence carried through, three methods."""
    check = CHECKS["D10"]
    for k, n, se, sp in check.inputs["cases"]:
        want = check.expected[f"{k}/{n}"]
        found = true_prevalence(k, n, sensitivity=se, specificity=sp, method=method)
        check.same(found.apparent.value, want["ap"])
        check.same(found.true.value, want["tp"])
        check.same(limits(found.apparent), want[f"ap_{key}"], what=f"{k}/{n}")
        check.same(limits(found.true), want[f"tp_{key}"], what=f"{k}/{n}")


def test_d12_two_dependent_tests() -> None:
    """Covariances from counts, and what they do in series and in parallel."""
    check = CHECKS["D12"]
    plus, minus, want = check.inputs["D_pos"], check.inputs["D_neg"], check.expected
    n1, n0 = sum(plus.values()), sum(minus.values())
    se = [(plus["both"] + plus[k]) / n1 for k in ("ifat_only", "pcr_only")]
    sp = [(minus["neither"] + minus[k]) / n0 for k in ("pcr_only", "ifat_only")]
    cells = [plus[k] for k in ("both", "ifat_only", "pcr_only", "neither")]
    cov_positive = covariance_from_counts(*cells)
    cov_negative = covariance_from_counts(
        *[minus[k] for k in ("both", "ifat_only", "pcr_only", "neither")]
    )
    check.same(cov_positive, want["cov_pos"])
    check.same(cov_negative, want["cov_neg"])
    check.same(list(covariance_bounds(*se)), want["cov_pos_bounds"])
    check.same(cohen_kappa(*cells), want["kappa_pos"])
    for rule in ("series", "parallel"):
        dependent = combine_two_tests(
            se, sp, rule=rule, cov_positive=cov_positive, cov_negative=cov_negative
        )
        check.same(dependent.sensitivity, want[f"se_{rule}"])
        check.same(dependent.specificity, want[f"sp_{rule}"])
        apart = combine_two_tests(se, sp, rule=rule)
        check.same(apart.sensitivity, want[f"se_{rule}_indep"])
        check.same(apart.specificity, want[f"sp_{rule}_indep"])


def test_d13_two_independent_tests() -> None:
    """Series and parallel without covariance."""
    check = CHECKS["D13"]
    for rule, want in check.expected.items():
        found = combine_two_tests(check.inputs["se"], check.inputs["sp"], rule=rule)
        check.same(found.sensitivity, want["se"])
        check.same(found.specificity, want["sp"])


def test_d14_three_dependent_tests() -> None:
    """The moment model done right; the documented example has a slip."""
    check = CHECKS["D14"]
    i = check.inputs
    for rule in ("series", "parallel"):
        found = combine_three_tests(
            i["se"],
            i["sp"],
            rule=rule,
            cov_positive=i["cov_pos"],
            cov_negative=i["cov_neg"],
        )
        check.same(found.sensitivity, check.expected[rule]["se"])
        check.same(found.specificity, check.expected[rule]["sp"])
        apart = combine_three_tests(i["se"], i["sp"], rule=rule)
        want = check.expected["independent"]
        check.same(apart.sensitivity, want[f"{rule}_se"])
        check.same(apart.specificity, want[f"{rule}_sp"])


def test_d15_two_results_with_dependence() -> None:
    """Dependence weakens the second result, in both directions."""
    check = CHECKS["D15"]
    i, want = check.inputs, check.expected
    positive, negative = Call.POSITIVE, Call.NEGATIVE

    def after(results, *, dependent: bool) -> float:
        return posterior_two_tests(
            i["prior"],
            sensitivity=i["se"],
            specificity=i["sp"],
            results=results,
            cov_positive=i["cov_pos"] if dependent else 0.0,
            cov_negative=i["cov_neg"] if dependent else 0.0,
        )

    twice, never = (positive, positive), (negative, negative)
    check.same(after(twice, dependent=False), want["independent"])
    check.same(after(twice, dependent=True), want["dependent"])
    check.same(after(never, dependent=False), want["both_negative_independent"])
    check.same(after(never, dependent=True), want["both_negative_dependent"])
    mixed = after((positive, negative), dependent=True)
    check.same(mixed, want["pos_then_neg_dependent"])
    first = post_test(
        i["prior"],
        sensitivity=i["se"][0],
        specificity=i["sp"][0],
        result=positive,
    )
    check.same(first, want["after_first"])


@pytest.mark.slow
def test_d20_two_tests_two_populations_sampled() -> None:
    """Posterior of six figures without a gold standard."""
    check = CHECKS["D20"]
    found = hui_walter_bayes(
        check.inputs["pop1"],
        check.inputs["pop2"],
        rng=stream(20, "tests.hui-walter"),
        chains=2_000,
        kept=1_500,
    )
    names = {
        "prev1": "prevalence_1",
        "prev2": "prevalence_2",
        "se_mantoux": "sensitivity_1",
        "se_tine": "sensitivity_2",
        "sp_mantoux": "specificity_1",
        "sp_tine": "specificity_2",
    }
    for statistic, wanted in check.expected.items():
        for key, value in wanted.items():
            got = getattr(found[names[key]], statistic)
            check.same(got, value, what=f"{key} {statistic}")


def test_d21_two_tests_one_population_exactly() -> None:
    """The posterior counted out, not sampled."""
    check = CHECKS["D21"]
    p = {name: beta_chance(*ab) for name, ab in check.inputs["priors"].items()}
    found = latent_class_bayes(
        check.inputs["table"],
        priors=TwoTestPriors(
            sensitivity=(p["se_stool"], p["se_serology"]),
            specificity=(p["sp_stool"], p["sp_serology"]),
            prevalence=p["prevalence"],
        ),
    )
    assert not isinstance(found, CannotTell)
    names = {
        "prevalence": "prevalence",
        "se_stool": "sensitivity_1",
        "se_serology": "sensitivity_2",
        "sp_stool": "specificity_1",
        "sp_serology": "specificity_2",
    }
    for key, wanted in check.expected.items():
        summary = found[names[key]]
        assert isinstance(summary, Summary)
        for statistic, value in wanted.items():
            check.same(getattr(summary, statistic), value, what=f"{key} {statistic}")


def test_d22_three_tests_one_population() -> None:
    """Giardia in 272 dogs: seven figures from seven free counts."""
    check = CHECKS["D22"]
    patterns = ["111", "110", "101", "100", "011", "010", "001", "000"]
    found = latent_class_mle(patterns, check.inputs["counts"])
    assert not isinstance(found, CannotTell)
    check.same(found.prevalence[0], check.expected["prevalence"])
    check.same(list(found.sensitivity), check.expected["se"])
    check.same(list(found.specificity), check.expected["sp"])
    check.same(found.log_likelihood, check.expected["log_likelihood"])


def test_d23_four_tests_with_figures_on_the_edge() -> None:
    """Two figures are exactly 1; nothing turns into NaN."""
    check = CHECKS["D23"]
    found = latent_class_mle(check.inputs["patterns"], check.inputs["counts"])
    assert not isinstance(found, CannotTell)
    check.same(found.prevalence[0], check.expected["prevalence"])
    check.same(list(found.sensitivity), check.expected["se"])
    check.same(list(found.specificity), check.expected["sp"])
    check.same(found.g2, check.expected["G2"])


def test_d24_there_and_back() -> None:
    """The cells of a known model, and the model found again from them."""
    check = CHECKS["D24"]
    i = check.inputs
    cells = cell_chances(i["prevalence"], i["se"], i["sp"])
    check.same(list(cells.values()), check.expected["cell_probs_111_to_000"])
    found = latent_class_mle(list(cells), [i["n"] * c for c in cells.values()])
    assert not isinstance(found, CannotTell)
    figures = [*found.prevalence, *found.sensitivity, *found.specificity]
    wanted = [i["prevalence"], *i["se"], *i["sp"]]
    assert figures == pytest.approx(wanted, abs=1e-6), check.source


def test_d25_beta_from_a_mode_and_a_quantile() -> None:
    """Shapes elicited from a person."""
    check = CHECKS["D25"]
    for (mode, value, chance), want in zip(
        check.inputs["cases"], check.expected.values(), strict=True
    ):
        found = beta_from_mode(mode, value=value, chance_above=chance)
        check.same([found.a, found.b], [want["a"], want["b"]])


def test_d26_pert_shapes() -> None:
    """Both ways to make a PERT."""
    check = CHECKS["D26"]
    i = check.inputs
    for method, want in check.expected.items():
        found = beta_pert(i["min"], i["mode"], i["max"], method=method)
        check.same([found.a, found.b], [want["alpha"], want["beta"]])
        check.same([found.mean, found.variance], [want["mean"], want["var"]])


def test_d27_dogs_to_estimate_a_sensitivity() -> None:
    """Buderer's sample size."""
    check = CHECKS["D27"]
    i = check.inputs
    found = n_for_sensitivity(
        sensitivity=i["se"], prevalence=i["prev"], half_width=i["eps"]
    )
    check.exactly(found.dogs, check.expected["n"])
    check.same(found.unrounded, check.expected["n_fractional"])


def test_d28_dogs_to_estimate_a_true_prevalence() -> None:
    """Sample size with an imperfect test."""
    check = CHECKS["D28"]
    i = check.inputs
    found = n_for_true_prevalence(
        prevalence=i["p"],
        sensitivity=i["se"],
        specificity=i["sp"],
        precision=i["precision"],
    )
    check.exactly(found.dogs, check.expected["n"])
    check.same(found.unrounded, check.expected["n_fractional"])
