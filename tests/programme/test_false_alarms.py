"""Predictive values against worked cases computed outside our code."""

import pytest

from kennelward.programme.false_alarms import false_alarms, predictive_value
from kennelward.terms import OutOfRange

WORKED = [  # prevalence, sensitivity, specificity, printed percent, where from
    (0.004, 0.906, 0.958, 7.97, "Brucella strip, figures of the 2025 ring study"),
    (0.02, 0.906, 0.958, 30.57, "same"),
    (0.118, 0.906, 0.958, 74.27, "same; prevalence of Weese 2020"),
    (0.35, 0.906, 0.958, 92.07, "same"),
    (0.004, 0.92, 0.99, 26.98, "APHA 2023, two tests in parallel"),
    (0.01, 0.50, 0.98, 20.16, "parvovirus strip, worked case C10"),
    (0.439, 0.83, 0.95, 92.85, "Giardia strip, worked case C08; Claerebout 2009"),
]


@pytest.mark.parametrize(
    ("prevalence", "sensitivity", "specificity", "printed", "source"), WORKED
)
def test_predictive_value_is_as_worked(
    prevalence: float,
    sensitivity: float,
    specificity: float,
    printed: float,
    source: str,
) -> None:
    """To the last printed digit."""
    found = predictive_value(
        prevalence=prevalence, sensitivity=sensitivity, specificity=specificity
    )
    assert 100 * found == pytest.approx(printed, abs=0.005), source


def test_twenty_clean_dogs_give_so_many_false_alarms() -> None:
    """Worked case: 20 clean dogs at specificity 0.958, expected 0.84."""
    found = false_alarms(tests=20, prevalence=0.0, specificity=0.958)
    assert found == pytest.approx(0.84, abs=0.005)


def test_a_chance_beyond_one_is_refused() -> None:
    """Percent where a chance is meant."""
    with pytest.raises(OutOfRange, match="prevalence"):
        predictive_value(prevalence=10, sensitivity=0.9, specificity=0.9)
