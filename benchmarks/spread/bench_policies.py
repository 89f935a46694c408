"""The time a person waits for 50 policies.

50 policies by successive halving on paired runs: 200 runs of each, the better half with
twice as many, and so on; then 4000 fresh runs of the last 3: 60 800 runs in all on 60
dogs x 180 days (benchmarks/spread/kennels.py), two threads. Target error: that of the
last 3, printed. "Cold" is this process's first call, with the compiler's cache on disk
from an earlier run.
Run: python -m benchmarks.spread.bench_policies
"""

import sys
import time
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from benchmarks.spread.kennels import fifty_policies, kennel
from benchmarks.spread.memory import peak_memory
from kennelward.spread.model import Policy
from kennelward.spread.simulate import Engine, engine_for

COST = 7  # column of `RESULTS`
FIRST, FINAL, LEFT = 200, 4000, 3


def halving(engine: Engine, pool: ThreadPoolExecutor) -> tuple[int, float]:
    """(runs made, standard error of the paired difference between the two best)."""
    held: list[Policy] = fifty_policies()
    runs, made, done = FIRST, 0, 0
    while True:
        tables = list(
            pool.map(
                lambda p, n=runs, at=done: engine.runs(p, seed=1, first=at, count=n),
                held,
            )
        )
        made += runs * len(held)
        order = np.argsort([table[:, COST].mean() for table in tables])
        if runs == FINAL:
            best, second = (tables[order[k]][:, COST] for k in (0, 1))
            return made, float((best - second).std() / np.sqrt(runs))
        done += runs
        held = [held[k] for k in order[: max(LEFT, len(held) // 2)]]
        runs = FINAL if len(held) == LEFT else runs * 2


def main() -> int:
    """Print the table."""
    engine = engine_for(kennel(dogs=60, pens=18, days=180))
    with ThreadPoolExecutor(2) as pool:
        for name in ("cold", "warm", "warm"):
            start, cpu = time.perf_counter(), time.process_time()
            made, error = halving(engine, pool)
            print(
                f"50 policies, {name}: {time.perf_counter() - start:.2f} s wall,"
                f" {time.process_time() - cpu:.2f} s CPU, {made:,} runs, error of the"
                f" last difference {error:.1f}"
            )
    print(peak_memory())
    return 0


if __name__ == "__main__":
    sys.exit(main())
