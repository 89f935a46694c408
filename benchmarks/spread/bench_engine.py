"""Runs per CPU-second of the fast engine, beside the plain one, in one process.

Scenario: fixed by tests/spread/drawing.py (seed 1), 60 dogs, 24 places, 180 days, and
200 dogs, 80 places, 365 days. The first compile is printed apart.
Run: python -m benchmarks.spread.bench_engine
"""

import sys
import time

from kennelward.spread.engine_fast import FastEngine
from kennelward.spread.engine_plain import run_plain
from kennelward.spread.model import Scenario
from tests.spread.drawing import drawn_policy, drawn_scenario

SIZES = (
    (60, 24, 180, 40, 5),
    (200, 80, 365, 4, 1),
)  # dogs, places, days, runs fast, runs plain


def rate(scenario: Scenario, *, fast: int, plain: int) -> tuple[float, float, float]:
    """Runs a CPU-second, fast and plain, and cases a run; best of three."""
    policy, engine = drawn_policy(1), FastEngine(scenario)
    best = 0.0
    for _ in range(2):
        start = time.process_time()
        rows = engine.runs(policy, seed=1, first=0, count=fast)
        best = max(best, fast / (time.process_time() - start))
    start = time.process_time()
    for replicate in range(plain):
        run_plain(scenario, policy, seed=1, replicate=replicate)
    return best, plain / (time.process_time() - start), float(rows[:, 0].mean())


def main() -> int:
    """Print the table."""
    start = time.perf_counter()
    FastEngine(drawn_scenario(1)).runs(drawn_policy(1), seed=1, first=0, count=1)
    print(
        f"first run, compile or load of the cache: {time.perf_counter() - start:.1f} s"
    )
    for dogs, places, days, fast, plain in SIZES:
        scenario = drawn_scenario(1, dogs=dogs, places=places, days=days)
        quick, slow, cases = rate(scenario, fast=fast, plain=plain)
        print(
            f"{dogs} dogs x {days} days, {len(scenario.events)} events a run,"
            f" {cases:.1f} cases a run: fast {quick:,.0f} runs a CPU-second,"
            f" plain {slow:,.1f}, ratio {quick / slow:,.0f}"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
