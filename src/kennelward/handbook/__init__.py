"""Every number, rule and caution, read from TOML with its source: the only reader of files.

Never: a decision, a chance worked out, a drug dose. A file that breaks its promise is
refused with its name, the key, what is allowed and the fix.

    load_handbook(overlays=[folder]) -> Handbook
    handbook.kits["giardia-antigen"].drops, .performances, .windows, .steps, .layout
    handbook.kits["relaxin"].curve_from("mating")   when it can answer
    handbook.infections["brucella"].values["clearing_days"].value
    handbook.number("brucella.clearing_days")
    handbook.litters(on) -> litters.LitterNumbers, as in force that day
    handbook.methods["flotation"].performance_for("giardia", days_sampled=3)
    handbook.prior_for("giardia", DogFacts(age_days=63, signs=("soft-stool",)))
    handbook.programmes -> programme.ProgrammeRules
    handbook.cautions["gloves"].says, .values(), .hash, .sources
"""

from kennelward.handbook.by_day import ByDay, CountedFrom
from kennelward.handbook.check import HandbookError
from kennelward.handbook.handbook import Handbook, Programme
from kennelward.handbook.infection import (
    Caution,
    DogFacts,
    Infection,
    PriorBase,
    Priors,
    PriorStep,
    PriorWhen,
)
from kennelward.handbook.kit import Kit, LeafletStep, Method, MethodPerformance
from kennelward.handbook.load import load_handbook

__all__ = [
    "ByDay",
    "Caution",
    "CountedFrom",
    "DogFacts",
    "Handbook",
    "HandbookError",
    "Infection",
    "Kit",
    "LeafletStep",
    "Method",
    "MethodPerformance",
    "PriorBase",
    "PriorStep",
    "PriorWhen",
    "Priors",
    "Programme",
    "load_handbook",
]
