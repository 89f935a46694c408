"""Contamination, round order and maternal antibody: the page's check values."""

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.spread.environment import (
    carry_round,
    cleaned,
    days_to_titre,
    decay_and_deposit,
    maternal_gap_days,
    steady_state,
)


def test_segment():
    """C5: C0 2, s 1, decay .12, one day."""
    found = decay_and_deposit(level=2, shed=1, decay=0.12, days=1)
    assert found.level == pytest.approx(2.716171, abs=5e-7)
    assert found.integral == pytest.approx(2.365245, abs=5e-7)


def test_one_susceptible_dog_and_a_cleaning():
    """C5: C0 10, decay .12, hazard .03 per unit: .917915; a 1-log clean at day 2 .518133."""
    untouched = decay_and_deposit(level=10, shed=0, decay=0.12, days=1e4).integral
    assert 1 - exp(-0.03 * untouched) == pytest.approx(0.917915, abs=5e-7)
    before = decay_and_deposit(level=10, shed=0, decay=0.12, days=2)
    after = decay_and_deposit(
        level=cleaned(before.level, log_reduction=1), shed=0, decay=0.12, days=1e4
    )
    total = before.integral + after.integral
    assert total == pytest.approx(24.3362, abs=5e-5)
    assert 1 - exp(-0.03 * total) == pytest.approx(0.518133, abs=5e-7)


def test_steady_state():
    """C5: clean leaves .7, decay leaves .88, deposit 1: 2.604167 before, 1.822917 after."""
    before = steady_state(kept_by_cleaning=0.7, kept_by_decay=0.88, deposit=1)
    assert before == pytest.approx(2.604167, abs=5e-7)
    assert before * 0.7 == pytest.approx(1.822917, abs=5e-7)


@pytest.mark.parametrize(
    ("order", "levels", "load"),
    [((0, 1, 2), (95, 0.3, 0.072), 0.0864), ((1, 2, 0), (95, 0, 0), 1.5)],
)
def test_round_order(order, levels, load):
    """C6: the dirty pen last keeps the others clean."""
    found, left = carry_round(
        (100, 0, 0), order=order, pick=0.05, deposit=0.2, kept_by_hygiene=0.3
    )
    assert found == pytest.approx(levels)
    assert left == pytest.approx(load)


@pytest.mark.parametrize(
    ("first", "unprotected", "takes"),
    [(320, 21.6, 43.2), (1280, 43.2, 64.8), (5120, 64.8, 86.4)],
)
def test_maternal_antibody(first, unprotected, takes):
    """C11, half-life 10.8 days: the gap is 21.6 days whatever the first titre."""
    found = days_to_titre(first=first, titre=80, half_life_days=10.8)
    later = days_to_titre(first=first, titre=20, half_life_days=10.8)
    assert (found, later) == pytest.approx((unprotected, takes))
    assert later - found == pytest.approx(maternal_gap_days(half_life_days=10.8))


@given(st.floats(0, 100), st.floats(0, 5), st.floats(0, 2), st.floats(0.01, 10))
def test_closed_form_agrees_with_small_steps(level, shed, decay, days):
    """Slow twin: 4 000 Heun steps."""
    steps = 4000
    h = days / steps
    c, total = level, 0.0
    for _ in range(steps):
        slope = shed - decay * c
        ahead = shed - decay * (c + h * slope)
        later = c + h * (slope + ahead) / 2
        total += h * (c + later) / 2
        c = later
    found = decay_and_deposit(level=level, shed=shed, decay=decay, days=days)
    assert found.level == pytest.approx(c, rel=1e-4, abs=1e-6)
    assert found.integral == pytest.approx(total, rel=1e-4, abs=1e-6)
