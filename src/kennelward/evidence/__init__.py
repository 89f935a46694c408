"""What a result is worth, when a test can answer, and how sure a kennel can be.

Chances are 0 to 1 everywhere; intervals hold 90 % unless asked otherwise; limits of
published statistics hold 95 %. Never: a file, a clock, a random seed, a treatment, a
verdict. A figure about a test comes in from outside, with its source.

One dog
    beta_chance(a, b), chance_from_counts(k, n), chance_from_range(best, low, high),
        known_chance(value)                                      -> BetaChance
    TestPerformance(test=, sees=, sensitivity=, specificity=, situation=)
    choose_performance(performances, case=Circumstances(...))    -> TestPerformance
    prior(base, says=, contributions=, own_record=)              -> Prior
    record_from_results(base, results, weight=)                  -> OwnRecord
    result_seen(call, performance=, case=, windows=, void_reasons=, reader=, on=, ref=)
                                                                 -> ResultSeen
    interpret(prior=, results=, dependence=, condition=, if_tested=) -> Interpretation
    timing(prior=, test=, event=, anchor=, on=, days=, worth=)   -> Timing
    next_steps(prior=, results=, offered=, harms=, at_least=)    -> ranked NextSteps

The kennel
    kennel_sensitivity(dogs, tests=, infected=)     exact, risks and pools
    freedom_curve(question, until=)                 -> FreedomCurve
    plan_freedom(question, kinds=, dates=, wanted=) -> FreedomPlan

Plain statistics, each with its formula and source in its docstring
    tables     proportion_ci, zero_numerator_upper, two_by_two, cohen_kappa
    Bayes      post_test, predictive_values, posterior_two_tests, combine_two_tests,
               combine_three_tests, covariance_bounds, covariance_from_counts,
               repeated_sensitivity, predictive_value_spread
    elicited   beta_from_mode, beta_pert
    prevalence rogan_gladen, true_prevalence, true_prevalence_counted,
               pooled_prevalence, prevalence_posterior
    no gold    latent_class_mle, latent_class_bayes, hui_walter_bayes, cell_chances
    groups     group_sensitivity (exact), group_sensitivity_large (binomial),
               group_sensitivity_macdiarmid, group_specificity,
               group_sensitivity_pooled, pools_needed, herd_pooled,
               posterior_infected, infected_at
    surveys    n_detect_exact, n_detect_cannon_roe, n_detect_macdiarmid,
               n_detect_large, design_prevalence_upper, freecalc_design,
               n_for_sensitivity, n_for_true_prevalence, n_risk_based,
               adjusted_risks, component_sensitivity, combined_sensitivity,
               two_stage_sensitivity, passive_sensitivity
    freedom    chance_free, equilibrium_chance_free, sensitivity_needed
    decisions  thresholds, net_benefit, interventions_avoided, value_of_test,
               evsi_beta_binomial, evsi_imperfect, evpi_beta
"""

from kennelward.evidence.accuracy import (
    BetaChance,
    beta_chance,
    chance_from_counts,
    chance_from_range,
    known_chance,
)
from kennelward.evidence.by_day import (
    AnchorSpread,
    DayPoint,
    SensitivityByDay,
    performance_on,
    sensitivity_after_onset,
    spread_of_days,
)
from kennelward.evidence.chance_free import (
    FreePeriod,
    chance_free,
    equilibrium_chance_free,
    sensitivity_needed,
)
from kennelward.evidence.decisions import (
    Thresholds,
    ValueOfTest,
    evpi_beta,
    evsi_beta_binomial,
    evsi_imperfect,
    interventions_avoided,
    net_benefit,
    thresholds,
    value_of_test,
)
from kennelward.evidence.dependence import INDEPENDENT, Dependence
from kennelward.evidence.elicited import Pert, beta_from_mode, beta_pert
from kennelward.evidence.freedom import FreedomCurve, FreedomPoint, freedom_curve
from kennelward.evidence.freedom_plan import FreedomPlan, PlannedRound, plan_freedom
from kennelward.evidence.freedom_question import (
    FreedomQuestion,
    Introduction,
    NegativeRound,
)
from kennelward.evidence.freedom_search import DogsToTest
from kennelward.evidence.group import (
    group_sensitivity,
    group_sensitivity_large,
    group_sensitivity_macdiarmid,
    group_specificity,
    infected_at,
    posterior_infected,
)
from kennelward.evidence.interpret import Interpretation, interpret
from kennelward.evidence.kennel_round import (
    DogAtRisk,
    TestedDog,
    TestedPool,
    chance_of_false_alarm,
    kennel_sensitivity,
    missed_by_repeats,
)
from kennelward.evidence.latent_bayes import (
    Summary,
    TwoTestPriors,
    hui_walter_bayes,
    latent_class_bayes,
)
from kennelward.evidence.latent_class import (
    CannotTell,
    LatentClasses,
    cell_chances,
    latent_class_mle,
)
from kennelward.evidence.next_test import (
    ACT,
    CARRY_ON,
    KEEP_APART,
    NO_TEST,
    STEPS,
    Harms,
    NextStep,
    StepThresholds,
    TestOffered,
    best_step,
    next_steps,
    step_thresholds,
)
from kennelward.evidence.own_record import record_from_results
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
from kennelward.evidence.pools import (
    group_sensitivity_pooled,
    herd_pooled,
    pool_sensitivity_by_infected,
    pools_needed,
)
from kennelward.evidence.post_test import (
    Accuracy,
    combine_three_tests,
    combine_two_tests,
    covariance_bounds,
    covariance_from_counts,
    post_test,
    posterior_two_tests,
    predictive_values,
    repeated_sensitivity,
    three_test_cells,
)
from kennelward.evidence.prevalence import (
    Counted,
    TruePrevalence,
    pooled_prevalence,
    predictive_value_spread,
    prevalence_posterior,
    rogan_gladen,
    true_prevalence,
    true_prevalence_counted,
)
from kennelward.evidence.prior import (
    Contribution,
    OwnRecord,
    Prior,
    contribution_from_odds_ratio,
    in_hundred,
    prior,
)
from kennelward.evidence.proportions import (
    Estimate,
    proportion_ci,
    zero_numerator_upper,
)
from kennelward.evidence.results import ResultSeen, UninformativeWindow, result_seen
from kennelward.evidence.risk import (
    adjusted_risks,
    combined_sensitivity,
    component_sensitivity,
    passive_sensitivity,
    two_stage_sensitivity,
)
from kennelward.evidence.sample_size import (
    CutPointDesign,
    NotReachable,
    design_prevalence_upper,
    freecalc_design,
    n_detect_cannon_roe,
    n_detect_exact,
    n_detect_large,
    n_detect_macdiarmid,
)
from kennelward.evidence.survey_size import (
    RiskBasedSize,
    SampleSize,
    n_for_sensitivity,
    n_for_true_prevalence,
    n_risk_based,
)
from kennelward.evidence.timing import DayWorth, TestTiming, Timing, timing
from kennelward.evidence.two_by_two import TwoByTwo, cohen_kappa, two_by_two
from kennelward.evidence.words import Condition, NaturalFrequency, natural_frequency

