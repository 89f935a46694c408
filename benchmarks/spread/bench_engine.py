"""Runs per CPU-second of the whole simulator, fast beside plain, in one process.

Scenarios: benchmarks/spread/kennels.py. "A first one infected" runs the same kennel with
an infected dog at the start, so that no run is quiet. The compiler's time is printed
apart; with its cache on disk the same line is the time of a cold start.
Run: python -m benchmarks.spread.bench_engine
"""

import sys
import time
from dataclasses import replace

from benchmarks.spread.kennels import BASE, fifty_policies, kennel
from kennelward.spread.engine_plain import run_plain
from kennelward.spread.model import Policy, Scenario
from kennelward.spread.simulate import Engine, engine_for

SIZES = ((60, 18, 180, 4000), (200, 60, 365, 600))  # dogs, pens, days, runs
REPEATS = 5


def rate(engine: Engine, policy: Policy, runs: int) -> tuple[float, float]:
    """Runs a CPU-second, and cases a run."""
    start = time.process_time()
    rows = engine.runs(policy, seed=1, first=0, count=runs)
    return runs / (time.process_time() - start), float(rows[:, 0].mean())


def with_a_first_case(scenario: Scenario) -> Scenario:
    """The same kennel with dog 0 infected at the start."""
    first, *others = scenario.dogs
    return replace(scenario, dogs=(replace(first, chance_infected=1.0), *others))


def report(name: str, engine: Engine, policies: list[Policy], runs: int) -> None:
    """Print the best of some repeats, over all the policies."""
    best, cases = 0.0, 0.0
    for _ in range(REPEATS):
        found = [rate(engine, policy, runs // len(policies)) for policy in policies]
        mean = len(found) / sum(1 / speed for speed, _ in found)
        best = max(best, mean)
        cases = sum(cases for _, cases in found) / len(found)
    print(f"  {name}: {best:,.0f} runs a CPU-second, {cases:.2f} cases a run")


def main() -> int:
    """Print the table."""
    start = time.perf_counter(), time.process_time()
    engine_for(kennel(dogs=6, pens=2, days=9)).runs(BASE, seed=1, first=0, count=1)
    wall, cpu = time.perf_counter() - start[0], time.process_time() - start[1]
    print(
        f"first run, compile or load of the cache: {wall:.1f} s wall, {cpu:.1f} s CPU"
    )
    for dogs, pens, days, runs in SIZES:
        scenario = kennel(dogs=dogs, pens=pens, days=days)
        print(f"{dogs} dogs x {days} days, {len(scenario.events):,} events a run:")
        engine = engine_for(scenario)
        report("one policy", engine, [BASE], runs)
        report("50 policies", engine, fifty_policies(), 50 * (runs // 20))
        infected = engine_for(with_a_first_case(scenario))
        report("a first one infected", infected, [BASE], runs // 4)
        start_plain = time.process_time()
        run_plain(scenario, BASE, seed=1, replicate=0)
        print(
            f"  plain: {1 / (time.process_time() - start_plain):,.2f} runs a CPU-second"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
