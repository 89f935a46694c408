"""Tracing of 60 dogs over 60 days: the time a person waits, on one core.

Logs: benchmarks/spread/books.py. Each is traced as `trace` does it by itself: as many
runs as it takes to be worth 400 unweighted ones. CPU-seconds of one process, one
thread; "first" has the compiled code loaded already, but nothing of this log packed.
Fails where a log takes `GOAL` CPU-seconds or more at its best.
Run: python -m benchmarks.spread.bench_trace
"""

import sys
import time
from dataclasses import replace

from benchmarks.spread.books import LogToTrace, logs_to_trace
from benchmarks.spread.memory import peak_memory
from kennelward.spread.model import Policy
from kennelward.spread.simulate import engine_for
from kennelward.spread.trace import Traced, trace

GOAL = 1.0  # CPU-seconds, warm
REPEATS = 5


def report(log: LogToTrace) -> bool:
    """Print one log's figures; True where it stays below the goal."""
    events = len(log.worlds[0].events)
    taken = []
    for again in range(REPEATS):
        # New worlds each time, packed anew.
        worlds = [replace(w, events=tuple(w.events)) for w in log.worlds]
        start = time.process_time()
        found = trace(worlds=worlds, results=log.results, now=log.now, seed=again)
        taken.append(time.process_time() - start)
        assert isinstance(found, Traced), found
    top = ", ".join(str(dog.dog) for dog in found.isolate_first()[:5])
    print(
        f"{log.name}: {events:,} events a run, {len(log.worlds)} worlds;"
        f" first {taken[0]:.2f} s CPU, best {min(taken):.2f}, worst {max(taken):.2f};"
        f" {found.runs:,} runs worth {found.effective:,.0f}; first five: {top}"
    )
    return min(taken) < GOAL


def main() -> int:
    """Print the table."""
    start = time.process_time()
    logs = logs_to_trace()
    engine_for(logs[0].worlds[0]).courses(Policy(), seed=1, first=0, count=1)
    print(f"compile or load of the cache: {time.process_time() - start:.2f} s CPU")
    short = [log.name for log in logs if not report(log)]
    for name in short:
        print(f"SHORT of its goal of {GOAL:g} s: {name}")
    print(peak_memory())
    return 1 if short else 0


if __name__ == "__main__":
    sys.exit(main())
