"""When to test, when to act: thresholds, net benefit, value of information.

Benefit and harm are in one unit of the user's choice; nothing here knows a price.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kennelward.terms import check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """Chances at which the best way changes, 0 to 1.

    Below `test` leave it; from `test` to `test_treat` test; above `test_treat` act
    without testing. Where `is_testing_ever_best` is False only `treat` applies.
    """

    treat: float
    test: float
    test_treat: float
    max_test_harm: float  # the largest harm of a test that is ever worth it
    is_testing_ever_best: bool


def thresholds(
    *,
    sensitivity: float,
    specificity: float,
    benefit: float,
    harm: float,
    test_harm: float = 0.0,
) -> Thresholds:
    """Pauker and Kassirer's thresholds.

    `benefit` of acting on an infected dog, `harm` of acting on a clean one, both more
    than 0, and `test_harm` of the test itself, in one unit.
    Source: Pauker & Kassirer 1980, N Engl J Med 302:1109-1117.
    """
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("specificity", specificity, low=0, high=1)
    check_range("benefit", benefit, low=1e-12)
    check_range("harm", harm, low=1e-12)
    check_range("test_harm", test_harm, low=0)
    false = (1 - specificity) * harm
    right = specificity * harm
    test_bottom = false + sensitivity * benefit
    treat_bottom = right + (1 - sensitivity) * benefit
    test = (false + test_harm) / test_bottom if test_bottom else math.inf
    test_treat = (right - test_harm) / treat_bottom if treat_bottom else 1.0
    return Thresholds(
        treat=harm / (harm + benefit),
        test=test,
        test_treat=test_treat,
        max_test_harm=harm
        * benefit
        * (sensitivity + specificity - 1)
        / (harm + benefit),
        is_testing_ever_best=test < test_treat,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueOfTest:
    """What knowing is worth for one dog, before the test's own cost."""

    perfect: float  # value of a test that is never wrong
    this_test: float


def value_of_test(
    chance: float,
    *,
    sensitivity: float,
    specificity: float,
    benefit: float,
    harm: float,
) -> ValueOfTest:
    """Value of perfect and of this test's information, in the unit of `benefit`.

    Source: as `thresholds`; Raiffa & Schlaifer 1961, Applied Statistical Decision
    Theory.
    """
    check_range("chance", chance, low=0, high=1)
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("specificity", specificity, low=0, high=1)
    act = chance * benefit - (1 - chance) * harm
    tested = chance * sensitivity * benefit
    tested -= (1 - chance) * (1 - specificity) * harm
    untested = max(0.0, act)
    return ValueOfTest(
        perfect=chance * benefit - untested,
        this_test=max(0.0, act, tested) - untested,
    )


def net_benefit(
    *,
    true_positives: float,
    false_positives: float,
    total: float,
    threshold: float,
    test_harm: float = 0.0,
) -> float:
    """TP / n - FP / n * threshold / (1 - threshold) - test_harm.

    Source: Vickers & Elkin 2006, Med Decis Making 26:565-574.
    """
    check_range("total", total, low=1)
    check_range("true_positives", true_positives, low=0, high=total)
    check_range("false_positives", false_positives, low=0, high=total - true_positives)
    check_range("threshold", threshold, low=0, high=1 - 1e-9)
    odds = threshold / (1 - threshold)
    return true_positives / total - false_positives / total * odds - test_harm


def interventions_avoided(
    net_benefit_model: float, net_benefit_all: float, *, threshold: float
) -> float:
    """Needless interventions avoided per 100, beside acting on all.

    Source: Vickers et al. 2008, BMC Medical Informatics and Decision Making 8:53.
    """
    check_range("threshold", threshold, low=1e-9, high=1 - 1e-9)
    odds = threshold / (1 - threshold)
    return (net_benefit_model - net_benefit_all) * 100 / odds


def evpi_beta(a: float, b: float, *, threshold: float) -> float:
    """Value of knowing a Beta(a, b) share exactly, acting where it passes `threshold`.

    Acting pays share - threshold, not acting pays 0.
    """
    from scipy.special import betainc

    _check_beta(a, b, threshold)
    mean = a / (a + b)
    above = mean * (1 - float(betainc(a + 1, b, threshold)))
    above -= threshold * (1 - float(betainc(a, b, threshold)))
    return above - max(0.0, mean - threshold)


def evsi_beta_binomial(a: float, b: float, *, threshold: float, dogs: int) -> float:
    """Value of testing `dogs` with a perfect test before acting on a share.

    Share ~ Beta(a, b); acting pays share - threshold. Sum over the beta-binomial
    number found.
    Source: Raiffa & Schlaifer 1961, Applied Statistical Decision Theory.
    """
    return evsi_imperfect(
        a, b, threshold=threshold, dogs=dogs, sensitivity=1.0, specificity=1.0
    )


def evsi_imperfect(
    a: float,
    b: float,
    *,
    threshold: float,
    dogs: int,
    sensitivity: float,
    specificity: float,
) -> float:
    """The same with an imperfect test; exact.

    The likelihood of k positives is a mixture of Betas over the number of truly
    infected among the tested, so every posterior mean is a ratio of two sums.
    """
    _check_beta(a, b, threshold)
    check_range("dogs", dogs, low=0, high=500)
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("specificity", specificity, low=0, high=1)
    infected = np.arange(dogs + 1)
    weight = _beta_binomial(a, b, dogs)
    mean_given = (a + infected) / (a + b + dogs)  # of the share, given that many
    value = 0.0
    for row in _positives_given_infected(dogs, sensitivity, specificity):
        joint = weight * row
        seen = float(joint.sum())
        if seen > 0:
            value += max(0.0, float(joint @ mean_given) - threshold * seen)
    return value - max(0.0, a / (a + b) - threshold)


def _positives_given_infected(
    dogs: int, sensitivity: float, specificity: float
) -> Sequence[np.ndarray]:
    """Row k, column d: chance of k positives when d of the dogs are infected."""
    rows = np.zeros((dogs + 1, dogs + 1))
    true = [_binomial_row(d, sensitivity) for d in range(dogs + 1)]
    false = [_binomial_row(d, 1 - specificity) for d in range(dogs + 1)]
    for infected in range(dogs + 1):
        rows[:, infected] = np.convolve(true[infected], false[dogs - infected])
    return list(rows)


def _binomial_row(trials: int, chance: float) -> np.ndarray:
    k = np.arange(trials + 1)
    ways = np.array([math.comb(trials, int(i)) for i in k], dtype=float)
    row: np.ndarray = ways * chance**k * (1 - chance) ** (trials - k)
    return row


def _beta_binomial(a: float, b: float, trials: int) -> np.ndarray:
    from scipy.special import betaln

    k = np.arange(trials + 1)
    ways = np.array([math.comb(trials, int(i)) for i in k], dtype=float)
    row: np.ndarray = ways * np.exp(betaln(a + k, b + trials - k) - betaln(a, b))
    return row


def _check_beta(a: float, b: float, threshold: float) -> None:
    check_range("a", a, low=1e-9)
    check_range("b", b, low=1e-9)
    check_range("threshold", threshold, low=0, high=1)
