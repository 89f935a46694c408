"""The four-parameter logistic against a published fit and its closed form."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.reading.dilution import DoseCurve, OffCurve, fit_dose_curve
from kennelward.terms import BadInput

# Q05. Root length of ryegrass (cm) by ferulic acid (mM): Inderjit, Streibig, Olofsdotter
# 2002 (from memory), as the R package drc carries it; its LL.4 fit, printed to five digits.
AMOUNTS = [0.0] * 6 + [x for x in (0.94, 1.88, 3.75, 7.5, 15.0, 30.0) for _ in range(3)]
SIGNALS = [
    7.58, 8.0, 8.3285714, 7.25, 7.375, 7.9625, 8.3555556, 6.9142857, 7.75, 6.8714286,
    6.45, 5.9222222, 1.925, 2.8857143, 4.2333333, 1.1875, 0.8571429, 1.0571429, 0.6875,
    0.525, 0.825, 0.25, 0.22, 0.44,
]  # fmt: skip


def test_fit_is_the_published_one():
    """Q05. drc, LL.4 on ryegrass: 2.98222, 0.48141, 7.79296, 3.05795, sd 0.5196."""
    found = fit_dose_curve(AMOUNTS, SIGNALS)
    assert found.curve.steepness == pytest.approx(2.98222868186861, abs=2e-5)
    assert found.curve.low == pytest.approx(0.481409958856054, abs=2e-5)
    assert found.curve.high == pytest.approx(7.79296232656089, abs=2e-5)
    assert found.curve.middle == pytest.approx(3.05795516349492, abs=2e-5)
    assert found.squares == pytest.approx(5.40021465016158, abs=2e-5)
    assert found.residual_sd == pytest.approx(0.519625569528751, abs=2e-5)


def test_a_rising_series_is_fitted_too():
    """The same points upside down: the same curve, its steepness negative."""
    found = fit_dose_curve(AMOUNTS, [10 - one for one in SIGNALS]).curve
    assert found.steepness == pytest.approx(-2.98222868186861, abs=2e-5)
    assert found.low == pytest.approx(10 - 7.79296232656089, abs=2e-5)
    assert found.middle == pytest.approx(3.05795516349492, abs=2e-5)


CURVE = DoseCurve(steepness=2.982, low=0.481, high=7.793, middle=3.058)


def test_both_ways_by_closed_form():
    """Q06. The definition itself."""
    assert CURVE.signal_at(2.0) == pytest.approx(6.1850278694077, abs=1e-10)
    assert CURVE.amount_at(4.0) == pytest.approx(3.13586621841521, abs=1e-10)
    assert CURVE.signal_at(3.058) == pytest.approx(4.137, abs=1e-10)


@pytest.mark.parametrize("signal", [0.481, 0.4, -1.0, float("-inf")])
def test_under_the_curve_is_an_answer(signal):
    assert CURVE.amount_at(signal) is OffCurve.BELOW


@pytest.mark.parametrize("signal", [7.793, 8.0, float("inf")])
def test_over_the_curve_is_an_answer(signal):
    """Q06. Out of range, not NaN."""
    assert CURVE.amount_at(signal) is OffCurve.ABOVE


@given(
    amount=st.floats(0.01, 100), steepness=st.floats(0.3, 4), is_rising=st.booleans()
)
def test_there_and_back(amount, steepness, is_rising):
    slope = -steepness if is_rising else steepness
    curve = DoseCurve(steepness=slope, low=0.0, high=1.0, middle=3.0)
    signal = curve.signal_at(amount)
    assert 0 <= signal <= 1
    if 1e-6 < signal < 1 - 1e-6:
        assert curve.amount_at(signal) == pytest.approx(amount, rel=1e-6)


def test_ends_of_the_curve():
    assert CURVE.signal_at(0.0) == CURVE.high
    assert CURVE.signal_at(1e300) == pytest.approx(CURVE.low)


def test_no_curve_through_too_little():
    with pytest.raises(BadInput, match="five points"):
        fit_dose_curve([0, 1, 2, 3], [4.0, 3, 2, 1])
    with pytest.raises(BadInput, match="alike"):
        fit_dose_curve([0, 1, 2, 3, 4], [1.0] * 5)
    with pytest.raises(BadInput, match="middle"):
        DoseCurve(steepness=1.0, low=0.0, high=1.0, middle=0.0)
