"""Beta figures from counts and ranges, situations, priors."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kennelward.evidence import (
    BetaChance,
    Circumstances,
    Contribution,
    DaysSince,
    OwnRecord,
    ReaderError,
    Situation,
    TestPerformance,
    beta_chance,
    chance_from_counts,
    chance_from_range,
    choose_performance,
    contribution_from_odds_ratio,
    in_hundred,
    interpret,
    known_chance,
    prior,
)
from kennelward.evidence.draws import LATTICE_MULTIPLIER, LATTICE_SIZE, LatticeDraws
from kennelward.terms import BadInput, OutOfRange


def test_counts_give_the_uniform_posterior() -> None:
    """17 right of 17 is Beta(18, 1): 95 % above .847, mean .947."""
    found = chance_from_counts(17, 17)
    assert (found.a, found.b) == pytest.approx((18, 1))
    # By hand: P(X < x) = x^18, so the 5 % quantile is .05^(1/18).
    assert found.quantile(0.05) == pytest.approx(0.05 ** (1 / 18), abs=1e-12)


def test_a_range_becomes_a_beta_as_wide_as_the_range() -> None:
    """Flotation .50 in .48-.70: the best value near one end does not make it sure."""
    found = chance_from_range(0.50, 0.48, 0.70)
    assert found.mean == 0.50
    assert found.quantile(0.95) - found.quantile(0.05) == pytest.approx(0.22, abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(
    best=st.floats(0.02, 0.98), below=st.floats(0.01, 0.9), above=st.floats(0.01, 0.9)
)
def test_a_range_never_piles_up_at_an_end(best, below, above) -> None:
    """Both shapes are at least 1, and the Beta is never wider than the range asks."""
    low, high = best * (1 - below), best + (1 - best) * above
    found = chance_from_range(best, low, high)
    assert found.mean == best
    assert min(found.a, found.b) >= 1 - 1e-9
    width = found.quantile(0.95) - found.quantile(0.05)
    assert width <= (high - low) + 1e-6


def test_exact_chances_carry_no_doubt() -> None:
    """Also at 0 and at 1."""
    for value in (0.0, 0.3, 1.0):
        found = known_chance(value).interval()
        assert (found.low, found.median, found.high) == (value, value, value)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: known_chance(1.2), "from 0 to 1, got 1.2"),
        (lambda: chance_from_counts(40, 30), "from 0 to 30, got 40"),
        (lambda: chance_from_counts(0, 0), "1 or more, got 0"),
        (lambda: chance_from_range(0.9, 0.92, 0.95), "must lie between low 0.92"),
        (lambda: beta_chance(0, 3), "shape a must be more than 0, got 0"),
        (lambda: BetaChance(mean=1.0, strength=20), "exactly 1 has no Beta"),
        (lambda: ReaderError(line_missed=0.7), "from 0 to 0.5, got 0.7"),
        (lambda: OwnRecord(found=4, tested=3, weight=1), "from 0 to 3, got 4"),
        (lambda: Circumstances(days_since={"arrival": -1}), "0 or more days, got -1"),
        (lambda: Circumstances(days_since={"birthday": 1}), "event must be one of"),
        (lambda: DaysSince(event="lh", first=5, last=4), "last must be 5 or more"),
    ],
)
def test_bad_input_names_value_and_range(make, words) -> None:
    """Every message says what came and what is allowed."""
    with pytest.raises(BadInput) as caught:
        make()
    assert words in str(caught.value)


def test_a_test_that_is_worse_than_a_coin_is_refused() -> None:
    """Most likely the two figures were swapped."""
    with pytest.raises(BadInput, match="check which is which"):
        TestPerformance(
            test="t",
            sees="x",
            sensitivity=known_chance(0.2),
            specificity=known_chance(0.5),
        )


def figures(says: str, **situation) -> TestPerformance:
    """Figures for one situation."""
    return TestPerformance(
        test="parvovirus-antigen",
        sees="parvovirus in faeces",
        sensitivity=known_chance(0.6),
        specificity=known_chance(0.98),
        situation=Situation(says=says, **situation),
    )


LISTED = (
    figures("sick, vaccinated", is_sick=True, is_vaccinated=True),
    figures(
        "sick, first days",
        is_sick=True,
        days=(DaysSince(event="illness", first=1, last=5),),
    ),
    figures("sick", is_sick=True),
    figures("any dog"),
)


@pytest.mark.parametrize(
    ("case", "says"),
    [
        (Circumstances(is_sick=True, is_vaccinated=True), "sick, vaccinated"),
        (Circumstances(is_sick=True, days_since={"illness": 5}), "sick, first days"),
        (Circumstances(is_sick=True, days_since={"illness": 6}), "sick"),
        (Circumstances(is_sick=True), "sick"),
        (Circumstances(is_sick=False, days_since={"illness": 2}), "any dog"),
        (Circumstances(), "any dog"),
    ],
)
def test_the_first_situation_that_fits_is_taken(case, says) -> None:
    """What is not known does not fit a situation that asks for it."""
    assert choose_performance(LISTED, case=case).situation.says == says


def test_no_situation_fits() -> None:
    """The error lists what was tried."""
    with pytest.raises(BadInput, match="tried: sick"):
        choose_performance(LISTED[2:3], case=Circumstances(is_sick=False))


def test_contributions_add_on_the_log_odds_scale() -> None:
    """Exact parts: 40 % with an odds ratio of 2.38 is .613 by hand."""
    moved = prior(
        known_chance(0.4),
        contributions=[contribution_from_odds_ratio(2.38, says="to {n}")],
    )
    want = (2.38 * 2 / 3) / (1 + 2.38 * 2 / 3)
    assert interpret(prior=moved).chance.median == pytest.approx(want, abs=1e-12)


def test_the_interval_of_an_odds_ratio_is_carried() -> None:
    """sd = ln(high / low) / (2 * 1.96); 18/38 against 9/103: 9.40 (3.69-23.93)."""
    part = contribution_from_odds_ratio(9.40, low=3.69, high=23.93, says="to {n}")
    assert part.log_odds == pytest.approx(math.log(9.40))
    # Woolf's standard error from the four counts.
    woolf = math.sqrt(1 / 18 + 1 / 20 + 1 / 9 + 1 / 94)
    assert part.log_odds_sd == pytest.approx(woolf, abs=0.001)
    vague = interpret(prior=prior(known_chance(0.1), contributions=[part])).chance
    assert vague.high - vague.low > 0.3


def test_each_contribution_is_said_in_turn() -> None:
    """A sentence for the base and one for each part, with the chance so far."""
    told = interpret(
        prior=prior(
            beta_chance(8, 12),
            says="A puppy starts at about {n} in 100.",
            contributions=[
                Contribution(says="Loose stool: about {n}.", log_odds=math.log(1.61)),
                Contribution(says="Pen mate: about {n}.", log_odds=math.log(2)),
            ],
        )
    )
    assert [str(reason) for reason in told.reasons] == [
        "A puppy starts at about 40 in 100.",
        "Loose stool: about 51.",
        "Pen mate: about 68.",
    ]


def test_own_record_is_discounted() -> None:
    """Beta(8, 12) and 3 of 10 at weight .5 is Beta(9.5, 15.5)."""
    held = prior(
        beta_chance(8, 12), own_record=OwnRecord(found=3, tested=10, weight=0.5)
    )
    assert (held.updated_base.a, held.updated_base.b) == pytest.approx((9.5, 15.5))
    none = prior(beta_chance(8, 12), own_record=OwnRecord(found=3, tested=10, weight=0))
    assert none.updated_base.mean == pytest.approx(0.4)


def test_the_lattice_takes_every_quantile_once() -> None:
    """In each coordinate, and no two coordinates are alike."""
    lattice = LatticeDraws()
    columns = [lattice.beta(beta_chance(1, 1)) for _ in range(24)]
    for column in columns:
        assert np.array_equal(np.sort(column), np.sort(columns[0]))
        assert len(np.unique(column)) == LATTICE_SIZE
    correlation = np.corrcoef(columns)
    assert np.abs(correlation - np.eye(24)).max() < 0.05


def test_the_lattice_multiplier_is_the_best_of_all() -> None:
    """Weighted P2 error in 24 dimensions; every 13th multiplier is tried here."""
    i = np.arange(LATTICE_SIZE)
    x = i / LATTICE_SIZE
    kernel = 2 * np.pi**2 * (x * x - x + 1 / 6)
    column = (x - x.mean()) / x.std()

    def steps(multiplier: int) -> list[int]:
        return [pow(multiplier, k, LATTICE_SIZE) for k in range(1, 25)]

    def error(multiplier: int) -> float:
        product = np.ones(LATTICE_SIZE)
        for z in steps(multiplier):
            product = product * (1 + 0.1 * kernel[i * z % LATTICE_SIZE])
        return float(product.mean() - 1)

    def worst_pair(multiplier: int) -> float:
        columns = np.array([column[i * z % LATTICE_SIZE] for z in steps(multiplier)])
        return float(np.abs(columns @ columns.T / LATTICE_SIZE - np.eye(24)).max())

    chosen = error(LATTICE_MULTIPLIER)
    assert chosen == pytest.approx(0.4191, abs=0.0001)
    assert worst_pair(LATTICE_MULTIPLIER) < 0.05
    for other in range(2, LATTICE_SIZE, 13):
        assert chosen <= error(other) + 1e-12 or worst_pair(other) > 0.05


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.4, "40"),
        (0.025, "2.5"),
        (0.05, "5"),
        (0.0004, "less than 0.1"),
        (0.9996, "more than 99.9"),
        (0.995, "99.5"),
        (0, "0"),
        (1, "100"),
    ],
)
def test_counts_in_100(chance, words) -> None:
    """No false certainty from rounding."""
    assert in_hundred(chance) == words


def test_a_level_of_the_interval_must_make_sense() -> None:
    """Above 0 and below 1."""
    with pytest.raises(OutOfRange, match="between 0 and 1"):
        interpret(prior=prior(known_chance(0.4)), level=1.0)
