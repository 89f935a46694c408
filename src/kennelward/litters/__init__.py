"""Litters: due dates, losses judged as a run, chips, units.

Pure arithmetic on dates, weights and counts. Never: a diagnosis, a cause of death, a
treatment, a file.
"""

from kennelward.litters.beta_binomial import LitterLoss, LossFit, fit
from kennelward.litters.chip import Chip, read_chip
from kennelward.litters.due_date import (
    BreedingFacts,
    DueDate,
    GestationModel,
    Mating,
    MatingMethod,
    Progesterone,
    TemperatureDrop,
    due_date,
)
from kennelward.litters.growth import (
    BirthClass,
    GrowthFlag,
    GrowthRules,
    GrowthWarning,
    Trend,
    Weight,
    birth_class,
    flag,
    trend,
    upper_curve,
    warnings,
)
from kennelward.litters.losses import (
    AlarmDelay,
    DatedLitter,
    LossFlag,
    LossModel,
    LossReview,
    ParentLoss,
    alarm_delay,
    compare_parents,
    review,
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
    "AlarmDelay",
    "Alert",
    "BirthClass",
    "BreedingFacts",
    "Chip",
    "DatedLitter",
    "DueDate",
    "GestationModel",
    "GrowthFlag",
    "GrowthRules",
    "GrowthWarning",
    "LitterLoss",
    "LossFit",
    "LossFlag",
    "LossModel",
    "LossReview",
    "Mating",
    "MatingMethod",
    "Night",
    "ParentLoss",
    "Progesterone",
    "Seen",
    "Sign",
    "TemperatureDrop",
    "Trend",
    "Urgency",
    "Weight",
    "WhelpingRules",
    "alarm_delay",
    "birth_class",
    "check_weight_unit",
    "compare_parents",
    "due_date",
    "fit",
    "flag",
    "night",
    "progesterone_ng_per_ml",
    "read_chip",
    "review",
    "trend",
    "upper_curve",
    "warnings",
]
