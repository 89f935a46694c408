"""Is a run of losses bad luck? Litter by litter, against the kennel's own baseline.

Never decides what killed a puppy. An abortion, or two whole litters lost in a year, is a
call to the vet whatever a chance says.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from math import exp, log

import numpy as np

from kennelward.litters.beta_binomial import (
    LitterLoss,
    chance_of_at_least,
    log_kernel,
    loss_distribution,
    total_distribution,
)
from kennelward.terms import check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class LossModel:
    """Numbers of the alarm; the handbook holds each with its source."""

    chance: float = 0.08  # Tonnessen 2012, stillborn or dead by day 7
    correlation: float = 0.20  # back-calculated from four datasets, range 0.10-0.30
    prior_puppies: float = 40.0  # weight of the published chance, in effective puppies
    litter_amber: float = 0.10
    litter_red: float = 0.02
    year_amber: float = 0.05
    year_red: float = 0.01
    year_needs_litters: int = 3
    odds_ratio: float = 2.0
    limit: float = 1.5  # of the litter CUSUM: about 53 litters in control


class LossFlag(StrEnum):
    """How unusual."""

    NONE = "none"
    AMBER = "amber"
    RED = "red"


@dataclass(frozen=True, slots=True, kw_only=True)
class DatedLitter:
    """One litter's losses, with its day of birth."""

    litter: str
    born_on: date
    loss: LitterLoss


@dataclass(frozen=True, slots=True, kw_only=True)
class LossReview:
    """What the kennel's litters say together."""

    baseline: float  # chance of loss a puppy, published shrunk to the kennel's own
    effective_puppies: float  # what the kennel's own record weighs
    litters: tuple[
        tuple[str, float, LossFlag], ...
    ]  # id, chance of as many or more, flag
    year_chance: float | None  # of as many or more lost in the last 365 days
    year_flag: LossFlag
    cusum: tuple[float, ...]  # after each litter, in order of birth
    alarm: bool
    whole_litters_lost: int  # in the last 365 days


def baseline(litters: Sequence[LitterLoss], *, model: LossModel) -> tuple[float, float]:
    """Chance of loss a puppy, and the effective puppies of the kennel's own record.

    Beta prior with the published mean and `prior_puppies`; each litter of n counts as
    n / (1 + (n - 1) rho) puppies, because littermates share their fate.
    """
    own = lost = 0.0
    for litter in litters:
        effective = litter.born / (1 + (litter.born - 1) * model.correlation)
        own += effective
        lost += effective * litter.lost / litter.born
    total = model.prior_puppies + own
    return (model.chance * model.prior_puppies + lost) / total, own


def litter_weight(litter: LitterLoss, *, chance: float, model: LossModel) -> float:
    """Log likelihood ratio of raised odds against the baseline, for one litter."""
    odds = chance / (1 - chance) * model.odds_ratio
    raised = odds / (1 + odds)
    return _log_kernel(litter, raised, model) - _log_kernel(litter, chance, model)


def _log_kernel(litter: LitterLoss, chance: float, model: LossModel) -> float:
    return log_kernel(
        born=litter.born, lost=litter.lost, chance=chance, correlation=model.correlation
    )


def litter_cusum(
    litters: Sequence[LitterLoss], *, chance: float, model: LossModel
) -> tuple[float, ...]:
    """S = max(0, S + weight) after each litter; an alarm is S >= `model.limit`.

    Source: Page 1954, with the litter as the unit; weights after Steiner 2000.
    """
    total = 0.0
    path = []
    for litter in litters:
        total = max(0.0, total + litter_weight(litter, chance=chance, model=model))
        path.append(total)
    return tuple(path)


def naive_cusum(
    litters: Sequence[LitterLoss], *, chance: float, odds_ratio: float
) -> tuple[float, ...]:
    """The same, wrongly taking puppies for independent. Kept to show how it fails."""
    dead = log(odds_ratio / (1 - chance + odds_ratio * chance))
    alive = log(1 / (1 - chance + odds_ratio * chance))
    total = 0.0
    path = []
    for litter in litters:
        total = max(
            0.0, total + litter.lost * dead + (litter.born - litter.lost) * alive
        )
        path.append(total)
    return tuple(path)


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmDelay:
    """How long the litter alarm runs, in litters and in this kennel's years."""

    false_alarm_litters: float  # average litters until a false alarm
    detection_litters: float  # average litters until it signals at raised odds
    false_alarm_years: float
    detection_years: float


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
    lengths = [
        _chain_length(sizes, at=at, chance=chance, model=model, steps=steps)
        for at in (chance, raised)
    ]
    return AlarmDelay(
        false_alarm_litters=lengths[0],
        detection_litters=lengths[1],
        false_alarm_years=lengths[0] / litters_a_year,
        detection_years=lengths[1] / litters_a_year,
    )


def _chain_length(
    sizes: Sequence[int], *, at: float, chance: float, model: LossModel, steps: int
) -> float:
    """Average litters to a signal when the true chance of loss is `at`."""
    width = model.limit / steps
    # Cell 0 is S = 0 exactly; cell i holds S around (i - 0.5) width.
    values = np.concatenate(([0.0], (np.arange(steps) + 0.5) * width))
    move = np.zeros((steps + 1, steps + 1))
    for born in sizes:
        chances = loss_distribution(born=born, chance=at, correlation=model.correlation)
        for lost, share in enumerate(chances.tolist()):
            weight = litter_weight(
                LitterLoss(born=born, lost=lost), chance=chance, model=model
            )
            to = values + weight
            stays = to < model.limit
            cell = np.where(to <= 0, 0, np.floor(to / width).astype(int) + 1)
            np.add.at(move, (np.flatnonzero(stays), cell[stays]), share / len(sizes))
    lengths = np.linalg.solve(np.eye(steps + 1) - move, np.ones(steps + 1))
    return float(lengths[0])


