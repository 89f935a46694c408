"""What a set of tests on named dogs can find: exact, with dogs at different risk.

The design: exactly `infected` dogs of the kennel are infected, any set of that many
being as likely as the product of its dogs' relative risks (equal risks: every set
alike). With x marking one infected dog, a dog of risk w that its tests miss with
chance m is the polynomial 1 + w m x; a pool of dogs that is missed with chance m
whenever any of them is infected is 1 + m (prod (1 + w x) - 1). The chance that all
tests stay negative is the coefficient of x^D in the product, over the same
coefficient with every m = 1. Source: generating functions; with equal risks it is the
hypergeometric formula of Cameron & Baldock 1998. docs/methods/evidence.md, section 7.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import comb

import numpy as np

from kennelward.terms import BadInput, check_range, check_text

Polynomial = np.ndarray  # (D + 1,) float64, coefficient of x^0 first


@dataclass(frozen=True, slots=True, kw_only=True)
class DogAtRisk:
    """One dog of the kennel and its risk beside the others'."""

    dog: str
    relative_risk: float = 1.0  # above 0

    def __post_init__(self) -> None:
        check_text("dog", self.dog)
        check_range("relative_risk", self.relative_risk, low=1e-6, high=1e6)


@dataclass(frozen=True, slots=True, kw_only=True)
class TestedDog:
    """A dog tested on its own, once or several times, never positive."""

    __test__ = False  # not a test case of pytest

    dog: str
    missed: float  # chance that all its tests stay negative although it is infected

    def __post_init__(self) -> None:
        check_range("missed", self.missed, low=0, high=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class TestedPool:
    """Samples of several dogs tested as one, negative."""

    __test__ = False  # not a test case of pytest

    dogs: tuple[str, ...]
    missed: float  # chance that it stays negative although a dog in it is infected

    def __post_init__(self) -> None:
        check_range("missed", self.missed, low=0, high=1)
        if len(set(self.dogs)) != len(self.dogs) or not self.dogs:
            raise BadInput("a pool needs one or more dogs, each once")


def kennel_sensitivity(
    dogs: Sequence[DogAtRisk],
    *,
    tests: Sequence[TestedDog | TestedPool],
    infected: int,
) -> float:
    """Chance that at least one of the tests is positive, were `infected` dogs infected.

    Each dog may come up in one test only; combine its own tests into one chance of
    being missed. Returns 0 to 1. Raises BadInput for a dog that is not in the kennel
    or tested twice, OutOfRange for more infected than dogs.
    """
    check_range("infected", infected, low=1, high=len(dogs))
    risks = {d.dog: d.relative_risk for d in dogs}
    if len(risks) != len(dogs):
        raise BadInput("each dog of the kennel may be named once")
    _check_tests(risks, tests)
    silent = _all_negative(risks, tests, infected)
    anything = _grouped([(w, 1.0) for w in risks.values()], infected)
    return float(min(1.0, max(0.0, 1 - silent[infected] / anything[infected])))


def missed_by_repeats(
    sensitivity: float, *, repeats: int, dependence: float = 0.0
) -> float:
    """Chance that an infected dog is negative `repeats` times in the same test.

    `dependence` (0 to 1) is the share of the misses that are the dog's own: such a
    dog is missed every time. Chance = h + (1 - h)(1 - s)^k with h = dependence (1 -
    Se) and s such that one test alone keeps its sensitivity.
    """
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("repeats", repeats, low=0)
    check_range("dependence", dependence, low=0, high=1)
    if repeats == 0:
        return 1.0
    hidden = dependence * (1 - sensitivity)
    if hidden == 1:
        return 1.0
    seen = sensitivity / (1 - hidden)
    return float(hidden + (1 - hidden) * (1 - seen) ** repeats)


def chance_of_false_alarm(specificities: Sequence[float]) -> float:
    """Chance that at least one of the tests is positive in a clean kennel."""
    silent = 1.0
    for specificity in specificities:
        check_range("specificity", specificity, low=0, high=1)
        silent *= specificity
    return 1 - silent


def _all_negative(
    risks: Mapping[str, float],
    tests: Sequence[TestedDog | TestedPool],
    infected: int,
) -> Polynomial:
    alone = {t.dog: t.missed for t in tests if isinstance(t, TestedDog)}
    pools = [t for t in tests if isinstance(t, TestedPool)]
    pooled = {dog for pool in pools for dog in pool.dogs}
    product = _grouped(
        [(w, alone.get(dog, 1.0)) for dog, w in risks.items() if dog not in pooled],
        infected,
    )
    for pool in pools:
        inside = _grouped([(risks[dog], 1.0) for dog in pool.dogs], infected)
        factor = pool.missed * inside
        factor[0] = 1.0
        product = _times(product, factor)
    return product


def _grouped(dogs: Sequence[tuple[float, float]], degree: int) -> Polynomial:
    """Product of (1 + w m x) up to x^degree; equal dogs are multiplied at once."""
    counts: dict[float, int] = {}
    for risk, missed in dogs:
        counts[risk * missed] = counts.get(risk * missed, 0) + 1
    product = np.zeros(degree + 1)
    product[0] = 1.0
    for weight, count in counts.items():
        factor = np.array(
            [comb(count, k) * weight**k for k in range(degree + 1)], dtype=float
        )
        product = _times(product, factor)
    return product


def _times(first: Polynomial, second: Polynomial) -> Polynomial:
    product: Polynomial = np.convolve(first, second)[: len(first)]
    return product


def _check_tests(
    risks: Mapping[str, float], tests: Sequence[TestedDog | TestedPool]
) -> None:
    seen: set[str] = set()
    for test in tests:
        for dog in (test.dog,) if isinstance(test, TestedDog) else test.dogs:
            if dog not in risks:
                raise BadInput(f"{dog!r} is tested but not in the kennel")
            if dog in seen:
                raise BadInput(f"{dog!r} comes up in two tests; combine its misses")
            seen.add(dog)
