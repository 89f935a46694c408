"""What a result is worth, when a test can answer, and how sure a kennel can be.

Chances are 0 to 1 everywhere; intervals hold 90 % unless asked otherwise.
Never: a file, a clock, a random seed, a treatment, the word "free" or "infected" as a
verdict. A figure about a test comes in from outside, with its source.

One dog
    beta_chance(a, b) / chance_from_counts(k, n) / chance_from_range(best, low, high)
        / known_chance(value)                                    -> BetaChance
    TestPerformance(test=, sees=, sensitivity=, specificity=, situation=)
    choose_performance(performances, case=Circumstances(...))    -> TestPerformance
    prior(base, says=, contributions=, own_record=)              -> Prior
    result_seen(call, performance=, case=, windows=, void_reasons=, reader=, on=, ref=)
                                                                 -> ResultSeen
    interpret(prior=, results=, dependence=, condition=, if_tested=) -> Interpretation
"""

from kennelward.evidence.accuracy import (
    BetaChance,
    beta_chance,
    chance_from_counts,
    chance_from_range,
    known_chance,
)
from kennelward.evidence.dependence import INDEPENDENT, Dependence
from kennelward.evidence.interpret import Interpretation, interpret
from kennelward.evidence.performance import (
    EVENTS,
    TRAINED_EYES,
    Circumstances,
    DaysSince,
    ReaderError,
    Situation,
    TestPerformance,
    choose_performance,
)
from kennelward.evidence.prior import (
    Contribution,
    OwnRecord,
    Prior,
    contribution_from_odds_ratio,
    prior,
)
from kennelward.evidence.results import ResultSeen, UninformativeWindow, result_seen
from kennelward.evidence.words import Condition, NaturalFrequency, natural_frequency

__all__ = [
    "EVENTS",
    "INDEPENDENT",
    "TRAINED_EYES",
    "BetaChance",
    "Circumstances",
    "Condition",
    "Contribution",
    "DaysSince",
    "Dependence",
    "Interpretation",
    "NaturalFrequency",
    "OwnRecord",
    "Prior",
    "ReaderError",
    "ResultSeen",
    "Situation",
    "TestPerformance",
    "UninformativeWindow",
    "beta_chance",
    "chance_from_counts",
    "chance_from_range",
    "choose_performance",
    "contribution_from_odds_ratio",
    "interpret",
    "known_chance",
    "natural_frequency",
    "prior",
    "result_seen",
]
