"""The chance that a round of tests finds infection in a group: exact counting.

Kennels are small, so nothing here takes a large population for granted; published
approximations are kept under their own names, to check against.
"""

import math
from collections.abc import Iterator, Sequence

from kennelward.terms import BadInput, check_range


def group_sensitivity(
    *,
    group_size: int,
    infected: int,
    tested: int,
    sensitivity: float,
    specificity: float = 1.0,
    cut_point: int = 1,
) -> float:
    """Chance that at least `cut_point` of the `tested` dogs are positive.

    `tested` dogs are drawn at random, each once, out of `group_size` of which
    `infected` are infected: sum over the hypergeometric number caught of
    P(Bin(y, Se) + Bin(n - y, 1 - Sp) >= c). Returns 0 to 1. Raises OutOfRange for more
    tested or infected than dogs.
    Source: Cameron & Baldock 1998, Prev Vet Med 34:1-17.
    """
    _check_group(group_size, infected, tested)
    check_test(sensitivity, specificity, cut_point)
    missed = 0.0
    for caught, chance in hypergeometric(group_size, infected, tested):
        missed += chance * _below_cut(
            caught, tested - caught, sensitivity, 1 - specificity, cut_point
        )
    return min(1.0, max(0.0, 1 - missed))


def group_sensitivity_large(
    *,
    prevalence: float,
    tested: int,
    sensitivity: float,
    specificity: float = 1.0,
    cut_point: int = 1,
) -> float:
    """The same from a very large population: positives are binomial.

    The binomial chance is the APPARENT prevalence P Se + (1 - P)(1 - Sp); some
    published code uses the true prevalence by mistake.
    """
    check_range("prevalence", prevalence, low=0, high=1)
    check_range("tested", tested, low=0)
    check_test(sensitivity, specificity, cut_point)
    positive = prevalence * sensitivity + (1 - prevalence) * (1 - specificity)
    below = sum(binomial(tested, positive, k) for k in range(cut_point))
    return min(1.0, max(0.0, 1 - below))


def group_sensitivity_macdiarmid(
    *, group_size: float, infected: float, tested: float, sensitivity: float
) -> float:
    """1 - (1 - n Se / N)^D, an approximation; `infected` may be fractional.

    Never above the exact value for whole counts.
    Source: MacDiarmid 1988, NZ Vet J 36:39-42.
    """
    check_range("group_size", group_size, low=1)
    check_range("infected", infected, low=0, high=group_size)
    check_range("tested", tested, low=0, high=group_size)
    check_range("sensitivity", sensitivity, low=0, high=1)
    return float(1 - (1 - tested * sensitivity / group_size) ** infected)


def group_specificity(
    *,
    tested: int,
    specificity: float,
    cut_point: int = 1,
    group_size: int | None = None,
) -> float:
    """Chance that a clean group stays below `cut_point` positives.

    Without `group_size`: independent false positives, binomial. With it: a fixed
    number N (1 - Sp) of dogs that always cross-react, hypergeometric; it must then be
    a whole number. Retesting the same dogs is where the two part.
    """
    check_range("tested", tested, low=0)
    check_test(1.0, specificity, cut_point)
    if group_size is None:
        return sum(binomial(tested, 1 - specificity, k) for k in range(cut_point))
    reacting = group_size * (1 - specificity)
    whole = round(reacting)
    if abs(reacting - whole) > 1e-6:
        raise BadInput(
            f"group_size times (1 - specificity) must be a whole number of dogs, got "
            f"{reacting:g}"
        )
    _check_group(group_size, whole, tested)
    return sum(c for y, c in hypergeometric(group_size, whole, tested) if y < cut_point)


def infected_at(*, group_size: int, prevalence: float) -> int:
    """Dogs infected at a design prevalence: N P rounded up, at least 1."""
    check_range("group_size", group_size, low=1)
    check_range("prevalence", prevalence, low=0, high=1)
    return max(1, math.ceil(group_size * prevalence - 1e-9))


def hypergeometric(
    group_size: int, infected: int, tested: int
) -> Iterator[tuple[int, float]]:
    """(infected among the tested, its chance), each possible number once.

    The most likely number is counted exactly; the others follow by the ratio of
    neighbouring terms, outwards, so that nothing is lost in tiny tails.
    """
    clean = group_size - infected
    least, most = max(0, tested - clean), min(infected, tested)
    mode = (tested + 1) * (infected + 1) // (group_size + 2)
    mode = min(max(mode, least), most)
    ways = math.comb(infected, mode) * math.comb(clean, tested - mode)
    chances = {mode: ways / math.comb(group_size, tested)}
    for caught in range(mode, most):
        up = (infected - caught) * (tested - caught)
        down = (caught + 1) * (clean - tested + caught + 1)
        chances[caught + 1] = chances[caught] * up / down
    for caught in range(mode, least, -1):
        up = caught * (clean - tested + caught)
        down = (infected - caught + 1) * (tested - caught + 1)
        chances[caught - 1] = chances[caught] * up / down
    for caught in range(least, most + 1):
        yield caught, chances[caught]


def binomial(trials: int, chance: float, successes: int) -> float:
    """Chance of exactly `successes` in `trials`."""
    if not 0 <= successes <= trials:
        return 0.0
    if chance in (0.0, 1.0):
        return float(successes == (trials if chance else 0))
    return math.exp(
        math.lgamma(trials + 1)
        - math.lgamma(successes + 1)
        - math.lgamma(trials - successes + 1)
        + successes * math.log(chance)
        + (trials - successes) * math.log1p(-chance)
    )


def _below_cut(
    caught: int, clean: int, sensitivity: float, false_positive: float, cut_point: int
) -> float:
    """Chance of fewer than `cut_point` positives among the two kinds of dog."""
    total = 0.0
    for true in range(min(cut_point - 1, caught) + 1):
        chance = binomial(caught, sensitivity, true)
        if chance:
            total += chance * sum(
                binomial(clean, false_positive, false)
                for false in range(cut_point - true)
            )
    return total


def _check_group(group_size: int, infected: int, tested: int) -> None:
    check_range("group_size", group_size, low=1)
    check_range("infected", infected, low=0, high=group_size)
    check_range("tested", tested, low=0, high=group_size)


def check_test(sensitivity: float, specificity: float, cut_point: int) -> None:
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("specificity", specificity, low=0, high=1)
    check_range("cut_point", cut_point, low=1)


def posterior_infected(
    prior: Sequence[float],
    *,
    group_size: int,
    tested: int,
    positive: int = 0,
    sensitivity: float,
    specificity: float = 1.0,
) -> tuple[float, ...]:
    """Chance of 0, 1, 2... infected dogs after `positive` of `tested` were positive.

    `prior` holds the chance of each number before, and adds up to 1.
    Source: Bayes' theorem with the hypergeometric draw of the tested dogs.
    """
    check_range("number of prior chances", len(prior), low=1, high=group_size + 1)
    check_range("sum of the prior chances", sum(prior), low=1 - 1e-9, high=1 + 1e-9)
    _check_group(group_size, 0, tested)
    check_range("positive", positive, low=0, high=tested)
    check_test(sensitivity, specificity, 1)
    joint = []
    for infected, chance in enumerate(prior):
        seen = sum(
            weight
            * sum(
                binomial(caught, sensitivity, true)
                * binomial(tested - caught, 1 - specificity, positive - true)
                for true in range(positive + 1)
            )
            for caught, weight in hypergeometric(group_size, infected, tested)
        )
        joint.append(chance * seen)
    total = sum(joint)
    check_range("chance of these results under the prior", total, low=1e-300, high=1)
    return tuple(value / total for value in joint)
