"""The exact SISe model beside the best general way to run it, interleaved, on one core.

20 pens of 3 dogs, 180 days; numbers in `spread.sise.Sise`. Ours: `pens_runs` (counts,
exact) and `dogs_runs` (every dog, keyed luck, exact). Peer: NumPy over 500 kennels at
once, one coin flip a dog and day, which is an approximation, in 32-bit numbers, its
quickest form we know. EoN and starsim have no contamination that feeds back into the
rate, so they cannot run this model; where they are installed (not by us) EoN's exact SIR
on 60 dogs is timed for scale, else the line says that it is missing.
Run: python -m benchmarks.spread.bench_sise
"""

import importlib.metadata
import sys
import time
from collections.abc import Callable

import numpy as np

from kennelward.spread.sise import Sise, dogs_runs, pens_runs

MODEL = Sise()
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


def eon_rate() -> str:
    """EoN's exact SIR on the complete graph of 60, for scale: another, easier model."""
    try:
        import EoN
        import networkx
    except ImportError:
        return "EoN is not installed here: skipped"
    graph, runs = networkx.complete_graph(60), 300
    start = time.process_time()
    for _ in range(runs):
        EoN.fast_SIR(graph, 0.3 / 60, 0.15, initial_infecteds=[0])
    rate = runs / (time.process_time() - start)
    version = importlib.metadata.version("EoN")
    return f"EoN {version}, SIR on 60 dogs (not this model): {rate:,.0f} a CPU-second"


def main() -> int:
    """Print the table."""
    compiled(pens_runs, 1)
    compiled(dogs_runs, 1)
    rng = np.random.default_rng(1)
    works: dict[str, tuple[Callable[[], float], int]] = {
        "counts of pens, exact": (lambda: compiled(pens_runs, 4000), 4000),
        "every dog, keyed, exact": (lambda: compiled(dogs_runs, 4000), 4000),
        "NumPy, coin flips": (lambda: numpy_runs(1000, rng), 1000),
    }
    best = dict.fromkeys(works, 0.0)
    means: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(REPEATS):
        for name, (work, runs) in works.items():
            start = time.process_time()
            means[name].append(work())
            best[name] = max(best[name], runs / (time.process_time() - start))
    peer = best["NumPy, coin flips"]
    print(f"SISe, NumPy {np.__version__}, Numba {importlib.metadata.version('numba')}")
    for name, speed in best.items():
        print(
            f"  {name}: {speed:,.0f} runs a CPU-second, {speed / peer:.1f} x NumPy,"
            f" mean share infected {np.mean(means[name]):.4f}"
        )
    print(f"  {eon_rate()}")
    print("  starsim has no contamination that feeds back; it is not compared.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
