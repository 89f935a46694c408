"""When a bitch is due, as a distribution that every known fact narrows.

The unknown is the day of her LH surge; birth follows it by about 65 days. A test, a
progesterone value or a mating speaks about the surge with its own error; a litter count,
a temperature drop or progesterone near term speaks about birth. All are combined on a
grid of quarter days (Bayes' rule).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from kennelward.litters.breeding import BreedingFacts
from kennelward.litters.gestation import DueDateModel
from kennelward.litters.litter_size import chance_of_small_litter
from kennelward.litters.near_term import near_term
from kennelward.litters.surge import STEP, grid_origin, surge_weights
from kennelward.terms import BadInput

WINDOW_LEVEL = 0.80  # share of true births the printed window should hold
WINDOW_SLACK = 0.04  # whole days hold a little more or less; so that the mean is right


@dataclass(frozen=True, slots=True, kw_only=True)
class DueDate:
    """The day of birth: median, and the window that holds it with chance 0.80."""

    median: date
    low: date
    high: date
    first_day: date  # of `chances`
    chances: tuple[float, ...]  # of birth on each day from `first_day`
    because: tuple[str, ...]  # facts used, strongest first

    def chance_by(self, on: date) -> float:
        """Chance that she whelps on or before `on`."""
        last = (on - self.first_day).days + 1
        return float(sum(self.chances[: max(0, last)]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Surge:
    """The day of the LH surge: median, and the days that hold it with chance 0.80."""

    median: date
    low: date
    high: date


@dataclass(frozen=True, slots=True, kw_only=True)
class FactSays:
    """What one fact says on its own about the day of birth."""

    fact: str
    median: date
    low: date
    high: date


def due_date(facts: BreedingFacts, *, model: DueDateModel) -> DueDate:
    """The day of birth from everything known.

    Raises BadInput where the facts contradict each other beyond what the model allows,
    for example an LH day two months after the mating.
    """
    origin = grid_origin(facts, model=model)
    surge, weight, because = surge_weights(facts, origin=origin, model=model)
    # Cell centres lie off the half-days that divide one date from the next.
    birth = np.arange(surge[0] + 45, surge[-1] + 95, STEP) + STEP / 2
    gestation = model.gestation
    lag = birth[:, None] - surge[None, :] - gestation.surge_to_birth_days
    small = chance_of_small_litter(facts, model=model)
    spread = _bell(lag, gestation.surge_to_birth_sd_days)
    if small is not None:
        later = _bell(
            lag - gestation.small_litter_later_days, gestation.surge_to_birth_sd_days
        )
        spread = (1 - small) * spread + small * later
        if small > 0.5:
            because.append("litter size")
    chance = near_term(
        facts,
        spread @ weight,
        birth,
        origin=origin,
        model=model.near_term,
        because=because,
    )
    return _dated(chance / chance.sum(), birth, origin=origin, because=because)


def surge_day(facts: BreedingFacts, *, model: DueDateModel) -> Surge:
    """The day of the LH surge from everything known of the season."""
    origin = grid_origin(facts, model=model)
    surge, weight, _ = surge_weights(facts, origin=origin, model=model)
    first, daily = _daily(weight, surge)
    return Surge(
        median=_day_at(0.5, daily, first, origin),
        low=_day_at((1 - WINDOW_LEVEL) / 2, daily, first, origin),
        high=_day_at((1 + WINDOW_LEVEL) / 2, daily, first, origin),
    )


def each_fact_says(
    facts: BreedingFacts, *, model: DueDateModel
) -> tuple[FactSays, ...]:
    """The due date from each fact about the season alone, in the order of strength.

    A fact that alone says nothing, such as progesterone that has not risen, is left out.
    """
    alone: dict[str, dict[str, Any]] = {
        "LH day": {"lh_on": facts.lh_on},
        "ovulation day": {"ovulation_on": facts.ovulation_on},
        "age on a scan": {"aged": facts.aged},
        "progesterone in season": {"progesterone": facts.progesterone},
        "mating dates": {"matings": facts.matings},
        "start of the season": {"season_on": facts.season_on},
    }
    found = []
    for name, known in alone.items():
        if not any(known.values()):
            continue
        try:
            due = due_date(BreedingFacts(**known), model=model)
        except BadInput:
            continue
        found.append(FactSays(fact=name, median=due.median, low=due.low, high=due.high))
    return tuple(found)


def of_the_season(facts: BreedingFacts) -> BreedingFacts:
    """The facts without what is only known near the end."""
    return replace(facts, temperature_drop=None, not_born_by=None)


def _dated(
    chance: np.ndarray, birth: np.ndarray, *, origin: date, because: Sequence[str]
) -> DueDate:
    first, daily = _daily(chance, birth)
    first_day = origin + timedelta(days=first)
    low, high = _window(daily)
    return DueDate(
        median=_day_at(0.5, daily, first, origin),
        low=first_day + timedelta(days=low),
        high=first_day + timedelta(days=high),
        first_day=first_day,
        chances=tuple(float(x) for x in daily),
        because=tuple(because),
    )


def _window(daily: np.ndarray) -> tuple[int, int]:
    """First and last day of the window around the median, as places in `daily`.

    It grows by the likelier neighbour, the earlier one where both are alike, until it
    holds WINDOW_LEVEL less WINDOW_SLACK. Quantiles rounded outwards to whole days held
    0.81 to 0.90 of simulated births; this holds 0.76 to 0.82, 0.80 on average over the
    eight kinds of facts in benchmarks/litters.
    """
    low = high = int(np.searchsorted(np.cumsum(daily), 0.5))
    held = float(daily[low])
    while held < WINDOW_LEVEL - WINDOW_SLACK:
        before = daily[low - 1] if low > 0 else -1.0
        after = daily[high + 1] if high + 1 < len(daily) else -1.0
        if before >= after - 1e-12:
            low -= 1
            held += float(before)
        else:
            high += 1
            held += float(after)
    return low, high


def _daily(chance: np.ndarray, at: np.ndarray) -> tuple[int, np.ndarray]:
    """First day and the chance of each day: (n_days,) float64."""
    # Published lengths count whole days between two dates, so b = d is noon of day d.
    days = np.floor(at + 0.5).astype(int)
    first = int(days[0])
    return first, np.bincount(days - first, weights=chance)


def _day_at(level: float, daily: np.ndarray, first: int, origin: date) -> date:
    running = np.cumsum(daily)
    return origin + timedelta(days=first + int(np.searchsorted(running, level)))


def _bell(off: np.ndarray, sd: float) -> np.ndarray:
    value: np.ndarray = np.exp(-0.5 * (off / sd) ** 2)
    return value
