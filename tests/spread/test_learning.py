"""What records teach: Beta updates against worked values, and nothing where none."""

import numpy as np
import pytest

from kennelward.spread.knowledge import Grade, Known
from kennelward.spread.learning import (
    Beta,
    beta_from_range,
    beta_of,
    learn_delay,
    learn_prevalence,
    learn_share,
)
from kennelward.terms import BadInput


def thought(value=0.3, low=0.05, high=0.6):
    """A chance as thought before any record."""
    return Known(
        name="attack",
        value=value,
        low=low,
        high=high,
        says="",
        source="",
        grade=Grade.GUESS,
        is_chance=True,
    )


def test_five_of_twelve_pen_mates():
    """Beta(2, 4) to Beta(7, 11): SD 0.178 to 0.112. Specification of the model, 1.7."""
    before = Beta(a=2, b=4)
    after = before.after(yes=5, no=7)
    assert (after.a, after.b) == (7, 11)
    assert before.sd == pytest.approx(0.178, abs=0.0005)
    assert after.sd == pytest.approx(0.112, abs=0.0005)


def test_a_beta_from_mean_and_sd_has_them():
    made = beta_of(0.2, 0.1)
    assert (made.mean, made.sd) == pytest.approx((0.2, 0.1))
    with pytest.raises(BadInput, match="no Beta"):
        beta_of(0.5, 0.6)


def test_a_share_moves_towards_what_was_counted():
    learnt = learn_share(thought(), found=9, of=10, says="")
    assert learnt.before.value == 0.3
    assert 0.3 < learnt.after.value < 0.9
    assert learnt.after.high - learnt.after.low < 0.55
    assert learnt.after.grade is Grade.RECORDS


def test_nothing_counted_changes_nothing():
    learnt = learn_share(thought(), found=0, of=0, says="")
    assert learnt.after == learnt.before
    assert not learnt.moved


def test_more_positives_never_lower_the_share():
    shares = [
        learn_share(thought(), found=k, of=12, says="").after.value for k in range(13)
    ]
    assert shares == sorted(shares)


def test_a_perfect_test_gives_the_plain_update():
    """Sensitivity and specificity 1: prior Beta plus counts, to the grid's width."""
    prior = beta_from_range(thought())
    learnt = learn_prevalence(
        thought(), positive=2, tested=20, sensitivity=1, specificity=1, says=""
    )
    assert learnt.after.value == pytest.approx(
        (prior.a + 2) / (prior.a + prior.b + 20), abs=1e-3
    )


def test_prevalence_against_draws():
    """The grid against 400 000 prior draws weighed by the same likelihood."""
    prior = beta_from_range(thought(value=0.1, low=0.02, high=0.3))
    rng = np.random.Generator(np.random.PCG64(5))
    p = rng.beta(prior.a, prior.b, 400_000)
    seen = p * 0.6 + (1 - p) * 0.02
    weight = seen**3 * (1 - seen) ** 17
    expected = float((weight * p).sum() / weight.sum())
    learnt = learn_prevalence(
        thought(value=0.1, low=0.02, high=0.3),
        positive=3,
        tested=20,
        sensitivity=0.6,
        specificity=0.98,
        says="",
    )
    assert learnt.after.value == pytest.approx(expected, abs=0.002)


def test_a_poor_test_teaches_less():
    good, poor = (
        learn_prevalence(
            thought(value=0.1, low=0.01, high=0.3),
            positive=0,
            tested=15,
            sensitivity=sensitivity,
            specificity=0.99,
            says="",
        ).after
        for sensitivity in (0.95, 0.05)
    )
    assert good.high < poor.high


def test_days_to_a_result():
    """Four results of 1 day against a guess of 2: between, and surer than before."""
    known = Known(
        name="delay", value=2, low=0.5, high=7, says="", source="", grade=Grade.GUESS
    )
    learnt = learn_delay(known, days=[1, 1, 1, 1], says="")
    assert 1 < learnt.after.value < 2
    assert learnt.after.high < 7
    assert learn_delay(known, days=[], says="").after.value == pytest.approx(2)
    with pytest.raises(BadInput, match="negative"):
        learn_delay(known, days=[-1], says="")


def test_counts_that_cannot_be_are_refused():
    with pytest.raises(BadInput, match="found"):
        learn_share(thought(), found=3, of=2, says="")
