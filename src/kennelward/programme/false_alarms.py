"""False alarms that a kennel must expect, computed from the handbook's figures."""

from collections.abc import Mapping
from datetime import timedelta

from kennelward.programme.cases import is_kit_of
from kennelward.programme.view import View
from kennelward.terms import check_range


def predictive_value(
    *, prevalence: float, sensitivity: float, specificity: float
) -> float:
    """Share of positives that are real; all 0 to 1.

    Source: Bayes' theorem; worked values in tests/programme/test_false_alarms.py.
    """
    for name, chance in (
        ("prevalence", prevalence),
        ("sensitivity", sensitivity),
        ("specificity", specificity),
    ):
        check_range(name, chance, low=0, high=1)
    real = prevalence * sensitivity
    false = (1 - prevalence) * (1 - specificity)
    return real / (real + false) if real + false else 0.0


def false_alarms(*, tests: int, prevalence: float, specificity: float) -> float:
    """Positives to expect from healthy dogs among so many tests."""
    check_range("tests", tests, low=0)
    check_range("prevalence", prevalence, low=0, high=1)
    check_range("specificity", specificity, low=0, high=1)
    return tests * (1 - prevalence) * (1 - specificity)


def alarm_words(view: View, infection: str) -> Mapping[str, str | int | float]:
    """The figures of one infection's strip, for the words of a rule.

    `tests_a_year` are strips of the last 365 days, at least one.
    """
    chances = view.rules.chances
    prevalence = chances[f"{infection}.prior"]
    sensitivity = chances[f"{infection}.sensitivity"]
    specificity = chances[f"{infection}.specificity"]
    since = view.on - timedelta(days=365)
    tests = sum(
        is_kit_of(view, card.kit, infection) and view.sampled(card) > since
        for cards in view.tests.values()
        for card in cards
    )
    expected = false_alarms(
        tests=max(1, tests), prevalence=prevalence, specificity=specificity
    )
    real = predictive_value(
        prevalence=prevalence, sensitivity=sensitivity, specificity=specificity
    )
    return {
        "real_in_100": f"{100 * real:.0f}",
        "prior_percent": f"{100 * prevalence:g}",
        "tests_a_year": max(1, tests),
        "false_a_year": f"{expected:.1f}",
    }
