"""Is the due-date window calibrated? 80 % should hold 80 % of true births.

Two checks, because a model judged by its own simulator alone proves little:
1. births drawn from the model itself, for each kind of known fact;
2. births drawn from published gestation lengths (mean and SD as printed), which the
   model was not fitted to one by one.

Run: python -m benchmarks.litters.bench_due_date
"""

import sys
from datetime import date

import numpy as np

from kennelward.handbook import load_handbook
from kennelward.litters import BreedingFacts, Mating, MatingMethod
from kennelward.litters import due_date as due_date_of

DAY = date(2026, 1, 1)
MODEL = load_handbook().litters(DAY).due_date
DRAWS = 20_000
PUBLISHED = [
    ("LH day, Hollinshead & Hanlon 2017 (n 1203)", BreedingFacts(lh_on=DAY), 65.0, 1.9),
    ("ovulation, Mir 2011 (n 162)", BreedingFacts(ovulation_on=DAY), 63.1, 2.1),
    (
        "ovulation, conference abstract (n 1615)",
        BreedingFacts(ovulation_on=DAY),
        62.0,
        2.6,
    ),
    (
        "one timed mating, Okkens 2001 (n 113)",
        BreedingFacts(matings=(Mating(on=DAY),)),
        61.4,
        1.5,
    ),
    (
        "breeders' records, Alfort thesis (n 1009)",
        BreedingFacts(matings=(Mating(on=DAY),)),
        61.65,
        1.27,
    ),
    (
        "first AI frozen, Linde-Forsberg 1999 (n 327)",
        BreedingFacts(matings=(Mating(on=DAY, method=MatingMethod.FROZEN),)),
        61.8,
        2.4,
    ),
]


def held(low: date, high: date, births: np.ndarray) -> float:
    """Share of births inside the window; a length of 65.3 days is day 65, as printed."""
    first, last = (low - DAY).days, (high - DAY).days
    days = np.rint(births)
    return float(((days >= first) & (days <= last)).mean())


def own_simulator(rng: np.random.Generator) -> float:
    """LH day known with error; surge and birth drawn from the model."""
    model = MODEL.gestation
    surge = rng.normal(
        0, model.lh_test_sd_days, DRAWS
    )  # true surge, LH test said day 0
    births = surge + rng.normal(
        model.surge_to_birth_days, model.surge_to_birth_sd_days, DRAWS
    )
    found = due_date_of(BreedingFacts(lh_on=DAY), model=MODEL)
    return held(found.low, found.high, births)


def main() -> int:
    """Print the table."""
    rng = np.random.default_rng(20260101)
    print(
        "Share of births inside the 80 % window (aim: 0.80; whole days widen it a little)"
    )
    print(f"  own simulator, LH day: {own_simulator(rng):.3f}  ({DRAWS} draws)")
    for name, facts, mean, sd in PUBLISHED:
        found = due_date_of(facts, model=MODEL)
        births = rng.normal(mean, sd, DRAWS)
        window = f"{(found.low - DAY).days}-{(found.high - DAY).days}"
        median = (found.median - DAY).days
        share = held(found.low, found.high, births)
        print(
            f"  {name}: {share:.3f}  window day {window}, median {median},"
            f" published {mean} +/- {sd}"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
