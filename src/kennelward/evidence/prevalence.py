"""True prevalence from apparent: what a share of positives means.

An estimate outside 0 to 1 is shown as such and flagged, never silently cut off: it
says that the test's figures do not fit these dogs.
"""

from dataclasses import dataclass, replace

import numpy as np

from kennelward.evidence.accuracy import BetaChance
from kennelward.evidence.draws import LatticeDraws, interval_of
from kennelward.evidence.proportions import (
    Estimate,
    Method,
    normal_quantile,
    proportion_ci,
)
from kennelward.terms import Interval, OutOfRange, Phrase, check_range

CHUNK = 50  # prevalences at a time, so that a table stays small in memory


@dataclass(frozen=True, slots=True, kw_only=True)
class TruePrevalence:
    """Apparent and true prevalence with limits."""

    apparent: Estimate
    true: Estimate  # as the formula gives it, may leave 0 to 1
    clipped: Estimate  # the same held within 0 to 1
    is_outside: bool  # the point estimate left 0 to 1
    caution: Phrase | None


def rogan_gladen(apparent: float, *, sensitivity: float, specificity: float) -> float:
    """(AP + Sp - 1) / (Se + Sp - 1), not clipped.

    Raises OutOfRange where sensitivity + specificity is not more than 1.
    Source: Rogan & Gladen 1978, Am J Epidemiol 107:71-76.
    """
    check_range("apparent", apparent, low=0, high=1)
    youden = _youden(sensitivity, specificity)
    return (apparent + specificity - 1) / youden


def true_prevalence(
    positive: int,
    tested: int,
    *,
    sensitivity: float,
    specificity: float,
    method: Method = "blaker",
    confidence: float = 0.95,
) -> TruePrevalence:
    """True prevalence where the test's figures are exactly known.

    The limits of the apparent prevalence are carried through Rogan and Gladen.
    Source: Reiczigel, Foldi & Ozsvari 2010, Epidemiol Infect 138:1674-1678.
    """
    apparent = proportion_ci(positive, tested, method=method, confidence=confidence)
    value, low, high = (
        rogan_gladen(share, sensitivity=sensitivity, specificity=specificity)
        for share in (apparent.value, apparent.low, apparent.high)
    )
    return _told(apparent, value, low, high)


