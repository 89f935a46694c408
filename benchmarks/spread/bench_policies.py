"""The time a person waits: 50 policies, and a tracing of 60 dogs over 60 days.

50 policies by successive halving on paired runs: 200 runs of each, the better half with
twice as many, and so on; then 4000 fresh runs of the last 3: 60 800 runs in all on 60
dogs x 180 days (benchmarks/spread/kennels.py), two threads. Target error: that of the
last 3, printed. "Cold" is this process's first call, with the compiler's cache on disk
from an earlier run. Tracing: 60 dogs, 120 moves, 6 results, no round.
Run: python -m benchmarks.spread.bench_policies
"""

import sys
import time
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from benchmarks.spread.kennels import fifty_policies, kennel
from kennelward.spread.model import (
    Course,
    Dog,
    Event,
    Happens,
    Place,
    Policy,
    Scenario,
    TestKind,
)
from kennelward.spread.simulate import Engine, engine_for
from kennelward.spread.tables import gamma_table
from kennelward.spread.trace import TestSeen, Traced, trace

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


def traced_kennel() -> Scenario:
    """60 dogs in 18 pens over 60 days, two moves a day."""
    rng = np.random.default_rng(4)
    moves = tuple(
        Event(
            at=float(rng.uniform(0.5, 59)),
            what=Happens.MOVE,
            a=int(rng.integers(60)),
            b=int(rng.integers(18)),
        )
        for _ in range(120)
    )
    return Scenario(
        dogs=tuple(Dog(uid=i, home=i % 18, chance_infected=0.01) for i in range(60)),
        places=tuple(Place(decay=0.1) for _ in range(18)),
        events=moves,
        course=Course(
            name="made for the benchmark",
            latency=gamma_table(mean=4.0, sd=1.0),
            shedding=gamma_table(mean=20.0, sd=6.0),
            sign_delay=gamma_table(mean=1.5, sd=0.7),
            direct=0.03,
            from_place=0.005,
        ),
        test=TestKind(sensitivity_silent=0.7, sensitivity_sick=0.8, specificity=0.99),
        days=60,
    )


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
    world = traced_kennel()
    seen = [
        TestSeen(dog=d, day=55.0, is_positive=d == 7) for d in (7, 25, 43, 2, 11, 30)
    ]
    for _ in range(2):
        start, cpu = time.perf_counter(), time.process_time()
        found = trace(worlds=[world], results=seen, now=60.0, seed=1, runs=8192)
        assert isinstance(found, Traced)
        print(
            f"tracing: {time.perf_counter() - start:.2f} s wall,"
            f" {time.process_time() - cpu:.2f} s CPU, {found.runs:,} runs worth"
            f" {found.effective:,.0f}"
        )
    print(peak_memory())
    return 0


def peak_memory() -> str:
    """What this process held at most, its libraries and compiled code included."""
    try:
        import resource
    except ImportError:  # not on Windows
        return "peak memory: not known here"
    held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return f"peak memory of this process: {held / 1024:,.0f} MB"


if __name__ == "__main__":
    sys.exit(main())
