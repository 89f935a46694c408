"""Counts of rare events: exact limits and tails as in the published checks."""

import pytest

from kennelward.litters import chance_of_count, count_limits, lost_pregnancies
from kennelward.litters.beta_binomial import chance_of_at_least
from kennelward.terms import OutOfRange


@pytest.mark.parametrize(
    ("count", "low", "high"),
    [
        (0, 0.0, 3.68887945411394),
        (1, 0.0253178079842899, 5.5716433909389),
        (3, 0.618672122895601, 8.76727306974232),
        (10, 4.79538869613243, 18.3903560420178),
    ],
)
def test_exact_limits_of_a_count(count, low, high):
    """S16: Garwood 1936, Biometrika 28:437-442 (3.689; 0.0253 to 5.572)."""
    found = count_limits(count=count, level=0.95)
    assert (found.low, found.high) == pytest.approx((low, high), abs=1e-9)


@pytest.mark.parametrize(
    ("at_least", "mean", "chance"),
    [(6, 2.4, 0.035672510995303), (3, 0.5, 0.0143876779669707), (0, 2.0, 1.0)],
)
def test_chance_of_a_count(at_least, mean, chance):
    """S15: Poisson exceedance, by definition."""
    assert chance_of_count(at_least=at_least, mean=mean) == pytest.approx(
        chance, abs=1e-12
    )


@pytest.mark.parametrize(
    ("lost", "born", "chance", "tail"),
    [(4, 8, 0.1, 0.00502435), (3, 6, 0.05, 0.00222984375)],
)
def test_chance_of_a_litter_without_clustering(lost, born, chance, tail):
    """S15: binomial exceedance, by definition."""
    found = chance_of_at_least(lost=lost, born=born, chance=chance, correlation=0)
    assert found == pytest.approx(tail, abs=1e-12)


@pytest.mark.parametrize(
    ("lost", "tail"),
    [
        (1, 12391333487 / 25566725388),
        (2, 12810109507 / 93744659756),
        (3, 63764565397 / 2531105813412),
        (4, 4042638821 / 1265552906706),
    ],
)
def test_next_litter_after_a_baseline_period(lost, tail):
    """S12: Beta(1, 9), 12 of 150 lost -> Beta(13, 147); next litter of 8.

    A beta-binomial with mean 13/160 and correlation 1 / (13 + 147 + 1).
    """
    found = chance_of_at_least(lost=lost, born=8, chance=13 / 160, correlation=1 / 161)
    assert found == pytest.approx(tail, abs=1e-12)


def test_lost_pregnancies_beside_what_is_usual():
    found = lost_pregnancies(lost=3, pregnancies=10, share=0.077, years=3)
    assert found.expected == pytest.approx(0.77)
    assert found.chance == pytest.approx(chance_of_count(at_least=3, mean=0.77))
    assert found.a_year.low < 1 < found.a_year.high
    with pytest.raises(OutOfRange, match="pregnancies lost"):
        lost_pregnancies(lost=3, pregnancies=2, share=0.077, years=3)