def pooled_prevalence(
    positive_pools: int,
    pools: int,
    *,
    pool_size: int,
    pool_sensitivity: float = 1.0,
    pool_specificity: float = 1.0,
    method: Method = "clopper_pearson",
    confidence: float = 0.95,
) -> TruePrevalence:
    """Prevalence among dogs from pools of `pool_size` samples each.

    1 - (1 - T)^(1/k), T the Rogan-Gladen share of pools that hold an infected dog,
    with the limits carried through. The pool's sensitivity is one number, however many
    in it are infected. Shares of pools that do not fit the figures are held to 0 or 1
    first, and flagged.
    Source: Cowling, Gardner & Johnson 1999, Prev Vet Med 39:211-225.
    """
    check_range("pool_size", pool_size, low=1)
    by_pool = true_prevalence(
        positive_pools,
        pools,
        sensitivity=pool_sensitivity,
        specificity=pool_specificity,
        method=method,
        confidence=confidence,
    )
    held = by_pool.clipped
    value, low, high = (
        1 - (1 - share) ** (1 / pool_size)
        for share in (held.value, held.low, held.high)
    )
    found = Estimate(value=value, low=low, high=high, confidence=confidence)
    return replace(by_pool, true=found, clipped=found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """A figure known from `successes` of `trials`."""

    successes: int
    trials: int

    def __post_init__(self) -> None:
        check_range("trials", self.trials, low=1)
        check_range("successes", self.successes, low=0, high=self.trials)


def true_prevalence_counted(
    positive: int,
    tested: int,
    *,
    sensitivity: Counted,
    specificity: Counted,
    confidence: float = 0.95,
) -> TruePrevalence:
    """True prevalence where the test's figures come from counts of their own.

    Limits by Lang and Reiczigel; the point estimate is Rogan and Gladen's.
    Source: Lang & Reiczigel 2014, Prev Vet Med 113:13-22.
    """
    apparent = proportion_ci(positive, tested, method="wilson", confidence=confidence)
    point = rogan_gladen(
        apparent.value,
        sensitivity=sensitivity.successes / sensitivity.trials,
        specificity=specificity.successes / specificity.trials,
    )
    z = normal_quantile((1 + confidence) / 2)
    n = tested + z * z
    share = (positive + z * z / 2) / n
    n1, n2 = sensitivity.trials + 2, specificity.trials + 2
    se, sp = (sensitivity.successes + 1) / n1, (specificity.successes + 1) / n2
    youden = _youden(se, sp)
    centre = (share + sp - 1) / youden
    spread_se, spread_sp = se * (1 - se) / n1, sp * (1 - sp) / n2
    variance = share * (1 - share) / n
    variance += centre**2 * spread_se + (1 - centre) ** 2 * spread_sp
    half = z * variance**0.5 / youden
    shift = 2 * z * z * (centre * spread_se - (1 - centre) * spread_sp)
    return _told(apparent, point, centre + shift - half, centre + shift + half)


def prevalence_posterior(
    positive: int,
    tested: int,
    *,
    sensitivity: BetaChance,
    specificity: BetaChance,
    prior: BetaChance,
    level: float = 0.90,
) -> Interval:
    """Median and interval of the true prevalence, every figure uncertain; 0 to 1.

    The likelihood is integrated over sensitivity and specificity on the fixed lattice
    and over prevalence on a grid of 2 000 equally likely prior quantiles.
    """
    from scipy.special import betaincinv

    check_range("tested", tested, low=1)
    check_range("positive", positive, low=0, high=tested)
    lattice = LatticeDraws()
    se, sp = lattice.beta(sensitivity), lattice.beta(specificity)
    shares = (np.arange(2_000) + 0.5) / 2_000
    if prior.is_exact:
        raise OutOfRange("prior must leave room to learn; allowed is any Beta")
    grid = betaincinv(prior.a, prior.b, shares)
    log_seen = np.empty(len(grid))
    for start in range(0, len(grid), CHUNK):
        some = grid[start : start + CHUNK, None]
        chance = np.clip(some * se + (1 - some) * (1 - sp), 1e-300, 1 - 1e-16)
        terms = positive * np.log(chance) + (tested - positive) * np.log1p(-chance)
        top = terms.max(axis=1, keepdims=True)
        summed = np.log(np.exp(terms - top).sum(axis=1))
        log_seen[start : start + CHUNK] = top[:, 0] + summed
    weight = np.exp(log_seen - log_seen.max())
    cumulative = np.cumsum(weight) / weight.sum()
    tail = (1 - level) / 2
    low, median, high = (
        float(np.interp(at, cumulative, grid)) for at in (tail, 0.5, 1 - tail)
    )
    return Interval(low=low, median=median, high=high, level=level)


def predictive_value_spread(
    prevalence: BetaChance, *, sensitivity: BetaChance, specificity: BetaChance
) -> tuple[Interval, float, float]:
    """The positive predictive value three ways: spread, its mean, and for the next dog.

    The first is the 90 % interval and median of the value itself; the second its
    mean; the third Bayes at the means, which is the chance for the next positive dog.
    Published tables mix these up.
    """
    lattice = LatticeDraws()
    share, se, sp = (lattice.beta(c) for c in (prevalence, sensitivity, specificity))
    true, false = share * se, (1 - share) * (1 - sp)
    value = true / (true + false)
    mean_true = prevalence.mean * sensitivity.mean
    mean_false = (1 - prevalence.mean) * (1 - specificity.mean)
    return interval_of(value), float(value.mean()), mean_true / (mean_true + mean_false)


def _youden(sensitivity: float, specificity: float) -> float:
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("specificity", specificity, low=0, high=1)
    youden = sensitivity + specificity - 1
    if youden <= 1e-12:
        raise OutOfRange(
            "sensitivity + specificity must be more than 1, or positives say nothing; "
            f"got {sensitivity:g} + {specificity:g}"
        )
    return youden


def _told(apparent: Estimate, value: float, low: float, high: float) -> TruePrevalence:
    is_outside = not 0 <= value <= 1
    caution = None
    if is_outside:
        caution = Phrase(
            "The share of positives does not fit the test's figures: the formula gives "
            "{value} in 100. Fewer positives than false alarms alone would give, or a "
            "test that does better or worse on these dogs.",
            {"value": f"{100 * value:.1f}"},
        )

    def held(x: float) -> float:
        return min(1.0, max(0.0, x))

    kept = apparent.confidence
    return TruePrevalence(
        apparent=apparent,
        true=Estimate(value=value, low=low, high=high, confidence=kept),
        clipped=Estimate(
            value=held(value), low=held(low), high=held(high), confidence=kept
        ),
        is_outside=is_outside,
        caution=caution,
    )
