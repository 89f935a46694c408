"""Probability of freedom, period by period: Bayes' theorem and new introductions.

Each period first takes off what may have come in, then adds what the negative tests
say. Never "free": a chance, and what it rests on.
Source: Martin, Cameron & Greiner 2007, Prev Vet Med 79:71-97.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from kennelward.terms import BadInput, check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class FreePeriod:
    """One period: before its tests (after introductions) and after them."""

    discounted: float  # chance absent, with this period's introductions, before tests
    after_tests: float


def chance_free(
    prior: float,
    *,
    sensitivities: Sequence[float],
    introductions: Sequence[float],
) -> tuple[FreePeriod, ...]:
    """Chance that the infection is absent, over periods of negative tests.

    Period t: discounted = previous (1 - introduction_t); after = discounted / (1 -
    sensitivity_t (1 - discounted)). Period t is discounted by its own introduction.
    """
    check_range("prior", prior, low=0, high=1)
    if len(sensitivities) != len(introductions):
        raise BadInput(
            f"give one introduction for each period, got {len(introductions)} for "
            f"{len(sensitivities)} periods"
        )
    periods = []
    free = prior
    for sensitivity, introduction in zip(sensitivities, introductions, strict=True):
        check_range("sensitivity", sensitivity, low=0, high=1)
        check_range("introduction", introduction, low=0, high=1)
        before = free * (1 - introduction)
        silent = 1 - sensitivity * (1 - before)
        free = before / silent if silent else 0.0
        periods.append(FreePeriod(discounted=before, after_tests=free))
    return tuple(periods)


def equilibrium_chance_free(*, sensitivity: float, introduction: float) -> FreePeriod:
    """What the chance settles at with the same tests and introductions for ever.

    After tests (Se - q) / (Se (1 - q)); before tests 1 - q / Se; 0 where tests find
    less than comes in.
    """
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("introduction", introduction, low=0, high=1)
    if introduction == 0:
        settled = 1.0 if sensitivity else 0.0
        return FreePeriod(discounted=settled, after_tests=settled)
    if sensitivity <= introduction:
        return FreePeriod(discounted=0.0, after_tests=0.0)
    return FreePeriod(
        discounted=1 - introduction / sensitivity,
        after_tests=(sensitivity - introduction) / (sensitivity * (1 - introduction)),
    )


def sensitivity_needed(*, prior: float, wanted: float) -> float:
    """Group sensitivity that lifts `prior` to `wanted` in one period.

    (1 - prior / wanted) / (1 - prior); 0 where the prior is there already.
    """
    check_range("prior", prior, low=0, high=1)
    check_range("wanted", wanted, low=1e-9, high=1)
    if prior >= wanted:
        return 0.0
    return (1 - prior / wanted) / (1 - prior)
