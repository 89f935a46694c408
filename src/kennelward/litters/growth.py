"""Puppy weights: the trend with its doubt, and what is expected beside it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from math import exp, log, sqrt

import numpy as np

from kennelward.litters.growth_standards import AdultShare, BestCurve, BreedShare
from kennelward.terms import BadInput, check_range

Z90 = 1.6448536269514722  # of the normal distribution: 90 % lie inside
Z80 = 1.2815515655446004  # 80 % lie inside


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """One weighing of one puppy."""

    at: datetime
    weight_g: float

    def __post_init__(self) -> None:
        check_range("weight", self.weight_g, low=20, high=150_000, unit="g")


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthRules:
    """When a weight is a warning; named as in the handbook."""

    early_loss_share: float
    early_days: float
    daily_gain_share: float
    slow_over_days: float
    slow_until_days: float
    no_gain_hours: float
    doubled_by_days: float
    doubled_early_days: float
    doubled_usual_days: float
    weaned_from_days: int
    weaned_no_gain_days: float
    lines_crossed: int
    line_spacing_sd: float
    expected_spread_share: float
    adult_from_days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendModel:
    """How weighings scatter and how quickly a puppy's gain changes."""

    scale_sd_share: float
    drift_sd_share: float
    start_gain_share: float
    start_gain_sd_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthModel:
    """Everything growth is judged and drawn with."""

    rules: GrowthRules
    trend: TrendModel
    best: BestCurve
    adults: Mapping[str, AdultShare]  # by size class
    breeds: Mapping[str, BreedShare]  # by breed

    def adult_share(self, *, size: str, breed: str, age_days: float) -> float | None:
        """Share of the grown weight at an age, or None where nothing is published."""
        if age_days < self.rules.adult_from_days:
            return None
        curve = self.breeds.get(breed.casefold().strip()) or self.adults.get(size)
        return curve.share(age_days=age_days) if curve is not None else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What is known of how big a puppy will be; anything may be missing."""

    birth_g: float | None = None  # usual for its breed or size
    grown_g: float | None = None  # of its parents
    size: str = ""
    breed: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """The weight now and its daily change, smoothed, with 90 % intervals."""

    weight_g: float
    weight_low_g: float
    weight_high_g: float
    daily_gain: float  # share of weight a day
    daily_gain_low: float
    daily_gain_high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """What is expected on one day of age."""

    day: int
    low_g: float
    middle_g: float
    high_g: float


def in_order(weights: Sequence[Weight]) -> tuple[Weight, ...]:
    """Weights by time; two at the same moment keep the later entry."""
    latest = {weight.at: weight for weight in weights}
    return tuple(latest[at] for at in sorted(latest))


def trend(weights: Sequence[Weight], *, model: TrendModel) -> Trend:
    """Local linear trend of log weight at the last weighing (Kalman filter).

    Raises BadInput without a weight. With one weight the gain is the prior's.
    Source: Durbin J, Koopman SJ 2012, Time Series Analysis by State Space Methods, 3.2.
    """
    ordered = in_order(weights)
    if not ordered:
        raise BadInput("a trend needs a weight; weigh the puppy first")
    state = np.array([log(ordered[0].weight_g), model.start_gain_share])
    spread = np.diag([model.scale_sd_share**2, model.start_gain_sd_share**2])
    for before, now in pairwise(ordered):
        days = days_between(before.at, now.at)
        step = np.array([[1.0, days], [0.0, 1.0]])
        noise = model.drift_sd_share**2 * np.array(
            [[days**3 / 3, days**2 / 2], [days**2 / 2, days]]
        )
        state = step @ state
        spread = step @ spread @ step.T + noise
        gain = spread[:, 0] / (spread[0, 0] + model.scale_sd_share**2)
        state = state + gain * (log(now.weight_g) - state[0])
        spread = spread - np.outer(gain, spread[0, :])
    level_sd, gain_sd = sqrt(spread[0, 0]), sqrt(spread[1, 1])
    return Trend(
        weight_g=exp(state[0]),
        weight_low_g=exp(state[0] - Z90 * level_sd),
        weight_high_g=exp(state[0] + Z90 * level_sd),
        daily_gain=exp(state[1]) - 1,
        daily_gain_low=exp(state[1] - Z90 * gain_sd) - 1,
        daily_gain_high=exp(state[1] + Z90 * gain_sd) - 1,
    )


def expected_bands(
    *, birth_g: float | None, expected: Expected, model: GrowthModel, until_day: int
) -> tuple[Band, ...]:
    """Bands for each day of age up to `until_day` for which something is published.

    From birth to the last day of the best-growth curve: doubled by day 14 at the
    bottom, usually by day 10, the best curve on top, all from the puppy's own birth
    weight. From eight weeks on: the share of the parents' grown weight. Nothing in
    between, where nothing was found.
    """
    rules, bands = model.rules, []
    start = birth_g or expected.birth_g
    if start is not None:
        for day in range(min(until_day, int(model.best.last_day)) + 1):
            bands.append(
                Band(
                    day=day,
                    low_g=start * 2 ** (day / rules.doubled_by_days),
                    middle_g=start * 2 ** (day / rules.doubled_usual_days),
                    high_g=model.best.weight_g(birth_g=start, day=day),
                )
            )
    if expected.grown_g is not None:
        reach = exp(Z80 * rules.expected_spread_share)
        for day in range(rules.adult_from_days, until_day + 1):
            share = model.adult_share(
                size=expected.size, breed=expected.breed, age_days=day
            )
            if share is not None:
                middle = expected.grown_g * share
                bands.append(
                    Band(
                        day=day,
                        low_g=middle / reach,
                        middle_g=middle,
                        high_g=middle * reach,
                    )
                )
    return tuple(bands)


def days_between(first: datetime, last: datetime) -> float:
    """Elapsed days; aware moments, so a clock change does not matter."""
    return (last - first).total_seconds() / 86_400
