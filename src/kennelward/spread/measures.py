"""What counts in a run, and what many runs say: means, their error, worlds, tails."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from math import sqrt

import numpy as np

from kennelward.spread.model import Outcome
from kennelward.spread.policies import Prices
from kennelward.terms import BadInput

COLUMNS = tuple(field.name for field in fields(Outcome) if field.name != "spent")
OUTBREAK_CASES = 3  # further cases from which we speak of an outbreak
MEASURES = (
    "outbreak",  # 1 where there were 3 or more further cases
    "cases",  # dogs infected here
    "sick_days",  # dog-days ill
    "apart_days",  # dog-days in quarantine or isolation
    "litters",  # litters hit
    "deaths",
    "tests",
    "cost",  # from the user's prices
    "closed_days",  # on which anything was closed that usually is not
    "visits",  # visiting dogs that came in
    "refused",  # dogs that could not come, or were positive before
    "vaccinated",
    "treated",
)
TAILS = (0.05, 0.95)
NINETY = 1.645  # standard errors either side of a mean


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One measure over all runs.

    `error` is the standard error from luck alone: more runs make it smaller. `low` and
    `high` hold 90 % of the worlds' means: what we do not know, which no number of runs
    makes smaller. They are never closer to the mean than luck alone allows, and for a
    chance never closer than counting so many runs does.
    """

    mean: float
    error: float
    low: float
    high: float

    @property
    def is_beyond_luck(self) -> bool:
        """True where the mean differs from 0 by more than 3 standard errors."""
        return abs(self.mean) > 3 * self.error


@dataclass(frozen=True, slots=True, kw_only=True)
class Tail:
    """A measure's spread over single runs."""

    median: float
    high: float  # 90 of 100 runs stay at or below
    mean: float = 0.0


def measured(
    rows: np.ndarray, *, prices: Prices, keys: Sequence[str] = ()
) -> np.ndarray:
    """(..., len(COLUMNS) + rules) outcomes as (..., len(MEASURES)) measures.

    `keys`: of each rule, the price that what it took costs; see `costs`.
    """
    if rows.shape[-1] < len(COLUMNS):
        raise BadInput(f"a run has {len(COLUMNS)} columns, got {rows.shape[-1]}")
    at = {name: rows[..., number] for number, name in enumerate(COLUMNS)}
    cost = np.zeros(rows.shape[:-1])
    for part in costs(rows, prices=prices, keys=keys).values():
        cost = cost + part
    made = {**at, "cost": cost, "outbreak": at["cases"] >= OUTBREAK_CASES}
    return np.stack([made[name].astype(np.float64) for name in MEASURES], axis=-1)


def costs(
    rows: np.ndarray, *, prices: Prices, keys: Sequence[str] = ()
) -> Mapping[str, np.ndarray]:
    """{price: (...) what it cost}, of every price that was said.

    Each rule's own column counts at its own price. Where rows hold none, tests and days
    apart count at the usual ones.
    """
    at = {name: rows[..., number] for number, name in enumerate(COLUMNS)}
    found = {"sick_day": at["sick_days"], "litter": at["litters"]}
    found["refused"] = at["refused"]
    if rows.shape[-1] == len(COLUMNS):
        found |= {"test": at["tests"], "apart_day": at["apart_days"]}
    for number, key in enumerate(keys[: rows.shape[-1] - len(COLUMNS)]):
        if key:
            found[key] = found.get(key, 0) + rows[..., len(COLUMNS) + number]
    return {
        key: np.asarray(count * getattr(prices, key), dtype=np.float64)
        for key, count in sorted(found.items())
        if getattr(prices, key) > 0
    }


def figure(by_world: np.ndarray, *, is_chance: bool = False) -> Figure:
    """A measure of (worlds, runs) as a figure; `is_chance`: of zeros and ones.

    The worlds' means hold luck beside knowledge; they are drawn towards the common mean
    until only the spread between worlds is left (method of moments, as for a random
    effect), so that few runs a world do not pass for ignorance.
    """
    worlds, runs = by_world.shape
    means = by_world.mean(axis=1)
    mean = float(means.mean())
    within = float(by_world.var(axis=1, ddof=1).mean()) if runs > 1 else 0.0
    error = sqrt(within / (runs * worlds))
    low = high = mean
    if worlds > 1:
        total = float(means.var(ddof=1))
        between = max(0.0, total - within / runs)
        shrink = sqrt(between / total) if total > 0 else 0.0
        low, high = np.quantile(mean + shrink * (means - mean), TAILS).tolist()
    low, high = min(low, mean - NINETY * error), max(high, mean + NINETY * error)
    if is_chance:
        counted = _counted(mean, runs * worlds)
        low, high = max(0.0, min(low, counted[0])), min(1.0, max(high, counted[1]))
    elif by_world.min() >= 0:
        low = max(low, 0.0)
    return Figure(mean=mean, error=error, low=low, high=high)


def _counted(share: float, runs: int) -> tuple[float, float]:
    """90 % range of a share seen in so many runs (Jeffreys): 0 of 20 is not "never"."""
    from scipy.special import betaincinv

    hits = share * runs
    low, high = (
        float(betaincinv(hits + 0.5, runs - hits + 0.5, tail)) for tail in TAILS
    )
    return (0.0 if hits == 0 else low), (1.0 if hits == runs else high)


def figures(runs: np.ndarray, *, is_difference: bool = False) -> Mapping[str, Figure]:
    """Every measure of (worlds, runs, len(MEASURES)), or of their differences."""
    return {
        name: figure(
            runs[:, :, number], is_chance=name == "outbreak" and not is_difference
        )
        for number, name in enumerate(MEASURES)
    }


def tail(by_world: np.ndarray) -> Tail:
    """Median and 90 % point over single runs of all worlds."""
    median, high = np.quantile(by_world, (0.5, 0.9), method="inverted_cdf").tolist()
    return Tail(median=median, high=high, mean=float(by_world.mean()))


def worlds_below(one: np.ndarray, other: np.ndarray) -> tuple[float, float]:
    """Shares of worlds in which `one`'s mean is below, and above, `other`'s.

    Both (worlds, runs), paired. Worlds without a difference are in neither share.
    """
    by_world = (one - other).mean(axis=1)
    return float((by_world < 0).mean()), float((by_world > 0).mean())


def fan(weekly: np.ndarray) -> Sequence[tuple[float, float, float]]:
    """(runs, weeks) of new cases as (median, 75 %, 95 %) of the sum up to each week."""
    summed = np.cumsum(weekly, axis=1)
    points = np.quantile(summed, (0.5, 0.75, 0.95), axis=0, method="inverted_cdf")
    return [tuple(week) for week in points.T.tolist()]
