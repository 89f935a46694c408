"""Limit of blank and limit of detection, as laboratories state them.

Used on the contrasts that the reader measures on strips without and with a line: what
blank membrane does at most 95 times in 100, and which line rises above it as often.
Source: CLSI EP17-A2 (2012); Armbruster, Pry 2008, Clin Biochem Rev 29 Suppl 1:S49-S52.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kennelward.terms import BadInput, check_range

_Z95 = 1.645  # as the guideline prints it


def limit_of_blank(blanks: Sequence[float]) -> float:
    """The 95th percentile of blank results, by rank 0.5 + 0.95 n between two results.

    Raises BadInput below 20 results, of which none stands for the twentieth.
    """
    if len(blanks) < 20:
        raise BadInput(f"a limit of blank needs 20 blanks or more, got {len(blanks)}")
    ordered = sorted(float(value) for value in blanks)
    rank = 0.5 + 0.95 * len(ordered)
    low = min(int(rank), len(ordered))
    high = min(low + 1, len(ordered))
    share = rank - int(rank)
    return ordered[low - 1] * (1 - share) + ordered[high - 1] * share


def limit_of_blank_normal(
    *, mean: float, sd: float, results: int, samples: int
) -> float:
    """The same for blanks that are normally spread: mean + c sd."""
    return mean + _corrected(results - samples) * sd


def limit_of_detection(
    *, blank: float, sds: Sequence[float], results_each: Sequence[int]
) -> float:
    """Least amount found 95 times in 100: `blank` + c x pooled sd of low samples.

    `sds` and `results_each` are for each low sample its sd and number of results.
    """
    if len(sds) != len(results_each) or not sds:
        raise BadInput("one sd and one number of results for each low sample")
    for count in results_each:
        check_range("results of a sample", count, low=2)
    free = sum(count - 1 for count in results_each)
    squares = sum(
        (count - 1) * sd**2 for sd, count in zip(sds, results_each, strict=True)
    )
    total = sum(results_each)
    return blank + _corrected(total - len(sds)) * math.sqrt(squares / free)


def _corrected(free: int) -> float:
    """1.645, made a little larger because an sd from few results is too small."""
    check_range("results beyond the number of samples", free, low=1)
    return _Z95 / (1 - 1 / (4 * free))


@dataclass(frozen=True, slots=True, kw_only=True)
class CountingLimits:
    """Currie's three limits, in counts above the blank."""

    critical: float  # above it something is there
    detection: float  # what is there is found as often as the factor says
    quantification: float  # from here on its relative sd is 10 %


def currie_limits(background: float, *, factor: float = _Z95) -> CountingLimits:
    """Limits of a count against a blank counted as long, `background` counts in mean.

    `factor`: normal quantile of both errors; 1.645 is 5 %. For counts only (a sensor's
    electrons, colonies on a plate); no call uses it, since a strip's membrane and not
    the count of photons sets what a photo can show.
    Source: Currie 1968, Anal Chem 40(3):586-593 (his 2.33 and 2.71 + 4.65 roots).
    """
    check_range("background", background, low=0)
    check_range("factor", factor, low=0.1, high=10)
    critical = factor * math.sqrt(2 * background)
    return CountingLimits(
        critical=critical,
        detection=factor**2 + 2 * critical,
        quantification=50 * (1 + math.sqrt(1 + background / 12.5)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreeSigma:
    """The limit at three standard deviations of the blank."""

    mean: float  # of the blanks, in units of the signal
    sd: float
    signal: float  # mean + 3 sd
    amount: float  # 3 sd over the slope


def three_sigma_limit(blanks: Sequence[float], *, slope: float) -> ThreeSigma:
    """Least signal, and amount, that is three sd of `blanks` above their mean.

    `slope`: signal to one unit of amount. Printed beside the rank's limit in the
    benchmark of simulated scenes: it takes blanks for normally spread, and what it
    differs by says how far they are from that.
    Raises BadInput below two blanks or for a slope that does not rise.
    Source: IUPAC 1976, Pure Appl Chem 45:99-103 (pages from memory), k = 3.
    """
    if len(blanks) < 2:
        raise BadInput(f"an sd needs 2 blanks or more, got {len(blanks)}")
    if not 0 < slope < math.inf:
        raise BadInput(f"the slope must be above 0, got {slope}")
    mean, sd = float(np.mean(blanks)), float(np.std(blanks, ddof=1))
    return ThreeSigma(mean=mean, sd=sd, signal=mean + 3 * sd, amount=3 * sd / slope)


@dataclass(frozen=True, slots=True, kw_only=True)
class Probit:
    """Chance found = normal(intercept + slope x log10 of the amount)."""

    intercept: float
    slope: float

    def found_at(self, share: float = 0.95) -> float:
        """The amount that is found with chance `share`."""
        from scipy.special import ndtri

        check_range("share", share, low=0.001, high=0.999)
        return float(10 ** ((ndtri(share) - self.intercept) / self.slope))


def fit_probit(
    amounts: Sequence[float], tried: Sequence[int], found: Sequence[int]
) -> Probit:
    """Fit by maximum likelihood (iterated weights); amounts of 0 are left out.

    Raises BadInput where fewer than two amounts are left, or where the amount makes no
    difference that could be fitted.
    Source: CLSI EP17-A2, section on the probit approach.
    """
    from scipy.special import ndtr

    kept = [(x, n, k) for x, n, k in zip(amounts, tried, found, strict=True) if x > 0]
    if len({x for x, _, _ in kept}) < 2:
        raise BadInput("a probit fit needs two amounts above 0 or more")
    x = np.log10([one[0] for one in kept])
    n = np.array([one[1] for one in kept], float)
    hits = np.array([one[2] for one in kept], float)
    design = np.stack([np.ones_like(x), x], axis=1)
    weight = np.zeros(2)
    for _ in range(200):
        linear = np.clip(design @ weight, -7, 7)
        chance = np.clip(ndtr(linear), 1e-10, 1 - 1e-10)
        slope = np.exp(-0.5 * linear**2) / math.sqrt(2 * math.pi)
        working = linear + (hits / n - chance) / np.maximum(slope, 1e-12)
        w = n * slope**2 / (chance * (1 - chance))
        moved = np.linalg.lstsq(
            design * np.sqrt(w)[:, None], working * np.sqrt(w), rcond=None
        )[0]
        if np.abs(moved - weight).max() < 1e-12:
            break
        weight = moved
    if not np.isfinite(weight).all() or weight[1] <= 0:
        raise BadInput("more does not make it likelier to be found: no limit to fit")
    return Probit(intercept=float(weight[0]), slope=float(weight[1]))
