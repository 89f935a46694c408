"""How many dogs to test to detect an infection, or to rule out a prevalence."""

import math
from dataclasses import dataclass

from kennelward.evidence.group import (
    binomial,
    group_sensitivity,
    group_sensitivity_large,
    group_specificity,
)
from kennelward.terms import Phrase, check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class NotReachable:
    """No number of tests reaches the level: an answer, with the best there is."""

    best: float  # group sensitivity with every dog tested once
    says: Phrase


def n_detect_exact(
    *, group_size: int, infected: int, sensitivity: float, confidence: float = 0.95
) -> int | NotReachable:
    """Fewest dogs whose tests find infection with chance `confidence`; exact.

    `NotReachable` where testing every dog once is not enough.
    """
    check_range("confidence", confidence, low=0, high=1)
    check_range("infected", infected, low=1, high=group_size)

    def found(tested: int) -> float:
        return group_sensitivity(
            group_size=group_size,
            infected=infected,
            tested=tested,
            sensitivity=sensitivity,
        )

    best = found(group_size)
    if best < confidence - 1e-12:
        values: dict[str, str | int | float] = {
            "n": group_size,
            "best": f"{100 * best:.0f}",
        }
        says = Phrase(
            "Testing all {n} dogs once finds it in {best} of 100 such kennels, no more.",
            values,
        )
        return NotReachable(best=best, says=says)
    low, high = 0, group_size
    while low < high:  # group sensitivity never falls as more are tested
        middle = (low + high) // 2
        if found(middle) >= confidence - 1e-12:
            high = middle
        else:
            low = middle + 1
    return low


def n_detect_cannon_roe(
    *,
    group_size: int | None,
    infected: int = 0,
    prevalence: float = 0.0,
    confidence: float = 0.95,
) -> int:
    """Dogs to test with a perfect test, by Cannon and Roe's approximation, rounded up.

    n = (1 - (1 - confidence)^(1/D)) (N - (D - 1)/2); with `group_size` None the
    population is endless: ln(1 - confidence) / ln(1 - prevalence). It can exceed the
    exact number by one.
    Source: Cannon & Roe 1982, Livestock Disease Surveys.
    """
    check_range("confidence", confidence, low=0, high=0.999999)
    if group_size is None:
        check_range("prevalence", prevalence, low=1e-9, high=1 - 1e-9)
        return round_up(math.log(1 - confidence) / math.log(1 - prevalence))
    check_range("infected", infected, low=1, high=group_size)
    share = 1 - (1 - confidence) ** (1 / infected)
    return round_up(share * (group_size - (infected - 1) / 2))


def n_detect_macdiarmid(
    *, group_size: float, infected: float, sensitivity: float, confidence: float = 0.95
) -> int:
    """n = (N / Se)(1 - (1 - confidence)^(1/D)), rounded up; conservative.

    `infected` may be fractional. Source: MacDiarmid 1988, NZ Vet J 36:39-42.
    """
    check_range("infected", infected, low=1e-9, high=group_size)
    check_range("sensitivity", sensitivity, low=1e-9, high=1)
    check_range("confidence", confidence, low=0, high=0.999999)
    return round_up(group_size / sensitivity * (1 - (1 - confidence) ** (1 / infected)))


def n_detect_large(
    *, prevalence: float, sensitivity: float, confidence: float = 0.95
) -> int:
    """n = ln(1 - confidence) / ln(1 - P Se), rounded up: a very large population."""
    check_range("prevalence", prevalence, low=1e-9, high=1)
    check_range("sensitivity", sensitivity, low=1e-9, high=1)
    check_range("confidence", confidence, low=0, high=0.999999)
    positive = prevalence * sensitivity
    if positive == 1:
        return 1
    return round_up(math.log(1 - confidence) / math.log(1 - positive))


def design_prevalence_upper(
    *,
    tested: int,
    sensitivity: float,
    confidence: float = 0.95,
    group_size: int | None = None,
) -> float:
    """Largest prevalence that `tested` negatives leave possible, 0 to 1.

    Endless population: (1 - (1 - confidence)^(1/n)) / Se. In a group (MacDiarmid):
    D = ln(1 - confidence) / ln(1 - n Se / N), divided by N and not rounded.
    """
    check_range("tested", tested, low=1, high=group_size or math.inf)
    check_range("sensitivity", sensitivity, low=1e-9, high=1)
    check_range("confidence", confidence, low=0, high=0.999999)
    if group_size is None:
        return float(min(1.0, (1 - (1 - confidence) ** (1 / tested)) / sensitivity))
    fraction = tested * sensitivity / group_size
    if fraction >= 1:
        return 0.0
    left = math.log(1 - confidence) / math.log(1 - fraction) / group_size
    return min(1.0, left)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPointDesign:
    """A survey with a cut-point: how many to test, how many positives mean infected."""

    tested: int
    positives_that_mean_infected: int
    sensitivity: float  # of the group
    specificity: float  # of the group


def freecalc_design(
    *,
    group_size: int | None,
    infected: int = 0,
    prevalence: float = 0.0,
    sensitivity: float,
    specificity: float,
    group_sensitivity_wanted: float = 0.95,
    group_specificity_wanted: float = 0.95,
) -> CutPointDesign | NotReachable:
    """Fewest dogs, and the cut-point, that reach both wanted group figures.

    For each number tested the smallest cut-point that keeps the group specificity is
    taken. The cut-point is the number of positives that MEANS infected, not the last
    one still compatible with absence. `group_size` None: a very large population.
    Source: Cameron & Baldock 1998, Prev Vet Med 34:1-17.
    """
    check_range("specificity", specificity, low=0.5, high=1)
    most = group_size if group_size is not None else 20_000
    best, cut = 0.0, 1
    for tested in range(1, most + 1):
        kept = _kept(tested, specificity, cut)
        while kept < group_specificity_wanted:
            cut += 1
            kept += binomial(tested, 1 - specificity, cut - 1)
        if group_size is None:
            found = group_sensitivity_large(
                prevalence=prevalence,
                tested=tested,
                sensitivity=sensitivity,
                specificity=specificity,
                cut_point=cut,
            )
        else:
            found = group_sensitivity(
                group_size=group_size,
                infected=infected,
                tested=tested,
                sensitivity=sensitivity,
                specificity=specificity,
                cut_point=cut,
            )
        if found >= group_sensitivity_wanted:
            return CutPointDesign(
                tested=tested,
                positives_that_mean_infected=cut,
                sensitivity=found,
                specificity=kept,
            )
        best = max(best, found)
    values: dict[str, str | int | float] = {"n": most, "best": f"{100 * best:.0f}"}
    says = Phrase("Up to {n} dogs find it in {best} of 100 such kennels.", values)
    return NotReachable(best=best, says=says)


def _kept(tested: int, specificity: float, cut_point: int) -> float:
    return group_specificity(
        tested=tested, specificity=specificity, cut_point=cut_point
    )


def round_up(n: float) -> int:
    """Rounded up, with a hair of tolerance for sums that are whole but for rounding."""
    return math.ceil(n - 1e-9)
