"""Final sizes are as published, exact to the digits given."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.spread.final_size import (
    attack_risk,
    attack_risk_by_rate,
    deterministic_final_size,
    escape_household,
    fit_reed_frost_chains,
    fit_reed_frost_sizes,
    markov_sir,
    pens_final_size,
    reed_frost,
)


@pytest.mark.parametrize(
    ("r0", "share"),
    [(0.8, 0.0), (1.0, 0.0), (1.1, 0.17613414363181), (1.5, 0.582811643865811),
     (2, 0.79681213002002), (3, 0.94047979070736), (10, 0.999954579444653)],
)  # fmt: skip
def test_deterministic(r0, share):
    """P01: Kermack & McKendrick 1927; Ma & Earn 2006. Printed .5828132 elsewhere is off."""
    assert deterministic_final_size(r0=r0) == pytest.approx(share, abs=1e-10)


@pytest.mark.parametrize(
    ("r0", "s0", "i0", "share"),
    [(2.5, 0.8, 0, 0.637449704016016), (2.5, 0.8, 0.01, 0.644062451001615),
     (1.2, 0.9, 0.02, 0.245734101300992), (1.0, 0.95, 0.05, 0.237048279110886)],
)  # fmt: skip
def test_deterministic_with_immunity_and_seeds(r0, s0, i0, share):
    """P02: same source."""
    found = deterministic_final_size(r0=r0, susceptible=s0, seeded=i0)
    assert found == pytest.approx(share, abs=1e-9)


def test_reed_frost_household_of_four():
    """P03: Bailey 1975, ch. 14; Ludwig 1975."""
    found = reed_frost(susceptible=3, first=1, chance=0.23)
    assert found == pytest.approx(
        [0.456533, 0.2425559829, 0.184027539234, 0.116883477866], abs=1e-10
    )
    found = reed_frost(susceptible=2, first=2, chance=0.23)
    assert found == pytest.approx([0.35153041, 0.3717091686, 0.2767604214], abs=1e-10)
    found = reed_frost(susceptible=3, first=1, chance=0.23, generations=2)
    assert found == pytest.approx(
        [0.456533, 0.2425559829, 0.2173553613, 0.0835556558], abs=1e-10
    )


@pytest.mark.parametrize(
    ("n", "p", "chances"),
    [(3, 0.1, [0.81, 0.162, 0.028]), (3, 0.3, [0.49, 0.294, 0.216]),
     (4, 0.3, [0.343, 0.21609, 0.222264, 0.218646]),
     (5, 0.3, [0.2401, 0.141179, 0.152473, 0.209988, 0.25626])],
)  # fmt: skip
def test_reed_frost_one_index(n, p, chances):
    """C2 of the spread page."""
    found = reed_frost(susceptible=n - 1, first=1, chance=p)
    assert found == pytest.approx(chances, abs=6e-7)


def test_chain_fits():
    """P06: Wilson 1939, p = 575/729. P07: Heasman & Reid 1961, Tables II and V."""
    measles = {"1": 34, "1-1": 25, "1-1-1": 36, "1-2": 239}
    assert fit_reed_frost_chains(measles, size=3) == pytest.approx(575 / 729, abs=1e-7)
    colds = {
        "1-0": 423, "1-1-0": 131, "1-2-0": 24, "1-1-1-0": 36, "1-3-0": 3, "1-1-2-0": 8,
        "1-2-1-0": 11, "1-1-1-1-0": 14, "1-1-3": 2, "1-2-2": 1, "1-2-1-1": 3,
        "1-1-2-1": 2, "1-1-1-2": 2, "1-1-1-1-1": 4,
    }  # fmt: skip
    assert fit_reed_frost_chains(colds, size=5) == pytest.approx(
        0.116166940800394, abs=1e-6
    )


@pytest.mark.parametrize(
    ("groups", "chance"),
    [
        ([(4, 1, [423, 131, 60, 36, 14])], 0.11652396281031406),
        ([(4, 1, [53, 31, 4, 0, 0])], 0.08412652342161832),
        ([(4, 1, [423, 131, 60, 36, 14]), (3, 2, [55, 27, 8, 2])], 0.11133081097811079),
    ],
)
def test_final_size_fits(groups, chance):
    """P07: Heasman & Reid 1961, Br J Prev Soc Med 15:12-16."""
    assert fit_reed_frost_sizes(groups) == pytest.approx(chance, abs=1e-6)


def test_markov_sir():
    """P09: Bailey 1975, ch. 6; exact fractions for N = 5, R0 = 2."""
    exact = [Fraction(5, 13), Fraction(200, 1573), Fraction(40000, 382239),
             Fraction(125240000, 917755839), Fraction(75601408, 305918613)]  # fmt: skip
    found = markov_sir(susceptible=4, first=1, infect_to_remove=2 / 5)
    assert found == pytest.approx([float(x) for x in exact], abs=1e-12)
    found = markov_sir(susceptible=9, first=1, infect_to_remove=0.2)
    assert found[:3] == pytest.approx(
        [0.357142857142857, 0.0950972104818259, 0.0550331079177233], abs=1e-12
    )
    assert (found * np.arange(10)).sum() == pytest.approx(3.57100448678656, abs=1e-12)


@pytest.mark.parametrize(
    ("n", "r0", "mean", "sd", "alone"),
    [(5, 1.5, 2.3702, 1.5190, 0.45455), (10, 2, 4.5710, 3.5281, 0.35714),
     (20, 2, 8.1179, 7.3008, 0.34483), (60, 2, 22.8439, 22.7925, 0.33708),
     (60, 3, 36.9401, 25.9783, 0.25316), (200, 2, 78.099, 78.424, 0.33445)],
)  # fmt: skip
def test_markov_sir_moments(n, r0, mean, sd, alone):
    """C1 of the spread page; counts hold the index case."""
    found = markov_sir(susceptible=n - 1, first=1, infect_to_remove=r0 / n)
    sizes = np.arange(1, n + 1)
    assert (found * sizes).sum() == pytest.approx(mean, abs=6e-4)
    spread = np.sqrt((found * sizes**2).sum() - (found * sizes).sum() ** 2)
    assert spread == pytest.approx(sd, abs=6e-4)
    assert found[0] == pytest.approx(alone, abs=6e-6)


def test_fixed_period():
    """C1: N = 20, R0 = 2, fixed infectious period: mean 11.87653, alone .149569."""
    found = reed_frost(susceptible=19, first=1, chance=1 - np.exp(-2 / 20))
    assert (found * np.arange(1, 21)).sum() == pytest.approx(11.87653, abs=6e-6)
    assert found[0] == pytest.approx(0.149569, abs=6e-7)


def test_household_with_infection_from_outside():
    """P10: Longini & Koopman 1982, Biometrics 38:115-126."""
    found = escape_household(size=4, escape_outside=0.9, escape_one=0.8)
    assert found == pytest.approx(
        [0.6561, 0.1492992, 0.091570176, 0.0663404544, 0.0366901696], abs=1e-12
    )


def test_attack_risk():
    """P17, definition: 5 % a day over 14 days."""
    assert attack_risk(daily=0.05, days=14) == pytest.approx(0.512325020884471)
    assert attack_risk_by_rate(rate=0.05, days=21) == pytest.approx(0.650062250888845)


@given(st.integers(1, 12), st.floats(0.01, 0.9))
def test_distributions_sum_to_one(n, p):
    assert reed_frost(susceptible=n, first=1, chance=p).sum() == pytest.approx(1)
    assert markov_sir(
        susceptible=n, first=1, infect_to_remove=p
    ).sum() == pytest.approx(1)


def test_two_pens_of_three():
    """C10: within .1, between .02, recovery .15: printed to six digits."""
    sizes = pens_final_size(pens=2, dogs=3, within=0.1, between=0.02, recover=0.15)
    printed = [0.365854, 0.135858, 0.134713, 0.093216, 0.101807, 0.168552]
    assert sizes == pytest.approx(printed, abs=5e-7)
    mean = sum(n * chance for n, chance in enumerate(sizes, 1))
    assert mean == pytest.approx(2.934919, abs=5e-7)


def test_one_pen_is_the_plain_final_size():
    one = pens_final_size(pens=1, dogs=5, within=0.3, between=0.0, recover=1.0)
    exact = markov_sir(susceptible=4, first=1, infect_to_remove=0.3)
    assert one == pytest.approx(list(exact), abs=1e-12)
