"""The slow alarm of losses on 10 000 kennels: how often it is wrong, how soon it is right.

The litter alarm takes littermates as linked; beside it stands, as the peer, the same
alarm that counts puppies one by one, at its usual limit 3 (one false alarm in 254
litters if puppies were independent).

Run: python -m benchmarks.litters.bench_loss_alarm
"""

import os
import sys
from datetime import date

import numpy as np

from kennelward.handbook import load_handbook
from kennelward.litters import LitterLoss, alarm_chance, alarm_delay
from kennelward.litters.charts import loss_weights
from kennelward.litters.losses import litter_weight

MODEL = load_handbook().litters(date(2026, 1, 1)).losses
KENNELS = 1_000 if os.environ.get("KENNELWARD_BENCH_QUICK") else 10_000
LITTERS = 20
NAIVE_LIMIT = 3.0
NAIVE_SOLD_AS = 254


def litters(
    rng: np.random.Generator, count: int, *, chance: float, rho: float
) -> tuple[np.ndarray, np.ndarray]:
    """Born and lost of `count` litters: sizes as published (gamma, 5.4 +/- 2.8)."""
    drawn = rng.gamma((5.4 / 2.8) ** 2, 2.8**2 / 5.4, count)
    born = np.clip(np.rint(drawn), 1, 16).astype(int)
    a, b = chance * (1 - rho) / rho, (1 - chance) * (1 - rho) / rho
    return born, rng.binomial(born, rng.beta(a, b, count))


def signals(weights: np.ndarray, limit: float) -> float:
    """Share of kennels whose CUSUM reaches the limit; weights (kennels, litters)."""
    total, hit = np.zeros(len(weights)), np.zeros(len(weights), dtype=bool)
    for step in weights.T:
        total = np.maximum(0, total + step)
        hit |= total >= limit
    return float(hit.mean())


def main() -> int:
    """Print both tables."""
    rng = np.random.default_rng(20260101)
    table = np.full((17, 17), np.nan)
    for born in range(1, 17):
        for lost in range(born + 1):
            table[born, lost] = litter_weight(
                LitterLoss(born=born, lost=lost), chance=MODEL.chance, model=MODEL
            )
    dead, alive = loss_weights(chance=MODEL.chance, odds_ratio=MODEL.odds_ratio)
    odds = MODEL.chance / (1 - MODEL.chance) * MODEL.odds_ratio
    print(f"{KENNELS} kennels of {LITTERS} litters; limit {MODEL.limit}")
    for chance, says in (
        (MODEL.chance, "usual losses"),
        (odds / (1 + odds), "doubled"),
    ):
        for rho in (0.10, 0.20, 0.30):
            born, lost = litters(rng, KENNELS * LITTERS, chance=chance, rho=rho)
            shape = (KENNELS, LITTERS)
            ours = signals(table[born, lost].reshape(shape), MODEL.limit)
            each = (lost * dead + (born - lost) * alive).reshape(shape)
            naive = signals(each, NAIVE_LIMIT)
            print(
                f"  {says}, littermates linked {rho:.2f}: alarm in {ours:.3f} of kennels,"
                f" puppy by puppy {naive:.3f}"
            )
    sizes = litters(rng, 4000, chance=MODEL.chance, rho=0.2)[0].tolist()
    stated = alarm_chance(
        litters=LITTERS, sizes=sizes, at=MODEL.chance, chance=MODEL.chance, model=MODEL
    )
    sold = 1 - (1 - 1 / NAIVE_SOLD_AS) ** LITTERS
    print(f"  stated for usual losses: ours {stated:.3f}, puppy by puppy {sold:.3f}")
    for a_year in (1, 2, 4, 8, 16):
        delay = alarm_delay(
            litters_a_year=a_year, sizes=sizes, chance=MODEL.chance, model=MODEL
        )
        print(
            f"  {a_year} litters a year: notices a doubling after "
            f"{delay.detection_years:.1f} years, wrong once in "
            f"{delay.false_alarm_years:.0f} years"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
