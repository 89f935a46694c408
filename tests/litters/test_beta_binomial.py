"""Clustered litter losses are as computed and published elsewhere."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from kennelward.litters.beta_binomial import (
    LitterLoss,
    chance_of_at_least,
    fit,
    loss_distribution,
    total_distribution,
)
from kennelward.terms import BadInput

WEIL = "Weil 1970 as in Williams 1975, Biometrics 31:949-952; (born alive, alive at day 21)"
CONTROL = [(13, 13), (12, 12), (9, 9), (9, 9), (8, 8), (8, 8), (13, 12), (12, 11), (10, 9),
           (10, 9), (9, 8), (13, 11), (5, 4), (7, 5), (10, 7), (10, 7)]  # fmt: skip
TREATED = [(12, 12), (11, 11), (10, 10), (9, 9), (11, 10), (10, 9), (10, 9), (9, 8), (9, 8),
           (5, 4), (9, 7), (7, 4), (10, 5), (6, 3), (10, 3), (7, 0)]  # fmt: skip


@pytest.mark.parametrize(
    ("litters", "alive", "rho", "log_likelihood"),
    [(CONTROL, 0.8980, 0.0202, -21.2535), (TREATED, 0.7400, 0.3174, -31.5317)],
)
def test_fit_of_the_rat_litters(litters, alive, rho, log_likelihood):
    lost = [LitterLoss(born=n, lost=n - y) for n, y in litters]
    found = fit(lost)
    assert 1 - found.chance == pytest.approx(alive, abs=5e-5), WEIL
    assert found.correlation == pytest.approx(rho, abs=5e-5), WEIL
    # The printed value holds the binomial coefficients; ours leaves them out.
    from math import comb, log

    coefficients = sum(log(comb(n, y)) for n, y in litters)
    assert found.log_likelihood + coefficients == pytest.approx(
        log_likelihood, abs=5e-5
    )


@pytest.mark.parametrize(
    ("born", "lost", "chance", "rho", "tail"),
    [
        (8, 3, 0.074, 0, 0.01710), (8, 3, 0.074, 0.10, 0.0551), (8, 3, 0.074, 0.20, 0.0760),
        (15, 10, 0.109, 0.10, 0.0025), (15, 10, 0.109, 0.20, 0.0139),
        (15, 10, 0.109, 0.30, 0.0301),
        (6, 3, 0.08, 0, 0.00851), (6, 3, 0.08, 0.10, 0.0328), (6, 3, 0.08, 0.20, 0.0520),
    ],
)  # fmt: skip
def test_tails(born, lost, chance, rho, tail):
    """Worked case 12 of the reproduction page; n 15 is the litter of Indrebo 2007."""
    found = chance_of_at_least(lost=lost, born=born, chance=chance, correlation=rho)
    assert found == pytest.approx(tail, abs=5e-5)


def test_distribution():
    """Worked case 13 of the reproduction page."""
    found = loss_distribution(born=8, chance=0.08, correlation=0.15)
    assert found[:5] == pytest.approx(
        [0.646605, 0.192005, 0.087099, 0.041844, 0.019605], abs=5e-7
    )


@given(st.integers(1, 20), st.floats(0.01, 0.9), st.floats(0.001, 0.8))
def test_agrees_with_scipy(born, chance, rho):
    """Independent library: scipy.stats.betabinom."""
    size = (1 - rho) / rho
    theirs = stats.betabinom.pmf(
        range(born + 1), born, chance * size, (1 - chance) * size
    )
    ours = loss_distribution(born=born, chance=chance, correlation=rho)
    assert ours == pytest.approx(theirs, abs=1e-9)
    assert ours.sum() == pytest.approx(1)


def test_total_over_litters():
    """Worked case 14: eight litters, 10 of 48 lost, baseline 0.08."""
    sizes = (6, 5, 7, 4, 8, 6, 5, 7)
    for rho, tail in ((0, 0.00415), (0.10, 0.0186), (0.20, 0.0354)):
        total = total_distribution(litters=sizes, chance=0.08, correlation=rho)
        assert total[10:].sum() == pytest.approx(tail, abs=5e-5)
    counts = np.arange(49)
    mean = (total * counts).sum()
    assert mean == pytest.approx(3.84)
    assert (total * counts**2).sum() - mean**2 == pytest.approx(7.242, abs=5e-4)


@pytest.mark.parametrize("litters", [[(5, 1)], [(5, 0), (6, 0)], [(5, 5), (6, 6)]])
def test_a_fit_that_cannot_be_told_says_so(litters):
    with pytest.raises(BadInput, match="some puppies lost and some not"):
        fit([LitterLoss(born=n, lost=x) for n, x in litters])


def test_more_lost_than_born_is_refused():
    with pytest.raises(BadInput, match="lost must be from 0 to 5, got 6"):
        LitterLoss(born=5, lost=6)
