"""Puppy weights: what is expected, what the scale says about the trend, what is a warning.

Only the loss of 4 % by day 2 is a published threshold for the risk of death; the other
bands are proposals on the safe side. A band never names a cause.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from itertools import pairwise
from math import exp, log, sqrt

import numpy as np

from kennelward.terms import BadInput, check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """One weighing of one puppy."""

    at: datetime
    weight_g: float

    def __post_init__(self) -> None:
        check_range("weight", self.weight_g, low=20, high=150_000, unit="g")


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthRules:
    """Thresholds; the handbook holds each with its source."""

    early_loss: float = -0.04  # day 0 to 2; Mila 2015, doi 10.2527/jas.2015-8971
    early_days: float = 2.0
    daily_gain: float = 0.05  # compound a day; proposal, common practice
    no_gain_hours: float = 24.0  # only after day 2
    doubled_by_days: float = 14.0  # birth weight doubled at the latest; from memory
    weaned_from_days: int = 42
    weaned_no_gain_days: float = 7.0


class GrowthFlag(StrEnum):
    """How a puppy does."""

    TOO_FEW = "too few weights"
    GREEN = "gaining"
    AMBER = "look at it"
    RED = "call the vet"


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthWarning:
    """One reason for a flag, as a stable code with the figure behind it."""

    flag: GrowthFlag
    code: str  # "early-loss", "losing", "not-doubled", "slow", "no-gain", "weaned-not-gaining"
    figure: float  # share, such as -0.05; or days for "weaned-not-gaining"


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """The weight now and its daily change, smoothed, with 90 % intervals."""

    weight_g: float
    weight_low_g: float
    weight_high_g: float
    daily_gain: float  # share of weight a day
    daily_gain_low: float
    daily_gain_high: float


SCALE_SD = 0.015  # of log weight: scale reading and a fed or empty stomach; from memory
DRIFT_SD = 0.02  # change of the daily gain over one day; from memory
START_GAIN = (0.05, 0.08)  # daily gain before any weight: mean, sd
Z90 = 1.6448536269514722


def upper_curve(*, birth_g: float, day: float) -> float:
    """Best growth to day 21: an upper guide, not a target.

    W = W0 exp(0.13084 d - 0.001616 d^2). Source: Alves 2020, doi 10.1002/vms3.322
    (345 puppies, 60 litters, 19 breeds).
    """
    check_range("day", day, low=0, high=21)
    return birth_g * exp(0.13084 * day - 0.001616 * day * day)


def gompertz(*, adult: float, b: float, c: float, age: float) -> float:
    """W = adult exp(-exp(-(age - c) / b)); not below 8 weeks, it fails at birth.

    Source: Helmink 2000, J Anim Sci 78:27-32.
    """
    return adult * exp(-exp(-(age - c) / b))


def logistic_share(*, middle: float, b: float, age: float) -> float:
    """Share of adult weight at `age` (same unit as `middle` and `b`).

    Source: Posada 2014, Rev MVZ Cordoba.
    """
    return 1 / (1 + exp(-(age - middle) / b))


def lms_z(*, value: float, skew: float, median: float, spread: float) -> float:
    """Standard score by the LMS method. Source: Cole & Green 1992, Stat Med 11:1305."""
    if skew == 0:
        return log(value / median) / spread
    return float(((value / median) ** skew - 1) / (skew * spread))


class BirthClass(StrEnum):
    """Birth weight for the breed."""

    NORMAL = "normal"
    LOW = "low"
    VERY_LOW = "very low"


def birth_class(
    *, weight_g: float, normal_from_g: float, very_low_below_g: float
) -> BirthClass:
    """Class by a breed's two thresholds. Source of the scheme: Mugnier 2020."""
    if weight_g < very_low_below_g:
        return BirthClass.VERY_LOW
    return BirthClass.LOW if weight_g < normal_from_g else BirthClass.NORMAL


def in_order(weights: Sequence[Weight]) -> tuple[Weight, ...]:
    """Weights by time; two at the same moment keep the later entry."""
    latest = {weight.at: weight for weight in weights}
    return tuple(latest[at] for at in sorted(latest))


def trend(weights: Sequence[Weight]) -> Trend:
    """Local linear trend of log weight at the last weighing (Kalman filter).

    Raises BadInput without a weight. With one weight the gain is the prior's.
    Source: Durbin J, Koopman SJ 2012, Time Series Analysis by State Space Methods, 3.2.
    """
    ordered = in_order(weights)
    if not ordered:
        raise BadInput("a trend needs a weight; weigh the puppy first")
    state = np.array([log(ordered[0].weight_g), START_GAIN[0]])
    spread = np.diag([SCALE_SD**2, START_GAIN[1] ** 2])
    for before, now in pairwise(ordered):
        days = _days(before.at, now.at)
        step = np.array([[1.0, days], [0.0, 1.0]])
        noise = DRIFT_SD**2 * np.array(
            [[days**3 / 3, days**2 / 2], [days**2 / 2, days]]
        )
        state = step @ state
        spread = step @ spread @ step.T + noise
        gain = spread[:, 0] / (spread[0, 0] + SCALE_SD**2)
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


