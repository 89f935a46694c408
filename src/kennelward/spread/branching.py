"""Does one case die out? Branching processes with unequal spread."""

from math import exp, inf, lgamma, log

import numpy as np

from kennelward.terms import check_range


def extinction(
    *, r: float, k: float = inf, individual: float = 0.0, population: float = 0.0
) -> float:
    """Chance that a chain from one case dies out; 0 to 1.

    Negative binomial offspring with mean `r` and dispersion `k` (inf: Poisson).
    `individual`: share of cases that transmit nothing; `population`: factor taken off
    everyone's. Smallest root of s = g(s). Source: Lloyd-Smith JO et al. 2005,
    Nature 438:355-359.
    """
    check_range("r", r, low=0)
    check_range("k", k, low=1e-6)
    check_range("individual control", individual, low=0, high=1)
    check_range("population control", population, low=0, high=1)
    from scipy.optimize import brentq

    held = (1 - population) * r
    if (1 - individual) * held <= 1:
        return 1.0

    def surplus(s: float) -> float:
        return individual + (1 - individual) * _offspring(held, k, s) - s

    return float(brentq(surplus, 0.0, 1 - 1e-9, xtol=1e-14))


def _offspring(r: float, k: float, s: float) -> float:
    """Probability generating function of the offspring at s."""
    if k == inf:
        return exp(-r * (1 - s))
    return float((1 + r * (1 - s) / k) ** -k)


def chain_size(*, largest: int, r: float, k: float = inf, seeds: int = 1) -> np.ndarray:
    """Chance of `seeds`, seeds + 1, ... `largest` cases in all: float64.

    Sources: Nishiura H et al. 2012, J Theor Biol 294:48-55; Blumberg & Lloyd-Smith 2013.
    """
    check_range("r", r, low=1e-9)
    check_range("seeds", seeds, low=1, high=largest)
    sizes = range(seeds, largest + 1)
    if k == inf:
        return np.array(
            [
                seeds
                / j
                * exp(-r * j + (j - seeds) * log(r * j) - lgamma(j - seeds + 1))
                for j in sizes
            ]
        )
    return np.array([exp(_log_size(j, r, k, seeds)) for j in sizes])


def _log_size(j: int, r: float, k: float, n: int) -> float:
    return (
        log(n / j)
        + lgamma(k * j + j - n)
        - lgamma(k * j)
        - lgamma(j - n + 1)
        + (j - n) * log(r / k)
        - (k * j + j - n) * log(1 + r / k)
    )


def top_share(*, k: float, of_cases: float = 0.2) -> float:
    """Share of transmission from the `of_cases` share of cases that spread most.

    Individual reproductive numbers are Gamma(k). Source: Lloyd-Smith 2005.
    """
    from scipy.stats import gamma

    cut = gamma.isf(of_cases, k)
    return float(gamma.sf(cut, k + 1))


def smallest_share(*, r: float, k: float, of_transmission: float = 0.8) -> float:
    """Smallest share of cases that makes `of_transmission` of secondary cases.

    Discrete negative binomial, interpolated within the boundary class.
    Source: Endo A et al. 2020, Wellcome Open Res 5:67.
    """
    from scipy.stats import nbinom

    left = of_transmission * r
    cases = 0.0
    most = int(nbinom.isf(1e-15, k, k / (k + r))) + 1
    for number in range(most, 0, -1):
        share = float(nbinom.pmf(number, k, k / (k + r)))
        if number * share >= left:
            return cases + left / number
        left -= number * share
        cases += share
    return cases


def birth_death_extinct(*, infect: float, remove: float, t: float) -> float:
    """Chance that one infected has left none by time t (linear birth-death process).

    Source: Kendall DG 1948; Bailey NTJ 1964.
    """
    if infect == remove:
        return infect * t / (1 + infect * t)
    growth = exp((infect - remove) * t)
    return remove * (growth - 1) / (infect * growth - remove)


def mean_extinction_time(*, infect: float, remove: float) -> float:
    """Mean time to extinction from one infected, where infect < remove."""
    check_range("infect", infect, low=1e-12, high=remove * (1 - 1e-12))
    return log(remove / (remove - infect)) / infect