def review(
    litters: Sequence[DatedLitter], *, on: date, model: LossModel | None = None
) -> LossReview:
    """Flags and alarm for a kennel's litters up to `on`.

    Each litter is held against the baseline from the litters before it, so that a bad
    litter does not excuse itself. Never flags a single dead puppy.
    """
    held = model or LossModel()
    ordered = sorted(
        (x for x in litters if x.born_on <= on), key=lambda x: (x.born_on, x.litter)
    )
    judged = []
    path = []
    total = 0.0
    for number, litter in enumerate(ordered):
        before = [x.loss for x in ordered[:number]]
        chance, _ = baseline(before, model=held)
        tail = chance_of_at_least(
            lost=litter.loss.lost,
            born=litter.loss.born,
            chance=chance,
            correlation=held.correlation,
        )
        judged.append((litter.litter, tail, _litter_flag(litter.loss, tail, held)))
        total = max(0.0, total + litter_weight(litter.loss, chance=chance, model=held))
        path.append(total)
    chance, own = baseline([x.loss for x in ordered], model=held)
    year = [x for x in ordered if x.born_on > on - timedelta(days=365)]
    year_chance, year_flag = _year(year, ordered, on=on, model=held)
    return LossReview(
        baseline=chance,
        effective_puppies=own,
        litters=tuple(judged),
        year_chance=year_chance,
        year_flag=year_flag,
        cusum=tuple(path),
        alarm=any(s >= held.limit for s in path[-len(year) :]) if year else False,
        whole_litters_lost=sum(x.loss.lost == x.loss.born for x in year),
    )


def _litter_flag(loss: LitterLoss, tail: float, model: LossModel) -> LossFlag:
    if loss.lost <= 1:
        return LossFlag.NONE
    if tail <= model.litter_red:
        return LossFlag.RED
    return LossFlag.AMBER if tail <= model.litter_amber else LossFlag.NONE


def _year(
    year: Sequence[DatedLitter],
    ordered: Sequence[DatedLitter],
    *,
    on: date,
    model: LossModel,
) -> tuple[float | None, LossFlag]:
    if len(year) < model.year_needs_litters:
        return None, LossFlag.NONE
    before = [x.loss for x in ordered if x.born_on <= on - timedelta(days=365)]
    chance, _ = baseline(before, model=model)
    sizes = [x.loss.born for x in year]
    lost = sum(x.loss.lost for x in year)
    total = total_distribution(
        litters=sizes, chance=chance, correlation=model.correlation
    )
    tail = float(total[lost:].sum())
    if lost <= 1 or tail > model.year_amber:
        return tail, LossFlag.NONE
    return tail, LossFlag.RED if tail <= model.year_red else LossFlag.AMBER


@dataclass(frozen=True, slots=True, kw_only=True)
class ParentLoss:
    """One dam's or sire's loss beside the kennel's, shrunk towards it."""

    parent: str
    litters: int
    raw: float  # lost / born
    shrunk: float  # posterior mean
    low: float  # 90 % interval
    high: float
    chance_worse: float  # that the parent's own chance exceeds the kennel's


def compare_parents(
    litters: Sequence[tuple[str, LitterLoss]], *, kennel: float, model: LossModel
) -> tuple[ParentLoss, ...]:
    """Each parent's loss, shrunk to the kennel's `kennel` chance; worst first.

    Prior weight `prior_puppies` / 2 on effective puppies: a dam with one bad litter
    stays near the kennel.
    """
    from scipy.stats import beta

    by_parent: dict[str, list[LitterLoss]] = {}
    for parent, loss in litters:
        by_parent.setdefault(parent, []).append(loss)
    weight = model.prior_puppies / 2
    found = []
    for parent, losses in by_parent.items():
        own = lost = 0.0
        for x in losses:
            effective = x.born / (1 + (x.born - 1) * model.correlation)
            own += effective
            lost += effective * x.lost / x.born
        a, b = kennel * weight + lost, (1 - kennel) * weight + own - lost
        low, high = beta.ppf((0.05, 0.95), a, b)
        found.append(
            ParentLoss(
                parent=parent,
                litters=len(losses),
                raw=sum(x.lost for x in losses) / sum(x.born for x in losses),
                shrunk=a / (a + b),
                low=float(low),
                high=float(high),
                chance_worse=float(beta.sf(kennel, a, b)),
            )
        )
    return tuple(sorted(found, key=lambda x: (-x.shrunk, x.parent)))


def scan_chance(*, deaths: int, at_least: int, window_share: float) -> float:
    """Chance that some window of `window_share` of the period holds `at_least` deaths.

    Deaths scattered evenly. Exact for at_least > deaths / 2; above 1 is cut to 1.
    Source: Naus JI 1965, J American Statistical Association 60:532-538.
    """
    check_range("at least", at_least, low=2, high=deaths)
    check_range("window share", window_share, low=1e-6, high=0.5)

    def b(k: int) -> float:
        from math import comb

        log_value = k * log(window_share) + (deaths - k) * log(1 - window_share)
        return comb(deaths, k) * exp(log_value)

    first = (at_least / window_share - deaths - 1) * b(at_least)
    return min(1.0, first + 2 * sum(b(k) for k in range(at_least, deaths + 1)))