__all__ = [
    "BetaChance",
    "beta_chance",
    "chance_from_counts",
    "chance_from_range",
    "known_chance",
    "AnchorSpread",
    "DayPoint",
    "SensitivityByDay",
    "performance_on",
    "sensitivity_after_onset",
    "spread_of_days",
    "FreePeriod",
    "chance_free",
    "equilibrium_chance_free",
    "sensitivity_needed",
    "Thresholds",
    "ValueOfTest",
    "evpi_beta",
    "evsi_beta_binomial",
    "evsi_imperfect",
    "interventions_avoided",
    "net_benefit",
    "thresholds",
    "value_of_test",
    "INDEPENDENT",
    "Dependence",
    "Pert",
    "beta_from_mode",
    "beta_pert",
    "FreedomCurve",
    "FreedomPoint",
    "freedom_curve",
    "FreedomPlan",
    "PlannedRound",
    "plan_freedom",
    "FreedomQuestion",
    "Introduction",
    "NegativeRound",
    "DogsToTest",
    "group_sensitivity",
    "group_sensitivity_large",
    "group_sensitivity_macdiarmid",
    "group_sensitivity_pooled",
    "group_specificity",
    "herd_pooled",
    "infected_at",
    "pool_sensitivity_by_infected",
    "pools_needed",
    "posterior_infected",
    "Interpretation",
    "interpret",
    "DogAtRisk",
    "TestedDog",
    "TestedPool",
    "chance_of_false_alarm",
    "kennel_sensitivity",
    "missed_by_repeats",
    "Summary",
    "TwoTestPriors",
    "hui_walter_bayes",
    "latent_class_bayes",
    "CannotTell",
    "LatentClasses",
    "cell_chances",
    "latent_class_mle",
    "ACT",
    "CARRY_ON",
    "KEEP_APART",
    "NO_TEST",
    "STEPS",
    "Harms",
    "NextStep",
    "StepThresholds",
    "TestOffered",
    "best_step",
    "next_steps",
    "step_thresholds",
    "EVENTS",
    "TRAINED_EYES",
    "Circumstances",
    "DaysSince",
    "ReaderError",
    "Situation",
    "TestPerformance",
    "choose_performance",
    "Accuracy",
    "combine_three_tests",
    "combine_two_tests",
    "covariance_bounds",
    "covariance_from_counts",
    "post_test",
    "posterior_two_tests",
    "predictive_values",
    "repeated_sensitivity",
    "three_test_cells",
    "Counted",
    "TruePrevalence",
    "pooled_prevalence",
    "predictive_value_spread",
    "prevalence_posterior",
    "rogan_gladen",
    "true_prevalence",
    "true_prevalence_counted",
    "Contribution",
    "OwnRecord",
    "record_from_results",
    "Prior",
    "contribution_from_odds_ratio",
    "in_hundred",
    "prior",
    "Estimate",
    "proportion_ci",
    "zero_numerator_upper",
    "ResultSeen",
    "UninformativeWindow",
    "result_seen",
    "adjusted_risks",
    "combined_sensitivity",
    "component_sensitivity",
    "passive_sensitivity",
    "two_stage_sensitivity",
    "CutPointDesign",
    "NotReachable",
    "design_prevalence_upper",
    "freecalc_design",
    "n_detect_cannon_roe",
    "n_detect_exact",
    "n_detect_large",
    "n_detect_macdiarmid",
    "RiskBasedSize",
    "SampleSize",
    "n_for_sensitivity",
    "n_for_true_prevalence",
    "n_risk_based",
    "DayWorth",
    "TestTiming",
    "Timing",
    "timing",
    "TwoByTwo",
    "cohen_kappa",
    "two_by_two",
    "Condition",
    "NaturalFrequency",
    "natural_frequency",
]
