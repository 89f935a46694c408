"""Limits of blank and detection against CLSI EP17-A2, Currie and IUPAC."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.reading.limits import (
    currie_limits,
    fit_probit,
    limit_of_blank,
    limit_of_blank_normal,
    limit_of_detection,
    three_sigma_limit,
)
from kennelward.terms import BadInput

# Q01. CLSI EP17-A2, appendix A: the six largest of 60 blanks decide the rank 57.5.
LARGEST = {
    7.6: [7.0, 7.6, 7.6, 7.6, 8.0, 8.7],
    9.4: [7.7, 8.3, 9.2, 9.6, 10.0, 11.5],
}


@pytest.mark.parametrize("expected", LARGEST)
def test_limit_of_blank_by_rank(expected):
    blanks = [0.0] * 54 + LARGEST[expected]
    assert limit_of_blank(blanks) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("mean", "sd", "expected"),
    [
        (3.335, 3.25747250466432, 8.71753151633881),
        (3.89666666666667, 2.84586924355502, 8.5990796180824),
    ],
)
def test_limit_of_blank_for_a_normal_spread(mean, sd, expected):
    """Q01, same appendix: 60 results of 5 samples.

    Its digits come from z = 1.644854; the guideline's own formula, as Q02 and we use it,
    has 1.645, which makes 0.0005 here.
    """
    found = limit_of_blank_normal(mean=mean, sd=sd, results=60, samples=5)
    assert found == pytest.approx(expected, abs=6e-4)


@pytest.mark.parametrize(
    ("blank", "sds", "expected"),
    [
        (
            7.5,
            [
                3.14886944598832,
                2.17436859521995,
                2.62128525033739,
                3.6072737964319,
                3.72896118445225,
            ],
            12.643106672285,
        ),
        (
            9.4,
            [
                2.26653854361601,
                2.87026289578308,
                3.36860505254029,
                2.58894795528058,
                2.17901492895438,
            ],
            13.8448480062905,
        ),
    ],
)
def test_limit_of_detection(blank, sds, expected):
    """Q02. CLSI EP17-A2, appendix A: five low samples, twelve results each."""
    found = limit_of_detection(blank=blank, sds=sds, results_each=[12] * 5)
    assert found == pytest.approx(expected, abs=1e-6)


AMOUNTS = [0.006, 0.014, 0.025, 0.05, 0.15, 0.3, 0.5]
LOTS = [  # Q03. CLSI EP17-A2, appendix C: tried, found, intercept, slope, limit
    (
        [30, 30, 32, 32, 32, 32, 32],
        [11, 15, 23, 29, 32, 32, 32],
        3.84796207219437,
        1.97498150604506,
        0.0766463728338793,
    ),
    (
        [30, 30, 32, 32, 32, 32, 32],
        [12, 22, 28, 32, 32, 32, 32],
        5.50010210219104,
        2.61316614572585,
        0.0334721019768307,
    ),
    (
        [34, 34, 32, 32, 32, 32, 32],
        [22, 31, 27, 32, 32, 32, 32],
        4.26140243119884,
        1.74129434206667,
        0.031430703354446,
    ),
]


@pytest.mark.parametrize(("tried", "found", "intercept", "slope", "limit"), LOTS)
def test_probit_limit(tried, found, intercept, slope, limit):
    fitted = fit_probit([0, *AMOUNTS], [22, *tried], [0, *found])
    assert fitted.intercept == pytest.approx(intercept, rel=1e-5)
    assert fitted.slope == pytest.approx(slope, rel=1e-5)
    assert fitted.found_at(0.95) == pytest.approx(limit, rel=1e-5)


@given(st.lists(st.floats(-1, 1), min_size=20, max_size=80))
def test_limit_of_blank_lies_among_the_blanks(blanks):
    assert min(blanks) <= limit_of_blank(blanks) <= max(blanks)


def test_too_few_blanks_have_no_limit():
    with pytest.raises(BadInput, match="20 blanks"):
        limit_of_blank([0.1] * 19)


def test_what_does_not_rise_has_no_limit():
    with pytest.raises(BadInput, match="likelier"):
        fit_probit([0.01, 0.1, 1.0], [20, 20, 20], [18, 10, 2])


@pytest.mark.parametrize(
    ("background", "critical", "detection", "quantification"),
    [
        (25, 11.6319065505187, 25.9698381010374, 136.602540378444),
        (100, 23.2638131010374, 49.2336512020748, 200.0),
    ],
)
def test_currie_limits(background, critical, detection, quantification):
    """Q08. Closed form of Currie 1968, Anal Chem 40:586-593."""
    found = currie_limits(background)
    assert found.critical == pytest.approx(critical, abs=1e-9)
    assert found.detection == pytest.approx(detection, abs=1e-9)
    assert found.quantification == pytest.approx(quantification, abs=1e-9)


@pytest.mark.parametrize("background", [1, 9, 400, 10_000])
def test_currie_limits_are_his_printed_ones(background):
    """Q08. Currie 1968: 2.33 and 2.71 + 4.65 roots of the blank, as he rounds them."""
    root, found = background**0.5, currie_limits(background)
    assert found.critical == pytest.approx(2.33 * root, abs=0.005 * root)
    assert found.detection == pytest.approx(
        2.71 + 4.65 * root, abs=0.005 + 0.005 * root
    )


@pytest.mark.parametrize("background", [50, 400])
def test_currie_limits_hold_for_drawn_counts(background):
    """Counts drawn by NumPy: 5 % of blanks above, 95 % of what lies at the limit."""
    rng = np.random.default_rng(8)
    found = currie_limits(background)
    blank = rng.poisson(background, 200_000)
    again = rng.poisson(background, 200_000)
    there = rng.poisson(background + found.detection, 200_000)
    assert (again - blank > found.critical).mean() == pytest.approx(0.05, abs=0.006)
    assert (there - blank > found.critical).mean() == pytest.approx(0.95, abs=0.006)


BLANKS = [0.10, 0.12, 0.09, 0.11, 0.13, 0.10, 0.12, 0.11, 0.10, 0.12]


def test_three_sigma_limit():
    """Q09. IUPAC 1976, k = 3; closed form on ten made-up blanks."""
    found = three_sigma_limit(BLANKS, slope=0.05)
    assert found.mean == pytest.approx(0.11, abs=1e-10)
    assert found.sd == pytest.approx(0.0124721912892465, abs=1e-10)
    assert found.signal == pytest.approx(0.147416573867739, abs=1e-10)
    assert found.amount == pytest.approx(0.748331477354788, abs=1e-10)


def test_three_sigma_needs_blanks_and_a_slope():
    with pytest.raises(BadInput, match="2 blanks"):
        three_sigma_limit([0.1], slope=1.0)
    for slope in (0.0, -1.0, float("nan")):
        with pytest.raises(BadInput, match="slope"):
            three_sigma_limit(BLANKS, slope=slope)
