"""Dams and sires beside their kennel: losses shrunk, so that one bad litter is no verdict."""

from collections.abc import Sequence
from dataclasses import dataclass

from kennelward.litters.beta_binomial import LitterLoss
from kennelward.litters.losses import LossModel


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
