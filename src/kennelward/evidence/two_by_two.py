"""A test held against the truth: the four cells and everything read off them."""

import math
from dataclasses import dataclass

from kennelward.evidence.proportions import (
    Estimate,
    Method,
    normal_quantile,
    proportion_ci,
)
from kennelward.terms import BadInput, check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoByTwo:
    """Figures of one test; `infinite` ratios come as math.inf, never as an error."""

    sensitivity: Estimate
    specificity: Estimate
    positive_predictive: Estimate
    negative_predictive: Estimate
    apparent_prevalence: Estimate
    true_prevalence: Estimate
    accuracy: Estimate
    lr_positive: Estimate  # likelihood ratio of a positive
    lr_negative: Estimate
    diagnostic_odds_ratio: Estimate
    youden: float
    number_needed_to_diagnose: float
    kappa: float


def two_by_two(
    true_positive: int,
    false_positive: int,
    false_negative: int,
    true_negative: int,
    *,
    confidence: float = 0.95,
    method: Method = "clopper_pearson",
) -> TwoByTwo:
    """All figures of a two-by-two table, cells in the order a, b, c, d.

    a test + truth +, b test + truth -, c test - truth +, d test - truth -. Limits of
    shares by `method`; of likelihood ratios on the log scale (Simel et al. 1991, J
    Clin Epidemiol 44:763-770); of the odds ratio by Woolf. Raises BadInput where no
    dog was truly positive or none truly negative.
    """
    a, b, c, d = true_positive, false_positive, false_negative, true_negative
    for name, cell in (("a", a), ("b", b), ("c", c), ("d", d)):
        check_range(f"cell {name}", cell, low=0)
    if a + c == 0 or b + d == 0:
        raise BadInput(
            "a two-by-two table needs at least one truly positive and one truly "
            f"negative dog, got {a + c} and {b + d}"
        )
    total = a + b + c + d

    def share(k: int, n: int) -> Estimate:
        if n == 0:
            return Estimate(value=math.nan, low=0.0, high=1.0, confidence=confidence)
        return proportion_ci(k, n, method=method, confidence=confidence)

    sensitivity, specificity = share(a, a + c), share(d, b + d)
    se, sp = sensitivity.value, specificity.value
    youden = se + sp - 1
    return TwoByTwo(
        sensitivity=sensitivity,
        specificity=specificity,
        positive_predictive=share(a, a + b),
        negative_predictive=share(d, c + d),
        apparent_prevalence=share(a + b, total),
        true_prevalence=share(a + c, total),
        accuracy=share(a + d, total),
        lr_positive=_log_limits(
            se, 1 - sp, variance=_sum((1 - se, a), (sp, b)), confidence=confidence
        ),
        lr_negative=_log_limits(
            1 - se, sp, variance=_sum((se, c), (1 - sp, d)), confidence=confidence
        ),
        diagnostic_odds_ratio=_log_limits(
            a * d,
            b * c,
            variance=_sum((1, a), (1, b), (1, c), (1, d)),
            confidence=confidence,
        ),
        youden=youden,
        number_needed_to_diagnose=1 / youden if youden else math.inf,
        kappa=cohen_kappa(a, b, c, d),
    )


def cohen_kappa(both: int, first_only: int, second_only: int, neither: int) -> float:
    """Agreement of two tests beyond chance, from the four counts.

    Source: Cohen 1960, Educ Psychol Meas 20:37-46. 1 where both agree on everything.
    """
    total = both + first_only + second_only + neither
    check_range("total of the four counts", total, low=1)
    agree = (both + neither) / total
    first, second = (both + first_only) / total, (both + second_only) / total
    by_chance = first * second + (1 - first) * (1 - second)
    return 1.0 if by_chance == 1 else (agree - by_chance) / (1 - by_chance)


def _sum(*terms: tuple[float, float]) -> float:
    """Sum of top / bottom, infinite where a count is 0 and its top is not."""
    total = 0.0
    for top, bottom in terms:
        if bottom == 0:
            if top:
                return math.inf
            continue
        total += top / bottom
    return total


def _log_limits(
    top: float, bottom: float, *, variance: float, confidence: float
) -> Estimate:
    if bottom == 0:
        return Estimate(value=math.inf, low=0.0, high=math.inf, confidence=confidence)
    value = top / bottom
    if value == 0 or math.isinf(variance):
        return Estimate(value=value, low=0.0, high=math.inf, confidence=confidence)
    spread = math.exp(normal_quantile((1 + confidence) / 2) * math.sqrt(variance))
    return Estimate(
        value=value, low=value / spread, high=value * spread, confidence=confidence
    )
