"""One dog, two tests that see the same thing, and short ways to ask about them."""

from hypothesis import strategies as st

from kennelward.evidence import (
    BetaChance,
    Dependence,
    TestPerformance,
    beta_chance,
    interpret,
    known_chance,
    prior,
    result_seen,
)
from kennelward.terms import Call

POSITIVE, NEGATIVE = Call.POSITIVE, Call.NEGATIVE
FAECES = "giardia in faeces"


def a_test(
    se: BetaChance, sp: BetaChance, test: str = "strip", sees: str = FAECES
) -> TestPerformance:
    """A test."""
    return TestPerformance(test=test, sees=sees, sensitivity=se, specificity=sp)


STRIP = a_test(beta_chance(44, 11), beta_chance(57, 3))
FLOTATION = a_test(beta_chance(28, 28), beta_chance(99, 1), test="flotation")
HALF = {FAECES: Dependence(repeats=known_chance(0.5), kinds=known_chance(0.3))}
PUPPY = prior(beta_chance(8, 12), says="A puppy starts at about {n} in 100.")


def chance(results, *, before=PUPPY, dependence=HALF, **kwargs):
    """Median chance after results."""
    told = interpret(prior=before, results=results, dependence=dependence, **kwargs)
    return told.chance.median


def seen(call: Call, performance: TestPerformance = STRIP, **kwargs):
    """A result that counts unless told otherwise."""
    return result_seen(call, performance=performance, **kwargs)


chances = st.sampled_from([beta_chance(*ab) for ab in ((2, 60), (8, 12), (30, 5))])
good = st.sampled_from(
    [beta_chance(*ab) for ab in ((20, 15), (30, 2), (90, 1), (40, 10), (25, 25))]
)
