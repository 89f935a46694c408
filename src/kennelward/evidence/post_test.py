"""Bayes' theorem with exact figures: one test, two dependent tests, three.

The plain forms that papers print; `interpret` is the one for a dog.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import Literal

from kennelward.terms import BadInput, Call, OutOfRange, check_range

Rule = Literal["series", "parallel"]
ROUNDING = 1e-12  # a cell below this much under 0 is a mistake, not rounding


def post_test(
    prior: float, *, sensitivity: float, specificity: float, result: Call
) -> float:
    """Chance after one result, all figures exact, 0 to 1.

    Raises OutOfRange where the prior is 0 and the result positive, or 1 and negative:
    the prior said that could not be.
    """
    check_range("prior", prior, low=0, high=1)
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("specificity", specificity, low=0, high=1)
    if not result.is_result:
        raise BadInput(f"result must be positive or negative, got {result.value}")
    is_positive = result is Call.POSITIVE
    if prior == (0 if is_positive else 1):
        raise OutOfRange(
            f"prior must be above 0 and below 1 for the chance to move, got {prior:g} "
            f"with a {result.value} result"
        )
    there = sensitivity if is_positive else 1 - sensitivity
    clean = 1 - specificity if is_positive else specificity
    seen = prior * there + (1 - prior) * clean
    if seen == 0:
        raise OutOfRange(
            f"a {result.value} cannot occur with prior {prior:g}, sensitivity "
            f"{sensitivity:g} and specificity {specificity:g}; allowed are figures "
            "that leave it a chance above 0"
        )
    return prior * there / seen


def predictive_values(
    prevalence: float, *, sensitivity: float, specificity: float
) -> tuple[float, float]:
    """Share of positives that are right, and of negatives that are right."""
    positive = post_test(
        prevalence,
        sensitivity=sensitivity,
        specificity=specificity,
        result=Call.POSITIVE,
    )
    negative = post_test(
        prevalence,
        sensitivity=sensitivity,
        specificity=specificity,
        result=Call.NEGATIVE,
    )
    return positive, 1 - negative


def repeated_sensitivity(sensitivity: float, repeats: int) -> float:
    """Chance that at least one of `repeats` independent tests finds it.

    An upper bound: repeats on one dog are not independent.
    """
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("repeats", repeats, low=0)
    return 1 - (1 - sensitivity) ** repeats


@dataclass(frozen=True, slots=True, kw_only=True)
class Accuracy:
    """Sensitivity and specificity of a test or of several read together."""

    sensitivity: float
    specificity: float


def combine_two_tests(
    sensitivity: Sequence[float],
    specificity: Sequence[float],
    *,
    rule: Rule,
    cov_positive: float = 0.0,
    cov_negative: float = 0.0,
) -> Accuracy:
    """Two tests read in series (both positive) or in parallel (either positive).

    `cov_positive` = P(++ | infected) - Se1 Se2; `cov_negative` = P(-- | clean) -
    Sp1 Sp2. Raises OutOfRange for a covariance that no pair of tests can have.
    Source: Gardner et al. 2000, Prev Vet Med 45:107-122.
    """
    se1, se2 = _pair("sensitivity", sensitivity)
    sp1, sp2 = _pair("specificity", specificity)
    _check_covariance("cov_positive", cov_positive, se1, se2)
    _check_covariance("cov_negative", cov_negative, sp1, sp2)
    if rule == "series":
        return Accuracy(
            sensitivity=se1 * se2 + cov_positive,
            specificity=1 - (1 - sp1) * (1 - sp2) - cov_negative,
        )
    if rule == "parallel":
        return Accuracy(
            sensitivity=1 - (1 - se1) * (1 - se2) - cov_positive,
            specificity=sp1 * sp2 + cov_negative,
        )
    raise BadInput(f"rule must be series or parallel: {rule!r}")


def covariance_bounds(first: float, second: float) -> tuple[float, float]:
    """Least and largest covariance of two yes/no results with these chances of yes."""
    return (
        max(-(1 - first) * (1 - second), -first * second),
        min(first * (1 - second), second * (1 - first)),
    )


def covariance_from_counts(
    both: int, first_only: int, second_only: int, neither: int
) -> float:
    """Covariance of two results in dogs of one class, from the four counts."""
    total = both + first_only + second_only + neither
    check_range("total of the four counts", total, low=1)
    first, second = (both + first_only) / total, (both + second_only) / total
    return both / total - first * second


def combine_three_tests(
    sensitivity: Sequence[float],
    specificity: Sequence[float],
    *,
    rule: Rule,
    cov_positive: Sequence[float] = (0, 0, 0, 0),
    cov_negative: Sequence[float] = (0, 0, 0, 0),
) -> Accuracy:
    """Three tests in series (all positive) or parallel (any positive).

    Covariances are the central moments c12, c13, c23, c123 of the POSITIVE results,
    in infected and in clean dogs. Raises OutOfRange where one of the eight cells
    would be negative.
    Source: moment model of Jones et al. 2010, Biometrics 66:855-863.
    """
    infected = three_test_cells(sensitivity, cov_positive)
    clean = three_test_cells([1 - s for s in specificity], cov_negative)
    if rule == "series":
        return Accuracy(sensitivity=infected[(1, 1, 1)], specificity=1 - clean[1, 1, 1])
    if rule == "parallel":
        return Accuracy(sensitivity=1 - infected[0, 0, 0], specificity=clean[0, 0, 0])
    raise BadInput(f"rule must be series or parallel: {rule!r}")


def three_test_cells(
    positive: Sequence[float], moments: Sequence[float]
) -> dict[tuple[int, int, int], float]:
    """Chance of each of the eight patterns, from margins and central moments."""
    if len(positive) != 3 or len(moments) != 4:
        raise BadInput(
            "three tests need 3 chances and 4 moments (c12, c13, c23, c123), got "
            f"{len(positive)} and {len(moments)}"
        )
    for chance in positive:
        check_range("chance of a positive", chance, low=0, high=1)
    c12, c13, c23, c123 = moments
    cells: dict[tuple[int, int, int], float] = {}
    for pattern in product((0, 1), repeat=3):
        x, y, z = pattern
        at = [m if on else 1 - m for m, on in zip(positive, pattern, strict=True)]
        sx, sy, sz = (1 if on else -1 for on in pattern)
        cell = at[0] * at[1] * at[2]
        cell += sx * sy * c12 * at[2] + sx * sz * c13 * at[1] + sy * sz * c23 * at[0]
        cell += sx * sy * sz * c123
        if cell < -ROUNDING:
            raise OutOfRange(
                f"these covariances give pattern {x}{y}{z} a chance of {cell:.4g}; "
                "every pattern must have 0 or more"
            )
        cells[x, y, z] = max(0.0, cell)
    return cells


def posterior_two_tests(
    prior: float,
    *,
    sensitivity: Sequence[float],
    specificity: Sequence[float],
    results: tuple[Call, Call],
    cov_positive: float = 0.0,
    cov_negative: float = 0.0,
) -> float:
    """Chance after two results that need not be independent, all figures exact.

    Source: Gardner et al. 2000, Prev Vet Med 45:107-122.
    """
    check_range("prior", prior, low=0, high=1)
    se1, se2 = _pair("sensitivity", sensitivity)
    sp1, sp2 = _pair("specificity", specificity)
    _check_covariance("cov_positive", cov_positive, se1, se2)
    _check_covariance("cov_negative", cov_negative, sp1, sp2)
    for result in results:
        if not result.is_result:
            raise BadInput(f"results must be positive or negative, got {result.value}")
    first, second = (r is Call.POSITIVE for r in results)
    sign = 1 if first == second else -1
    there = _cell(se1, first) * _cell(se2, second) + sign * cov_positive
    clean = _cell(1 - sp1, first) * _cell(1 - sp2, second) + sign * cov_negative
    seen = prior * there + (1 - prior) * clean
    if seen <= 0 or (prior == 0 and (first or second)):
        raise OutOfRange(
            f"these two results cannot occur with prior {prior:g}; allowed is a prior "
            "above 0"
        )
    return prior * there / seen


def _cell(chance: float, is_positive: bool) -> float:
    return chance if is_positive else 1 - chance


def _pair(name: str, values: Sequence[float]) -> tuple[float, float]:
    if len(values) != 2:
        raise BadInput(f"two tests need 2 values of {name}, got {len(values)}")
    for value in values:
        check_range(name, value, low=0, high=1)
    return values[0], values[1]


def _check_covariance(name: str, value: float, first: float, second: float) -> None:
    low, high = covariance_bounds(first, second)
    check_range(name, value, low=low - ROUNDING, high=high + ROUNDING)
