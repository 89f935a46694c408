"""Run lengths are as published: normal, EWMA, Poisson and Bernoulli schemes."""

from fractions import Fraction

import numpy as np
import pytest

from kennelward.litters.run_lengths import (
    NormalCusum,
    bernoulli_run_length,
    ewma_run_length,
    lattice_run_length,
    poisson_run_length,
    siegmund_run_length,
)

LUCAS = "S01/S02: Lucas & Crosier 1982, Technometrics 24:199-205, Table 1; Montgomery Table 9.3"
SHIFTS = (0, 0.25, 0.5, 0.75, 1, 1.5, 2, 2.5, 3, 4, 5)
TWO_SIDED_H4 = (
    167.683788814, 74.224027885, 26.630203089, 13.285088375, 8.38313187, 4.747168199,
    3.342770129, 2.619518912, 2.194480909, 1.708457163, 1.308740514,
)  # fmt: skip
HEAD_START_H4 = (
    148.695649991, 62.698241227, 20.063961936, 8.967975015, 5.286886215, 2.862038547,
    2.01437489, 1.585807404, 1.325393122, 1.067000456, 1.006210016,
)  # fmt: skip
TWO_SIDED_H5 = (
    465.443506032, 139.493689772, 37.996143189, 17.048325943, 10.375969922, 5.747217703,
    4.008871061, 3.113688391, 2.573252051, 2.012567523, 1.693801347,
)  # fmt: skip


@pytest.mark.parametrize(
    ("shift", "zero", "headed"),
    list(zip(SHIFTS, TWO_SIDED_H4, HEAD_START_H4, strict=True)),
)
def test_two_sided_normal_cusum_h4(shift, zero, headed):
    found = NormalCusum(k=0.5, h=4).two_sided(shift=shift)
    assert found.zero_start == pytest.approx(zero, rel=1e-4), LUCAS
    assert found.head_start == pytest.approx(headed, rel=1e-4), LUCAS


@pytest.mark.parametrize(
    ("shift", "zero"), list(zip(SHIFTS, TWO_SIDED_H5, strict=True))
)
def test_two_sided_normal_cusum_h5(shift, zero):
    found = NormalCusum(k=0.5, h=5).two_sided(shift=shift)
    assert found.zero_start == pytest.approx(zero, rel=1e-4), LUCAS


@pytest.mark.parametrize(
    ("k", "h", "shift", "length", "source"),
    [
        (0.5, 3, 0, 117.595704228, "S03: Brook & Evans 1972, Biometrika 59:539-548"),
        (0.5, 3, 1.5, 3.749108407, "S03: Brook & Evans 1972"),
        (0.5, 3, -0.5, 1962.794519838, "S03: Waldmann 1986, Technometrics 28:61-67"),
        (0.5, 3, 0.5, 17.35051657, "S03: Waldmann 1986"),
        (0, 10, 0, 124.66156411, "S03: Vance 1986, J Quality Technology 18:189-193"),
        (0, 10, 1, 10.74725471, "S03: Vance 1986"),
    ],
)
def test_one_sided_normal_cusum(k, h, shift, length, source):
    found = NormalCusum(k=k, h=h).run_length(shift=shift)
    assert found == pytest.approx(length, rel=1e-4), source


def test_two_sided_normal_cusum_with_a_large_shift():
    """S03: SAS/QC manual, 4.1500836225; its two-sided 4.1500826715 does not reproduce."""
    found = NormalCusum(k=0.25, h=8).two_sided(shift=2.5).zero_start
    assert found == pytest.approx(4.15008372612, rel=1e-6)


@pytest.mark.parametrize(
    ("delta", "h", "length"),
    [
        (0, 5, 938.222364116395),
        (1, 5, 10.3361992353935),
        (0.5, 5, 38.019556),
        (0, 4, 338.093167156558),
        (1, 4, 8.34341470526349),
    ],
)
def test_siegmund(delta, h, length):
    """S04: Siegmund 1985; Montgomery section 9.1.4 (938.2, 10.34)."""
    assert siegmund_run_length(delta=delta, k=0.5, h=h) == pytest.approx(
        length, abs=1e-6
    )


@pytest.mark.parametrize(
    ("weight", "width", "shift", "length"),
    [
        (0.5, 2, 0, 26.451941589),
        (0.5, 2, 1, 4.906395542),
        (0.05, 2, 0.5, 18.968096454),
        (0.1, 2.814, 0, 499.579550083),
        (0.1, 2.814, 3, 2.868003512),
        (0.25, 3, 1, 11.1542670164),
    ],
)
def test_ewma(weight, width, shift, length):
    """S07: Crowder 1987, Technometrics 29:401-407, Table 1."""
    found = ewma_run_length(weight=weight, width=width, shift=shift)
    assert found == pytest.approx(length, rel=1e-5)


def test_poisson_cusum():
    """S08: Lucas 1985, Technometrics 27:129-144, Table 2. S >= h and S > h differ."""
    F = Fraction
    found = poisson_run_length(mean=2.4, k=F(3), h=F(10))
    assert found == pytest.approx(548.362265528682, rel=1e-6)
    found = poisson_run_length(mean=2.4, k=F(3), h=F(10), start=F(5))
    assert found == pytest.approx(513.67187245158, rel=1e-6)
    found = poisson_run_length(mean=0.25, k=F(1, 4), h=F(10))
    assert found == pytest.approx(438.124999498715, rel=1e-6)
    found = poisson_run_length(mean=0.5, k=F(1), h=F(3))
    assert found == pytest.approx(174.245548364724, rel=1e-6)
    found = poisson_run_length(mean=2.4, k=F(3), h=F(10), signal_above=True)
    assert found == pytest.approx(854.451927713, rel=1e-6)


@pytest.mark.parametrize(
    ("chance", "m", "h", "length"),
    [
        (0.080, 9, 2, 114.2),
        (0.080, 9, 3, 309.4),
        (0.080, 9, 5, 1638.2),
        (0.1483, 9, 3, 54.6),
        (0.074, 10, 3, 307.0),
        (0.043, 16, 3, 585.9),
    ],
)
def test_bernoulli_cusum(chance, m, h, length):
    """Independent Markov-chain values, one decimal; scheme of Reynolds & Stoumbos 1999."""
    found = bernoulli_run_length(chance=chance, m=m, h=h)
    assert found == pytest.approx(length, abs=0.05)


def test_the_chain_agrees_with_running_the_scheme():
    """Slow twin: 4 000 runs of the scheme itself, four standard errors."""
    rng = np.random.default_rng(5)
    lengths = []
    for _ in range(4000):
        s = n = 0
        while s < 27:
            s = max(0, s + (8 if rng.random() < 0.15 else -1))
            n += 1
        lengths.append(n)
    exact = lattice_run_length(
        steps=np.array([8, -1]), chances=np.array([0.15, 0.85]), signal_at=27
    )
    error = np.std(lengths) / np.sqrt(len(lengths))
    assert abs(np.mean(lengths) - exact) < 4 * error
