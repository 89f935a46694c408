"""Branching processes are as published."""

from math import inf

import pytest

from kennelward.spread.branching import (
    birth_death_extinct,
    chain_size,
    extinction,
    mean_extinction_time,
    smallest_share,
    top_share,
)


@pytest.mark.parametrize(
    ("r", "k", "chance"),
    [(2, 0.1, 0.89044), (2, 0.5, 0.64039), (2, 1, 0.5), (2, inf, 0.20319),
     (1.5, 0.1, 0.93234), (3, 0.5, 0.5), (3, inf, 0.05952), (5, 0.5, 0.37016),
     (0.9, 0.5, 1.0)],
)  # fmt: skip
def test_extinction_from_one_case(r, k, chance):
    """C3 of the spread page; Lloyd-Smith 2005."""
    assert extinction(r=r, k=k) == pytest.approx(chance, abs=6e-6)


@pytest.mark.parametrize(
    ("control", "epidemic"),
    [({"individual": 0.2}, 0.0907059801300103), ({"population": 0.2}, 0.113382475162512),
     ({"individual": 0.1, "population": 0.1}, 0.108492387268708)],
)  # fmt: skip
def test_extinction_under_control(control, epidemic):
    """P12: Lloyd-Smith et al. 2005."""
    assert 1 - extinction(r=1.5, k=0.5, **control) == pytest.approx(epidemic, abs=1e-8)


def test_five_seeds_contained():
    """P12: five introductions, 10 % individual control."""
    found = extinction(r=1.5, k=0.5, individual=0.1) ** 5
    assert found == pytest.approx(0.416188209962033, abs=1e-8)


@pytest.mark.parametrize(
    ("k", "seeds", "chances"),
    [(0.5, 1, [0.620173672946042, 0.118343195266272, 0.0564564108280421]),
     (inf, 1, [0.449328964117222, 0.161517214395724, 0.087089235157836]),
     (0.5, 2, [0.384615384615385, 0.146786668152909, 0.0840306711949862])],
)  # fmt: skip
def test_chain_sizes(k, seeds, chances):
    """P13: Nishiura 2012; Blumberg & Lloyd-Smith 2013 (R = 0.8)."""
    found = chain_size(largest=10, r=0.8, k=k, seeds=seeds)
    assert found[:3] == pytest.approx(chances, abs=1e-12)


def test_concentration():
    """P15: Endo 2020; Lloyd-Smith 2005 (k .16: the top fifth makes 88 %)."""
    assert top_share(k=0.16) == pytest.approx(0.88251920556399, abs=1e-7)
    assert top_share(k=1) == pytest.approx(0.52188758248682, abs=1e-7)
    assert smallest_share(r=2, k=0.1) == pytest.approx(0.0920882035255519, abs=1e-7)
    assert smallest_share(r=1.63, k=0.16) == pytest.approx(0.130009511354034, abs=1e-7)


def test_birth_and_death():
    """P16: Kendall 1948; Bailey 1964."""
    found = [birth_death_extinct(infect=0.8, remove=1, t=t) for t in (1, 2, 5)]
    assert found == pytest.approx(
        [0.525394658371024, 0.710909424480094, 0.895740033068728], abs=1e-12
    )
    assert mean_extinction_time(infect=0.8, remove=1) == pytest.approx(2.01179739054263)
