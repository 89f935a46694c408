"""Whole jobs of a day, composed from the rooms: values in, values out.

Never: a database, a file, a clock, a web page. Desk and terminal call these and add
nothing of their own.
"""

from kennelward.rounds.agreement import EyesAgreement, eyes_agreement
from kennelward.rounds.ahead_view import AheadSettings
from kennelward.rounds.answers import (
    KitAnswer,
    ProgrammeTest,
    when_can_answer,
)
from kennelward.rounds.answers_for_dogs import dog_answer, dog_answers
from kennelward.rounds.case import CaseResult, DogCase, case_from_book
from kennelward.rounds.danger import danger_summary
from kennelward.rounds.figures import leaflet_figures, with_own_figures
from kennelward.rounds.growth import (
    PuppyGrowth,
    litter_growth,
    usual_weight_g,
)
from kennelward.rounds.losses import (
    dated_litters,
    kennel_losses,
    loss_pattern,
    losses_delay,
    next_litter_to_alarm,
    parents_compared,
    pregnancies_lost,
)
from kennelward.rounds.next_step import (
    NextStepAdvice,
    advise,
    advise_by_prices,
    next_step,
)
from kennelward.rounds.outbreak_json import answer_as_plain
from kennelward.rounds.outcome import TestOutcome, test_outcome
from kennelward.rounds.paired import OwnResults, own_results
from kennelward.rounds.plan import KennelPlan, kennel_plan
from kennelward.rounds.plan_outbreak import (
    Asked,
    OutbreakAnswer,
    Prepared,
    plan_outbreak,
    prepare_outbreak,
)
from kennelward.rounds.pregnancy import PregnancyPlan, pregnancy_plan
from kennelward.rounds.prices import assumed_harms, harms_of, prices_of, prices_said
from kennelward.rounds.puppy_file import (
    PuppyFile,
    ReadyToLeave,
    puppy_file,
    ready_to_leave,
)
from kennelward.rounds.read_and_plan import (
    ReadingJob,
    ReadingOutcome,
    measured_fact,
    read_and_plan,
)
from kennelward.rounds.readiness import (
    Level,
    ReadinessCheck,
    danger_stands,
    test_readiness,
)
from kennelward.rounds.set_aside import SetAside, set_aside
from kennelward.rounds.shelf import ShelfPlan, shelf_plan
from kennelward.rounds.standing import (
    PregnancyStanding,
    PregnancyState,
    PregnancyTest,
    pregnancy_worth,
)
from kennelward.rounds.story import StoryStep, chance_story, disagreement
from kennelward.rounds.sure import (
    Assumptions,
    Sureness,
    how_sure,
    infections_of,
    usual_assumptions,
)
from kennelward.rounds.sure_plan import SurePlan, plan_sure
from kennelward.rounds.suspects import (
    Exposure,
    Suspect,
    contain,
    exposures_by_dog,
    suspects,
)
from kennelward.rounds.whelping import whelping_night
from kennelward.rounds.worth import (
    DogInterpretation,
    dog_worth,
    interpret_case,
    interpretation_of,
    weigh_case,
)

__all__ = [
    "SetAside",
    "set_aside",
    "disagreement",
    "advise_by_prices",
    "interpretation_of",
    "Assumptions",
    "NextStepAdvice",
    "advise",
    "assumed_harms",
    "harms_of",
    "next_step",
    "prices_of",
    "prices_said",
    "OwnResults",
    "own_results",
    "StoryStep",
    "chance_story",
    "weigh_case",
    "leaflet_figures",
    "with_own_figures",
    "AheadSettings",
    "Asked",
    "CaseResult",
    "DogCase",
    "DogInterpretation",
    "Exposure",
    "EyesAgreement",
    "KennelPlan",
    "KitAnswer",
    "Level",
    "PregnancyPlan",
    "ProgrammeTest",
    "PregnancyStanding",
    "PregnancyState",
    "PregnancyTest",
    "PuppyFile",
    "OutbreakAnswer",
    "Prepared",
    "PuppyGrowth",
    "ReadinessCheck",
    "ReadyToLeave",
    "ReadingJob",
    "ReadingOutcome",
    "ShelfPlan",
    "SurePlan",
    "Sureness",
    "Suspect",
    "TestOutcome",
    "answer_as_plain",
    "case_from_book",
    "contain",
    "danger_stands",
    "danger_summary",
    "dated_litters",
    "dog_answer",
    "dog_answers",
    "dog_worth",
    "exposures_by_dog",
    "eyes_agreement",
    "how_sure",
    "infections_of",
    "interpret_case",
    "kennel_losses",
    "kennel_plan",
    "litter_growth",
    "loss_pattern",
    "losses_delay",
    "measured_fact",
    "next_litter_to_alarm",
    "parents_compared",
    "plan_sure",
    "pregnancies_lost",
    "pregnancy_plan",
    "pregnancy_worth",
    "puppy_file",
    "plan_outbreak",
    "prepare_outbreak",
    "read_and_plan",
    "ready_to_leave",
    "shelf_plan",
    "suspects",
    "test_outcome",
    "test_readiness",
    "usual_assumptions",
    "when_can_answer",
    "usual_weight_g",
    "whelping_night",
]
