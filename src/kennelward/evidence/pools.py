"""Samples of several dogs tested as one, from a large population."""

import math

from kennelward.evidence.group import binomial, check_test
from kennelward.terms import check_range


def group_sensitivity_pooled(
    *,
    pools: float,
    pool_size: int,
    prevalence: float,
    pool_sensitivity: float = 1.0,
    pool_specificity: float = 1.0,
) -> float:
    """1 - [(1 - (1 - P)^k)(1 - PSe) + (1 - P)^k PSp]^r, from a large population.

    With a pool specificity below 1 part of what is found is false.
    Source: Christensen & Gardner 2000, Prev Vet Med 45:83-106.
    """
    check_range("pools", pools, low=0)
    check_range("pool_size", pool_size, low=1)
    check_range("prevalence", prevalence, low=0, high=1)
    check_test(pool_sensitivity, pool_specificity, 1)
    clean = (1 - prevalence) ** pool_size
    silent = (1 - clean) * (1 - pool_sensitivity) + clean * pool_specificity
    return float(1 - silent**pools)


def pools_needed(
    *,
    pool_size: int,
    prevalence: float,
    pool_sensitivity: float = 1.0,
    pool_specificity: float = 1.0,
    confidence: float = 0.95,
) -> float:
    """Pools for a group sensitivity of `confidence`, not rounded; round up to use."""
    check_range("confidence", confidence, low=0.01, high=0.999999)
    one = group_sensitivity_pooled(
        pools=1,
        pool_size=pool_size,
        prevalence=prevalence,
        pool_sensitivity=pool_sensitivity,
        pool_specificity=pool_specificity,
    )
    check_range("detection chance of one pool", one, low=1e-12, high=1)
    return 1.0 if one == 1 else math.log(1 - confidence) / math.log(1 - one)


def herd_pooled(
    *,
    sensitivity: float,
    specificity: float,
    prevalence: float,
    pool_size: int,
    pools: int,
    more_infected_help: bool = False,
) -> tuple[float, float]:
    """Group sensitivity and specificity of `pools` pools of `pool_size` each.

    Pool specificity is Sp^m. Pool sensitivity is Se, or with `more_infected_help` the
    average of 1 - (1 - Se)^j over the infected dogs j in a positive pool.
    Source: Dohoo, Martin & Stryhn, Veterinary Epidemiologic Research, 2014, pp 126-128.
    """
    check_test(sensitivity, specificity, 1)
    pool_sensitivity = sensitivity
    if more_infected_help:
        pool_sensitivity = pool_sensitivity_by_infected(
            sensitivity=sensitivity, prevalence=prevalence, pool_size=pool_size
        )
    pool_specificity = specificity**pool_size
    found = group_sensitivity_pooled(
        pools=pools,
        pool_size=pool_size,
        prevalence=prevalence,
        pool_sensitivity=pool_sensitivity,
        pool_specificity=pool_specificity,
    )
    return found, pool_specificity**pools


def pool_sensitivity_by_infected(
    *, sensitivity: float, prevalence: float, pool_size: int
) -> float:
    """Mean of 1 - (1 - Se)^j over pools that hold at least one infected dog."""
    check_range("prevalence", prevalence, low=1e-12, high=1)
    check_range("pool_size", pool_size, low=1)
    hit = 1 - (1 - prevalence) ** pool_size
    return (
        sum(
            binomial(pool_size, prevalence, j) * (1 - (1 - sensitivity) ** j)
            for j in range(1, pool_size + 1)
        )
        / hit
    )
