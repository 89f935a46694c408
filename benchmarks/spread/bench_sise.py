"""The exact SISe model beside the best general way to run it, interleaved, on one core.

20 pens of 3 dogs, 180 days; numbers in `spread.sise.Sise`. Ours: `pens_runs` (counts,
exact) and `dogs_runs` (every dog, keyed luck, exact). Peers: NumPy over 500 kennels at
once, one coin flip a dog and day, which is an approximation, in 32-bit numbers, its
quickest form we know; and, where requirements/bench.txt is installed, starsim with the
same model written in it, and EoN for scale (benchmarks/spread/peers.py says how).
Fails where ours is below its goal: 4 times the best peer for counts, 3 times for dogs.
Run: python -m benchmarks.spread.bench_sise
"""

import sys
import time
from collections.abc import Callable

import numpy as np

from benchmarks.spread.peers import eon_rate, starsim_runs, version
from kennelward.spread.sise import Sise, dogs_runs, pens_runs

MODEL = Sise()
COUNTS, DOGS = "counts of pens, exact", "every dog, keyed, exact"
GOALS = {COUNTS: 4.0, DOGS: 3.0}  # times the best peer
REPEATS = 7
BATCH = 500


def compiled(kernel: Callable[..., None], runs: int) -> float:
    """Mean prevalence of so many runs by one of our kernels."""
    mean, last = np.zeros(runs), np.zeros(runs)
    kernel(MODEL, 1, 0, mean, last)
    return float(mean.mean())


def numpy_runs(runs: int, rng: np.random.Generator) -> float:
    """The same with daily coin flips, all kennels of a batch at once."""
    m, total = MODEL, 0.0
    recover = np.float32(1 - np.exp(-m.recover))
    shape = (BATCH, m.pens, m.dogs)
    for _ in range(runs // BATCH):
        sick = np.zeros(shape, dtype=bool)
        sick[:, : m.infected_start, 0] = True
        phi = np.full((BATCH, m.pens), m.phi_start, dtype=np.float32)
        draws = np.empty(shape, dtype=np.float32)
        for _ in range(m.days):
            rng.random(dtype=np.float32, out=draws)
            infect = (1 - np.exp(np.float32(-m.infect) * phi))[:, :, None]
            sick ^= draws < np.where(sick, recover, infect)
            inside = sick.sum(axis=2, dtype=np.float32)
            total += float(inside.sum())
            phi *= np.float32(1 - m.fade)
            phi += inside * np.float32(m.shed / m.dogs) + np.float32(m.inflow)
    return total / (runs * m.days * m.pens * m.dogs)


def main() -> int:
    """Print the table."""
    compiled(pens_runs, 1)
    compiled(dogs_runs, 1)
    rng = np.random.default_rng(1)
    works: dict[str, tuple[Callable[[], float], int]] = {
        COUNTS: (lambda: compiled(pens_runs, 4000), 4000),
        DOGS: (lambda: compiled(dogs_runs, 4000), 4000),
        "NumPy, coin flips": (lambda: numpy_runs(1000, rng), 1000),
    }
    if starsim := starsim_runs(MODEL):
        starsim(BATCH)
        works[f"starsim {version('starsim')}, daily steps"] = (
            lambda: starsim(2 * BATCH),
            2 * BATCH,
        )
    best = dict.fromkeys(works, 0.0)
    means: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(REPEATS):
        for name, (work, runs) in works.items():
            start = time.process_time()
            means[name].append(work())
            best[name] = max(best[name], runs / (time.process_time() - start))
    peer, fastest = max(
        (speed, name) for name, speed in best.items() if name not in GOALS
    )
    print(
        f"SISe, NumPy {np.__version__}, Numba {version('numba')}, one core, best of 7"
    )
    for name, speed in best.items():
        print(
            f"  {name}: {speed:,.0f} runs a CPU-second, {speed / peer:.2f} x the best"
            f" peer, mean share infected {np.mean(means[name]):.4f}"
        )
    print(f"  the best peer was {fastest}")
    if starsim is None:
        print("  starsim is not installed here (requirements/bench.txt): skipped")
    print(f"  {eon_rate()}")
    short = [name for name, goal in GOALS.items() if best[name] < goal * peer]
    for name in short:
        print(f"  SHORT of its goal of {GOALS[name]:g} x: {name}")
    return 1 if short else 0


if __name__ == "__main__":
    sys.exit(main())
