"""Deaths in litters: puppies of one litter share their fate more than chance would have it.

A litter of `n` loses `x` puppies with the beta-binomial distribution of mean loss
`chance` and intra-litter correlation `correlation` (rho):
a = chance (1 - rho) / rho, b = (1 - chance)(1 - rho) / rho.
At rho = 0 it is the binomial. Source: Williams DA 1975, Biometrics 31:949-952.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb, exp, inf, lgamma, log

import numpy as np

from kennelward.terms import BadInput, check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class LitterLoss:
    """One litter: how many puppies, and how many of them were lost."""

    born: int
    lost: int

    def __post_init__(self) -> None:
        check_range("born", self.born, low=1, high=30)
        check_range("lost", self.lost, low=0, high=self.born)


@dataclass(frozen=True, slots=True, kw_only=True)
class LossFit:
    """Maximum-likelihood mean loss and correlation of a set of litters."""

    chance: float  # 0 to 1
    correlation: float  # 0 to 1
    log_likelihood: float  # with the binomial coefficients left out


def _log_beta(a: float, b: float) -> float:
    return lgamma(a) + lgamma(b) - lgamma(a + b)


def log_kernel(*, born: int, lost: int, chance: float, correlation: float) -> float:
    """Log chance of `lost` of `born`, without the binomial coefficient."""
    if correlation == 0:
        dead = lost * log(chance) if lost else 0.0
        alive = (born - lost) * log(1 - chance) if born > lost else 0.0
        return dead + alive
    size = (1 - correlation) / correlation
    a, b = chance * size, (1 - chance) * size
    return _log_beta(a + lost, b + born - lost) - _log_beta(a, b)


def loss_distribution(*, born: int, chance: float, correlation: float) -> np.ndarray:
    """Chance of 0, 1, ... `born` lost: (born + 1,) float64, sums to 1.

    Raises OutOfRange for a chance not strictly between 0 and 1, or a correlation
    outside 0 to below 1.
    """
    check_range("born", born, low=0, high=60)
    check_range("chance of loss", chance, low=1e-9, high=1 - 1e-9)
    check_range("correlation", correlation, low=0, high=0.999)
    return np.array(
        [
            comb(born, x)
            * exp(log_kernel(born=born, lost=x, chance=chance, correlation=correlation))
            for x in range(born + 1)
        ]
    )


def chance_of_at_least(
    *, lost: int, born: int, chance: float, correlation: float
) -> float:
    """Chance that a litter of `born` loses `lost` or more."""
    check_range("lost", lost, low=0, high=born)
    found = loss_distribution(born=born, chance=chance, correlation=correlation)
    return min(1.0, float(found[lost:].sum()))


def total_distribution(
    *, litters: Sequence[int], chance: float, correlation: float
) -> np.ndarray:
    """Chance of each total lost over several litters of the given sizes.

    (total born + 1,) float64: the convolution of the litters' distributions.
    """
    total = np.ones(1)
    for born in litters:
        total = np.convolve(
            total, loss_distribution(born=born, chance=chance, correlation=correlation)
        )
    return total


def fit(litters: Sequence[LitterLoss]) -> LossFit:
    """Mean loss and correlation by maximum likelihood.

    Raises BadInput for fewer than two litters, or where none or all puppies were lost:
    then the correlation cannot be told.
    """
    lost, born = sum(x.lost for x in litters), sum(x.born for x in litters)
    if len(litters) < 2 or lost in (0, born):
        raise BadInput(
            "a fit needs two litters or more, with some puppies lost and some not; "
            f"got {len(litters)} litters, {lost} of {born} lost"
        )
    from scipy.optimize import minimize

    def minus(parameters: np.ndarray) -> float:
        chance, correlation = 1 / (1 + np.exp(-parameters))
        if not (1e-9 < chance < 1 - 1e-9):
            return inf
        return -sum(
            log_kernel(
                born=x.born,
                lost=x.lost,
                chance=float(chance),
                correlation=max(float(correlation), 1e-9),
            )
            for x in litters
        )

    start = lost / born
    found = min(
        (
            minimize(
                minus,
                np.array([log(start / (1 - start)), first]),
                method="Nelder-Mead",
                options={"xatol": 1e-10, "fatol": 1e-12, "maxiter": 5000},
            )
            for first in (-4.0, -1.0)
        ),
        key=lambda result: float(result.fun),
    )
    chance, correlation = 1 / (1 + np.exp(-found.x))
    return LossFit(
        chance=float(chance),
        correlation=float(correlation),
        log_likelihood=-float(found.fun),
    )
