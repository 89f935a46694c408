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

__all__ = [
    "AlarmDelay",
    "BreedingFacts",
    "Chip",
    "DatedLitter",
    "DueDate",
    "GestationModel",
    "LitterLoss",
    "LossFit",
    "LossFlag",
    "LossModel",
    "LossReview",
    "Mating",
    "MatingMethod",
    "ParentLoss",
    "Progesterone",
    "TemperatureDrop",
    "alarm_delay",
    "check_weight_unit",
    "compare_parents",
    "due_date",
    "fit",
    "progesterone_ng_per_ml",
    "read_chip",
    "review",
]
