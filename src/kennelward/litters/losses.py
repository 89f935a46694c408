"""Is a run of losses bad luck? Litter by litter, against the kennel's own baseline.

Never decides what killed a puppy. An abortion, or two whole litters lost in a year, is a
call to the vet whatever a chance says.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from kennelward.litters.beta_binomial import (
    LitterLoss,
    chance_of_at_least,
    log_kernel,
    total_distribution,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LossModel:
    """Numbers of the alarm; named as in the handbook."""

    chance: float  # published share lost by day 7
    correlation: float  # of littermates
    prior_puppies: float  # weight of the published chance, in effective puppies
    litter_amber: float
    litter_red: float
    year_amber: float
    year_red: float
    year_needs_litters: int
    odds_ratio: float  # the rise that the alarm looks for
    limit: float  # of the litter CUSUM
    year_days: int
    look_back_days: int  # litters older than this are history, not a run
    whole_litters: int
    late_loss_from_days: int  # of pregnancy
    late_loss_to_days: int
    pattern_lost_puppies: int  # of one litter, to count as a sign
    pattern_signs: int  # within a year, to make the pattern
    pregnancy_lost_share: float  # published, of matings that took


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
    year_chance: float | None  # of as many or more lost in the last year
    year_flag: LossFlag
    year_lost: int
    year_born: int
    cusum: tuple[float, ...]  # after each litter, in order of birth
    standing: float  # of the slow alarm now; 0 again after it signalled
    alarm: bool  # signalled in the last year
    whole_litters_lost: int  # in the last year


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


def review(litters: Sequence[DatedLitter], *, on: date, model: LossModel) -> LossReview:
    """Flags and alarm for a kennel's litters up to `on`.

    Each litter is held against the baseline from the litters before it, so that a bad
    litter does not excuse itself. Never flags a single dead puppy. The slow alarm runs
    over the litters of `look_back_days` and starts again from 0 once it has signalled.
    """
    ordered = sorted(
        (x for x in litters if x.born_on <= on), key=lambda x: (x.born_on, x.litter)
    )
    judged = []
    path = []
    total = 0.0
    for number, litter in enumerate(ordered):
        before = [x.loss for x in ordered[:number]]
        chance, _ = baseline(before, model=model)
        tail = chance_of_at_least(
            lost=litter.loss.lost,
            born=litter.loss.born,
            chance=chance,
            correlation=model.correlation,
        )
        judged.append((litter.litter, tail, _litter_flag(litter.loss, tail, model)))
        is_recent = (on - litter.born_on).days <= model.look_back_days
        weight = litter_weight(litter.loss, chance=chance, model=model)
        total = max(0.0, total + weight) if is_recent else 0.0
        path.append(total)
        if total >= model.limit:
            total = 0.0
    chance, own = baseline([x.loss for x in ordered], model=model)
    year = [x for x in ordered if (on - x.born_on).days < model.year_days]
    year_chance, year_flag = _year(year, ordered, on=on, model=model)
    return LossReview(
        baseline=chance,
        effective_puppies=own,
        litters=tuple(judged),
        year_chance=year_chance,
        year_flag=year_flag,
        year_lost=sum(x.loss.lost for x in year),
        year_born=sum(x.loss.born for x in year),
        cusum=tuple(path),
        standing=total,
        alarm=any(s >= model.limit for s in path[-len(year) :]) if year else False,
        whole_litters_lost=sum(x.loss.lost == x.loss.born for x in year),
    )


def losses_to_alarm(
    *, standing: float, born: int, chance: float, model: LossModel
) -> int | None:
    """Puppies lost of a next litter of `born` that would raise the slow alarm.

    `standing`: where the alarm stands now. None where not even the whole litter would.
    """
    for lost in range(1, born + 1):
        loss = LitterLoss(born=born, lost=lost)
        if standing + litter_weight(loss, chance=chance, model=model) >= model.limit:
            return lost
    return None


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
    before = [x.loss for x in ordered if (on - x.born_on).days >= model.year_days]
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
