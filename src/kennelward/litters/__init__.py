"""Litters: due dates, nights of whelping, growth, losses judged as a run, chips, units.

Pure arithmetic on dates, weights and counts; every number from a paper comes in from the
handbook. Never: a diagnosis, a cause of death, a treatment, a file.

    due_date(BreedingFacts(lh_on=day), model=numbers.due_date) -> DueDate
    pregnancy_windows(facts, days=numbers.test_days, model=numbers.due_date)
    expected_litter(facts, model=numbers.due_date.litter_size) -> LitterSize
    night(seen, now=moment, rules=numbers.whelping) -> Night
    warnings(weights, born_at=moment, model=numbers.growth) -> GrowthWarning, ...
    review(litters, on=day, model=numbers.losses) -> LossReview
    alarm_delay(litters_a_year=4, sizes=..., chance=..., model=numbers.losses)
"""

from kennelward.litters.beta_binomial import LitterLoss, LossFit, fit
from kennelward.litters.breeding import (
    AgedByScan,
    BreedingFacts,
    Mating,
    Progesterone,
    PuppyCount,
    TemperatureDrop,
)
from kennelward.litters.chip import Chip, read_chip
from kennelward.litters.due_date import (
    DueDate,
    FactSays,
    Surge,
    due_date,
    each_fact_says,
    surge_day,
)
from kennelward.litters.gestation import (
    DueDateModel,
    GestationModel,
    LitterSizeModel,
    MatingMethod,
    MatingTime,
    NearTerm,
    SeasonProgesterone,
    TestDays,
)
from kennelward.litters.growth import (
    Band,
    Expected,
    GrowthModel,
    GrowthRules,
    Trend,
    TrendModel,
    Weight,
    expected_bands,
    trend,
)
from kennelward.litters.growth_standards import (
    AdultShare,
    BestCurve,
    BirthClass,
    BirthWeights,
    BreedBirth,
    BreedShare,
    SizeBirth,
)
from kennelward.litters.growth_warnings import (
    GrowthFlag,
    GrowthWarning,
    flag,
    lines_fallen,
    warnings,
)
from kennelward.litters.litter_size import LitterSize, expected_litter
from kennelward.litters.loss_alarm import AlarmDelay, alarm_chance, alarm_delay
from kennelward.litters.loss_parents import ParentLoss, compare_parents
from kennelward.litters.losses import (
    DatedLitter,
    LossFlag,
    LossModel,
    LossReview,
    losses_to_alarm,
    review,
)
from kennelward.litters.numbers import LitterNumbers
from kennelward.litters.pregnancy import (
    PregnancyWindows,
    is_overdue,
    pregnancy_windows,
)
from kennelward.litters.rates import (
    LostPregnancies,
    chance_of_count,
    count_limits,
    lost_pregnancies,
)
from kennelward.litters.units import check_weight_unit, progesterone_ng_per_ml
from kennelward.litters.whelping import (
    Alert,
    Night,
    Seen,
    Sign,
    Urgency,
    WhelpingRules,
    night,
)

__all__ = [
    "AdultShare",
    "AgedByScan",
    "AlarmDelay",
    "Alert",
    "Band",
    "BestCurve",
    "BirthClass",
    "BirthWeights",
    "BreedBirth",
    "BreedShare",
    "BreedingFacts",
    "Chip",
    "DatedLitter",
    "DueDate",
    "DueDateModel",
    "Expected",
    "FactSays",
    "GestationModel",
    "GrowthFlag",
    "GrowthModel",
    "GrowthRules",
    "GrowthWarning",
    "LitterLoss",
    "LitterNumbers",
    "LitterSize",
    "LitterSizeModel",
    "LossFit",
    "LossFlag",
    "LossModel",
    "LossReview",
    "LostPregnancies",
    "Mating",
    "MatingMethod",
    "MatingTime",
    "NearTerm",
    "Night",
    "ParentLoss",
    "PregnancyWindows",
    "Progesterone",
    "PuppyCount",
    "SeasonProgesterone",
    "Seen",
    "Sign",
    "SizeBirth",
    "Surge",
    "TemperatureDrop",
    "TestDays",
    "Trend",
    "TrendModel",
    "Urgency",
    "Weight",
    "WhelpingRules",
    "alarm_chance",
    "alarm_delay",
    "chance_of_count",
    "check_weight_unit",
    "compare_parents",
    "count_limits",
    "due_date",
    "each_fact_says",
    "expected_bands",
    "expected_litter",
    "fit",
    "flag",
    "is_overdue",
    "lines_fallen",
    "losses_to_alarm",
    "lost_pregnancies",
    "night",
    "pregnancy_windows",
    "progesterone_ng_per_ml",
    "read_chip",
    "review",
    "surge_day",
    "trend",
    "warnings",
]
