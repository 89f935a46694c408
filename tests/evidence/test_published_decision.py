"""Decision analysis as published; inputs, values and sources in published/."""

import pytest

from kennelward.evidence import (
    evpi_beta,
    evsi_beta_binomial,
    evsi_imperfect,
    interventions_avoided,
    net_benefit,
    thresholds,
    value_of_test,
)
from tests.evidence.published_checks import checks

CHECKS = checks("decision")


def test_e01_thresholds() -> None:
    """Three cases; at each threshold the neighbouring ways are equally good."""
    check = CHECKS["E01"]
    for case, want in zip(check.inputs["cases"], check.expected, strict=True):
        se, sp, gain, loss, harm = (case[k] for k in ("se", "sp", "B", "R", "Rt"))
        found = thresholds(
            sensitivity=se, specificity=sp, benefit=gain, harm=loss, test_harm=harm
        )
        check.same(found.treat, want["treat_threshold"])
        check.same(found.test, want["test_threshold"])
        check.same(found.test_treat, want["test_treat_threshold"])
        assert found.is_testing_ever_best, check.source

        def tested(c, se=se, sp=sp, gain=gain, loss=loss, harm=harm) -> float:
            return c * se * gain - (1 - c) * (1 - sp) * loss - harm

        assert tested(found.test) == pytest.approx(0, abs=1e-12)
        at = found.test_treat
        assert tested(at) == pytest.approx(at * gain - (1 - at) * loss, abs=1e-12)


def test_e03_a_test_too_costly() -> None:
    """Where the thresholds cross, testing is never best."""
    check = CHECKS["E03"]
    i, want = check.inputs, check.expected
    found = thresholds(
        sensitivity=i["se"],
        specificity=i["sp"],
        benefit=i["B"],
        harm=i["R"],
        test_harm=i["Rt"],
    )
    check.same(found.treat, want["treat_threshold"])
    check.same(found.test, want["test_threshold"])
    check.same(found.test_treat, want["test_treat_threshold"])
    check.same(found.max_test_harm, want["max_test_harm"])
    assert not found.is_testing_ever_best, check.source


def test_e04_net_benefit() -> None:
    """Decision curves of published data."""
    check = CHECKS["E04"]
    i, want = check.inputs, check.expected
    n, events, counts = i["n"], i["events"], i["counts"]

    def benefit(tp: int, fp: int, at: float) -> float:
        return net_benefit(true_positives=tp, false_positives=fp, total=n, threshold=at)

    check.same(benefit(events, n - events, 0.25), want["treat_all_25"])
    check.same(benefit(*counts["model>=.25"], 0.25), want["model_25"])
    check.same(benefit(*counts["model>=.10"], 0.10), want["model_10"])
    check.same(benefit(*counts["model>=.05"], 0.05), want["model_05"])
    check.same(benefit(*counts["famhistory"], 0.0), want["famhistory_0"])
    check.same(benefit(events, n - events, 0.0), want["treat_all_0"])
    check.same(benefit(*counts["famhistory"], 0.10), want["famhistory_10"])
    check.same(benefit(events, n - events, 0.10), want["treat_all_10"])


def test_e05_harm_of_the_test_and_interventions_avoided() -> None:
    """On the same data as E04."""
    check = CHECKS["E05"]
    at, harm = check.inputs["pt"], check.inputs["harm"]
    kwargs = {"true_positives": 72, "false_positives": 72, "total": 750}
    found = net_benefit(threshold=at, test_harm=harm, **kwargs)
    check.same(found, check.expected["nb_with_harm"])
    model = net_benefit(threshold=at, **kwargs)
    everyone = net_benefit(
        true_positives=105, false_positives=645, total=750, threshold=at
    )
    avoided = interventions_avoided(model, everyone, threshold=at)
    check.same(avoided, check.expected["avoided_per_100"])


def test_e06_value_of_testing_a_sample() -> None:
    """Never falls with more dogs, never above knowing everything."""
    check = CHECKS["E06"]
    i, want = check.inputs, check.expected
    values = []
    for n in i["n"]:
        found = evsi_beta_binomial(i["a"], i["b"], threshold=i["threshold"], dogs=n)
        check.same(found, want["evsi"][str(n)]["decimal"], what=str(n))
        values.append(found)
    perfect = evpi_beta(i["a"], i["b"], threshold=i["threshold"])
    check.same(perfect, want["evpi"])
    assert all(
        x <= y + 1e-15 for x, y in zip(values, [*values[1:], perfect], strict=True)
    )


def test_e07_value_with_an_imperfect_test() -> None:
    """The posterior means are ratios of exact sums."""
    check = CHECKS["E07"]
    i, want = check.inputs, check.expected
    for n in i["n"]:
        found = evsi_imperfect(
            i["a"],
            i["b"],
            threshold=i["threshold"],
            dogs=n,
            sensitivity=i["se"],
            specificity=i["sp"],
        )
        check.same(found, want[str(n)], what=str(n))
    perfect = evsi_imperfect(
        i["a"],
        i["b"],
        threshold=i["threshold"],
        dogs=10,
        sensitivity=1.0,
        specificity=1.0,
    )
    check.same(perfect, want["check_perfect_n10"])


def test_e08_value_of_one_test_on_one_animal() -> None:
    """Clairvoyant and imperfect."""
    check = CHECKS["E08"]
    i = check.inputs
    found = value_of_test(
        i["p"],
        sensitivity=i["se"],
        specificity=i["sp"],
        benefit=i["B"],
        harm=i["R"],
    )
    check.same(found.perfect, check.expected["evpi"])
    check.same(found.this_test, check.expected["evsi"])
