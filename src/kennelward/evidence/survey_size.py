"""How many dogs a survey needs: to estimate a figure, or to detect by risk group."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kennelward.evidence.proportions import normal_quantile
from kennelward.evidence.risk import adjusted_risks
from kennelward.evidence.sample_size import round_up
from kennelward.terms import BadInput, check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleSize:
    """A number of dogs, and the number before rounding up."""

    dogs: int
    unrounded: float


def n_for_sensitivity(
    *,
    sensitivity: float,
    prevalence: float,
    half_width: float,
    confidence: float = 0.95,
) -> SampleSize:
    """Dogs to enrol to estimate a sensitivity to within `half_width`.

    n = z^2 Se (1 - Se) / (half_width^2 prevalence).
    Source: Buderer 1996, Acad Emerg Med 3:895-900.
    """
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("prevalence", prevalence, low=1e-9, high=1)
    check_range("half_width", half_width, low=1e-6, high=0.5)
    z = normal_quantile((1 + confidence) / 2)
    n = z * z * sensitivity * (1 - sensitivity) / (half_width**2 * prevalence)
    return SampleSize(dogs=round_up(n), unrounded=n)


def n_for_true_prevalence(
    *,
    prevalence: float,
    sensitivity: float,
    specificity: float,
    precision: float,
    confidence: float = 0.95,
) -> SampleSize:
    """Dogs to test to estimate a true prevalence to within `precision`.

    n = (z / precision)^2 AP (1 - AP) / (Se + Sp - 1)^2.
    Source: Humphry, Cameron & Gunn 2004, Prev Vet Med 65:173-188.
    """
    check_range("prevalence", prevalence, low=0, high=1)
    check_range("precision", precision, low=1e-6, high=0.5)
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("specificity", specificity, low=0, high=1)
    youden = sensitivity + specificity - 1
    check_range("sensitivity + specificity - 1", youden, low=1e-9, high=1)
    apparent = sensitivity * prevalence + (1 - specificity) * (1 - prevalence)
    z = normal_quantile((1 + confidence) / 2)
    n = (z / precision) ** 2 * apparent * (1 - apparent) / youden**2
    return SampleSize(dogs=round_up(n), unrounded=n)


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskBasedSize:
    """Dogs to test in all and by risk group, the last group taking the remainder."""

    total: int
    by_group: tuple[int, ...]
    unrounded: float


def n_risk_based(
    *,
    design_prevalence: float,
    relative_risks: Sequence[float],
    population_shares: Sequence[float],
    sample_shares: Sequence[float],
    sensitivity: float,
    confidence: float = 0.95,
) -> RiskBasedSize:
    """Dogs to test where the sample leans to groups at higher risk.

    n = ln(1 - confidence) / ln(1 - mean EPI Se) over the sampling mix.
    Source: Martin, Cameron & Greiner 2007, Prev Vet Med 79:71-97.
    """
    check_range("design_prevalence", design_prevalence, low=1e-9, high=1)
    check_range("sensitivity", sensitivity, low=1e-9, high=1)
    if len(sample_shares) != len(relative_risks):
        raise BadInput("give one sample share for each relative risk")
    check_range("sum of the sample shares", sum(sample_shares), low=0.999, high=1.001)
    risks = adjusted_risks(relative_risks, population_shares)
    mean = sum(
        share * min(1.0, design_prevalence * risk)
        for share, risk in zip(sample_shares, risks, strict=True)
    )
    n = math.log(1 - confidence) / math.log(1 - mean * sensitivity)
    total = round_up(n)
    first = [round_up(share * total) for share in sample_shares[:-1]]
    groups = (*first, max(0, total - sum(first)))
    return RiskBasedSize(total=total, by_group=groups, unrounded=n)