def warnings(
    weights: Sequence[Weight],
    *,
    born_at: datetime,
    rules: GrowthRules | None = None,
) -> tuple[GrowthWarning, ...]:
    """Reasons to look, worst first; empty where it gains well or weights are too few.

    The first weight within 24 h of birth is taken as the birth weight.
    """
    held = rules or GrowthRules()
    ordered = in_order(weights)
    if len(ordered) < 2:
        return ()
    last = ordered[-1]
    age = _days(born_at, last.at)
    found = [
        *_against_birth(ordered, born_at=born_at, rules=held),
        *_lately(ordered, age=age, rules=held),
    ]
    order = (GrowthFlag.RED, GrowthFlag.AMBER)
    return tuple(sorted(found, key=lambda w: order.index(w.flag)))


def flag(
    weights: Sequence[Weight], *, born_at: datetime, rules: GrowthRules | None = None
) -> GrowthFlag:
    """The worst flag of `warnings`; green without any, or "too few weights"."""
    if len(in_order(weights)) < 2:
        return GrowthFlag.TOO_FEW
    found = warnings(weights, born_at=born_at, rules=rules)
    return found[0].flag if found else GrowthFlag.GREEN


def _against_birth(
    ordered: Sequence[Weight], *, born_at: datetime, rules: GrowthRules
) -> list[GrowthWarning]:
    first, last = ordered[0], ordered[-1]
    if _days(born_at, first.at) > 1:
        return []
    found = []
    early = [w for w in ordered if 0 < _days(born_at, w.at) <= rules.early_days + 0.5]
    if early:
        change = early[-1].weight_g / first.weight_g - 1
        if change <= rules.early_loss:
            found.append(
                GrowthWarning(flag=GrowthFlag.RED, code="early-loss", figure=change)
            )
    age = _days(born_at, last.at)
    if rules.doubled_by_days <= age <= 28 and last.weight_g < 2 * first.weight_g:
        found.append(
            GrowthWarning(
                flag=GrowthFlag.RED,
                code="not-doubled",
                figure=last.weight_g / first.weight_g,
            )
        )
    return found


def _lately(
    ordered: Sequence[Weight], *, age: float, rules: GrowthRules
) -> list[GrowthWarning]:
    last, before = ordered[-1], ordered[-2]
    found: list[GrowthWarning] = []
    if age <= rules.early_days:
        return found
    change = last.weight_g / before.weight_g - 1
    if change < 0 and len(ordered) > 2 and before.weight_g < ordered[-3].weight_g:
        found.append(GrowthWarning(flag=GrowthFlag.RED, code="losing", figure=change))
    elif change <= 0 and _days(before.at, last.at) * 24 >= rules.no_gain_hours - 2:
        found.append(
            GrowthWarning(flag=GrowthFlag.AMBER, code="no-gain", figure=change)
        )
    if age >= rules.weaned_from_days:
        found.extend(_weaned(ordered, rules=rules))
    elif age <= 21:
        gain = _compound(ordered, days=3)
        if gain is not None and gain < rules.daily_gain:
            found.append(GrowthWarning(flag=GrowthFlag.AMBER, code="slow", figure=gain))
    return found


def _weaned(ordered: Sequence[Weight], *, rules: GrowthRules) -> list[GrowthWarning]:
    last = ordered[-1]
    earlier = [
        w for w in ordered[:-1] if _days(w.at, last.at) >= rules.weaned_no_gain_days
    ]
    if earlier and last.weight_g <= earlier[-1].weight_g:
        days = _days(earlier[-1].at, last.at)
        return [
            GrowthWarning(flag=GrowthFlag.AMBER, code="weaned-not-gaining", figure=days)
        ]
    return []


def _compound(ordered: Sequence[Weight], *, days: float) -> float | None:
    """Daily gain over the last `days` or a little more; None without weights for it."""
    last = ordered[-1]
    earlier = [w for w in ordered if days - 0.25 <= _days(w.at, last.at) <= 2 * days]
    if not earlier:
        return None
    span = _days(earlier[-1].at, last.at)
    return float((last.weight_g / earlier[-1].weight_g) ** (1 / span) - 1)


def _days(first: datetime, last: datetime) -> float:
    """Elapsed days; aware moments, so a clock change does not matter."""
    return (last - first).total_seconds() / 86_400


def crossed_lines(*, z_then: float, z_now: float, lines: Sequence[float]) -> int:
    """How many centile lines (as standard scores) lie between two scores.

    More than two is a question for the vet: under 5 % of healthy dogs do it.
    Source: Salt 2020, doi 10.1371/journal.pone.0238521.
    """
    low, high = sorted((z_then, z_now))
    return sum(low < line <= high for line in lines)


def age_in_days(*, born_on: date, on: date) -> int:
    """Whole days since birth. Raises BadInput before birth."""
    days = (on - born_on).days
    if days < 0:
        raise BadInput(f"{on} is before the birth on {born_on}")
    return days
