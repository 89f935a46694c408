"""How long the litter alarm runs: falsely, and until it notices a rise."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kennelward.litters.beta_binomial import LitterLoss, loss_distribution
from kennelward.litters.losses import LossModel, litter_weight
from kennelward.terms import check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmDelay:
    """How long the litter alarm runs, in litters and in this kennel's years."""

    litters_a_year: float
    false_alarm_litters: float  # average litters until a false alarm
    detection_litters: float  # average litters until it signals at raised odds
    false_alarm_years: float
    detection_years: float
    false_alarm_in_a_year: float  # chance of one in a year of usual losses


def alarm_delay(
    *,
    litters_a_year: float,
    sizes: Sequence[int],
    chance: float,
    model: LossModel,
    steps: int = 300,
) -> AlarmDelay:
    """Average run lengths of the litter CUSUM, by a Markov chain over `steps` cells.

    `sizes`: litter sizes, drawn from with equal chance, such as the kennel's own.
    """
    check_range("litters a year", litters_a_year, low=0.01, high=10_000)
    odds = chance / (1 - chance) * model.odds_ratio
    raised = odds / (1 + odds)
    usual, worse = (
        _chain(sizes, at=at, chance=chance, model=model, steps=steps)
        for at in (chance, raised)
    )
    false, found = _length(usual), _length(worse)
    return AlarmDelay(
        litters_a_year=litters_a_year,
        false_alarm_litters=false,
        detection_litters=found,
        false_alarm_years=false / litters_a_year,
        detection_years=found / litters_a_year,
        false_alarm_in_a_year=_within(usual, litters=max(1, round(litters_a_year))),
    )


def alarm_chance(
    *,
    litters: int,
    sizes: Sequence[int],
    at: float,
    chance: float,
    model: LossModel,
    steps: int = 300,
) -> float:
    """Chance that the alarm signals within `litters`, true losses at `at`."""
    check_range("litters", litters, low=1, high=100_000)
    move = _chain(sizes, at=at, chance=chance, model=model, steps=steps)
    return _within(move, litters=litters)


def _chain(
    sizes: Sequence[int], *, at: float, chance: float, model: LossModel, steps: int
) -> np.ndarray:
    """Moves between cells of S without a signal: (steps + 1, steps + 1) float64.

    The true chance of loss is `at`; what is missing from a row's sum is a signal.
    """
    width = model.limit / steps
    # Cell 0 is S = 0 exactly; cell i holds S around (i - 0.5) width.
    values = np.concatenate(([0.0], (np.arange(steps) + 0.5) * width))
    move = np.zeros((steps + 1, steps + 1))
    for born, share_of_size in _shares(sizes):
        chances = loss_distribution(born=born, chance=at, correlation=model.correlation)
        for lost, share in enumerate(chances.tolist()):
            weight = litter_weight(
                LitterLoss(born=born, lost=lost), chance=chance, model=model
            )
            to = values + weight
            stays = to < model.limit
            cell = np.where(to <= 0, 0, np.floor(to / width).astype(int) + 1)
            np.add.at(move, (np.flatnonzero(stays), cell[stays]), share * share_of_size)
    return move


def _shares(sizes: Sequence[int]) -> list[tuple[int, float]]:
    return [(born, sizes.count(born) / len(sizes)) for born in sorted(set(sizes))]


def _length(move: np.ndarray) -> float:
    """Average litters to a signal from 0."""
    lengths = np.linalg.solve(np.eye(len(move)) - move, np.ones(len(move)))
    return float(lengths[0])


def _within(move: np.ndarray, *, litters: int) -> float:
    """Chance of a signal within so many litters from 0."""
    quiet = np.ones(len(move))
    for _ in range(litters):
        quiet = move @ quiet
    return float(1 - quiet[0])
