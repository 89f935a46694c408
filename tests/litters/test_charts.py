"""Tabular CUSUM, EWMA and likelihood-ratio weights are as in the textbooks."""

import pytest

from kennelward.litters.charts import cusum, ewma, loss_weights

MONTGOMERY = [
    9.45, 7.99, 9.29, 11.66, 12.16, 10.18, 8.04, 11.46, 9.2, 10.34, 9.03, 11.47, 10.51, 9.4,
    10.08, 9.37, 10.62, 10.31, 8.52, 10.84, 10.9, 9.33, 12.29, 11.5, 10.6, 11.08, 10.38,
    11.62, 11.31, 10.52,
]  # fmt: skip


def test_tabular_cusum():
    """S05: Montgomery, Introduction to Statistical Quality Control, Tables 9.1-9.2."""
    run = cusum(MONTGOMERY, target=10, allowance=0.5, limit=5)
    assert run.upper == pytest.approx(
        [0, 0, 0, 1.16, 2.82, 2.5, 0.04, 1.0, 0, 0, 0, 0.97, 0.98, 0, 0, 0, 0.12, 0, 0, 0.34,
         0.74, 0, 1.79, 2.79, 2.89, 3.47, 3.35, 4.47, 5.28, 5.3], abs=1e-9)  # fmt: skip
    assert run.lower == pytest.approx(
        [0.05, 1.56, 1.77, 0, 0, 0, 1.46, 0, 0.3, 0, 0.47, 0, 0, 0.1, 0, 0.13, 0, 0, 0.98, 0,
         0, 0.17, 0, 0, 0, 0, 0, 0, 0, 0], abs=1e-9)  # fmt: skip
    assert run.upper_count[-8:] == (1, 2, 3, 4, 5, 6, 7, 8)
    assert run.first_signal == 29
    assert run.last_in_control == 22


def test_tabular_cusum_without_a_signal():
    """Montgomery & Runger, Applied Statistics and Probability for Engineers, Table 16-8."""
    x = [102.0, 94.8, 98.3, 98.4, 102.0, 98.5, 99.0, 97.7, 100.0, 98.1, 101.3, 98.7, 101.1,
         98.4, 97.0, 96.7, 100.3, 101.4, 97.2, 101.0]  # fmt: skip
    run = cusum(x, target=99, allowance=1, limit=10)
    assert run.upper == pytest.approx(
        [2.0, 0, 0, 0, 2.0, 0.5, 0, 0, 0, 0, 1.3, 0, 1.1, 0, 0, 0, 0.3, 1.7, 0, 1.0])  # fmt: skip
    assert run.lower == pytest.approx(
        [0, 3.2, 2.9, 2.5, 0, 0, 0, 0.3, 0, 0, 0, 0, 0, 0, 1.0, 2.3, 0, 0, 0.8, 0])  # fmt: skip
    assert run.first_signal is None
    assert run.last_in_control is None


def test_ewma():
    """S06: Montgomery, Table 9.10, weight 0.1, width 2.7."""
    run = ewma(MONTGOMERY, target=10, sd=1, weight=0.1, width=2.7)
    assert run.values[:6] == pytest.approx(
        [9.945, 9.7495, 9.70355, 9.899195, 10.1252755, 10.13074795], abs=1e-9)  # fmt: skip
    assert run.values[-1] == pytest.approx(10.6341411091187, abs=1e-9)
    assert run.upper_limits[:4] == pytest.approx(
        [10.27, 10.363247849271, 10.4240031721579, 10.467462018671], abs=1e-9)  # fmt: skip


@pytest.mark.parametrize(
    ("chance", "loss", "no_loss"),
    [
        (0.1, 0.59783700075562, -0.0953101798043249),
        (0.3, 0.430782916092454, -0.262364264467491),
    ],
)
def test_likelihood_ratio_weights(chance, loss, no_loss):
    """S10: Steiner et al. 2000, Biostatistics 1:441-452."""
    assert loss_weights(chance=chance, odds_ratio=2) == pytest.approx(
        (loss, no_loss), abs=1e-12
    )
    expected = chance * loss + (1 - chance) * no_loss
    assert expected < 0
