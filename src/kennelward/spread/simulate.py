"""The door to the simulator: one engine, fast where Numba is there, plain otherwise."""

from typing import Protocol

import numpy as np

from kennelward.spread.engine_plain import PlainRun
from kennelward.spread.model import Outcome, Policy, Scenario
from kennelward.spread.packing import RESULTS
from kennelward.spread.plain_truth import weeks

WHOLE = (
    "cases", "carried_in", "deaths", "litters", "tests", "infected_at_end", "visits",
    "refused", "vaccinated", "treated",
)  # fmt: skip


class Engine(Protocol):
    """A scenario ready to run many times.

    A row depends on the scenario, the policy, the seed and its replicate's number alone:
    cut the work into blocks, give them to threads or workers, put the rows in order.
    """

    scenario: Scenario
    is_fast: bool

    def runs(self, policy: Policy, *, seed: int, first: int, count: int) -> np.ndarray:
        """(count, 15 + rules) float64: one row a run.

        Columns as in `RESULTS`, then what each rule of the policy took.
        """

    def weekly(
        self, policy: Policy, *, seed: int, first: int, count: int
    ) -> np.ndarray:
        """(count, weeks) int64: dogs infected here in each week of each run."""

    def courses(
        self, policy: Policy, *, seed: int, first: int, count: int
    ) -> np.ndarray:
        """(count, dogs, 4) float64: of each dog, in order of uid, its last infection.

        When it was infected, sheds from, sheds until, has signs from; in days, `NEVER`
        for what did not happen.
        """


class PlainEngine:
    """The plain simulator behind the same door, some thousand times slower."""

    is_fast = False

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario

    def runs(self, policy: Policy, *, seed: int, first: int, count: int) -> np.ndarray:
        """(count, 15 + rules) float64, see `Engine.runs`."""
        rows = []
        for replicate in range(first, first + count):
            run = PlainRun(self.scenario, policy, seed=seed, replicate=replicate)
            found = run.outcome()
            told = [float(getattr(found, name)) for name in RESULTS]
            rows.append([*told, *found.spent])
        return np.array(rows).reshape(count, len(RESULTS) + len(policy.rules))

    def weekly(
        self, policy: Policy, *, seed: int, first: int, count: int
    ) -> np.ndarray:
        """(count, weeks) int64: dogs infected here in each week of each run."""
        rows = []
        for replicate in range(first, first + count):
            run = PlainRun(self.scenario, policy, seed=seed, replicate=replicate)
            run.outcome()
            rows.append(run.weekly)
        return np.array(rows, dtype=np.int64).reshape(count, weeks(self.scenario.days))

    def courses(
        self, policy: Policy, *, seed: int, first: int, count: int
    ) -> np.ndarray:
        """(count, dogs, 4) float64, see `Engine.courses`."""
        told = np.empty((count, len(self.scenario.dogs), 4))
        for row in range(count):
            run = PlainRun(self.scenario, policy, seed=seed, replicate=first + row)
            run.outcome()
            for dog in run.dogs:
                told[row, dog.index] = (
                    dog.infected_at, dog.starts, dog.ends, dog.signs_at,
                )  # fmt: skip
        return told


def engine_for(scenario: Scenario) -> Engine:
    """The fast engine where Numba can be loaded, else the plain one.

    Compiled code is kept on disk: the first use on a machine waits for the compiler.
    """
    from kennelward.spread.fast_state import IS_FAST

    if not IS_FAST:
        return PlainEngine(scenario)
    from kennelward.spread.engine_fast import FastEngine

    return FastEngine(scenario)


def outcome(engine: Engine, policy: Policy, *, seed: int, replicate: int) -> Outcome:
    """One run as an `Outcome`."""
    row = engine.runs(policy, seed=seed, first=replicate, count=1)[0]
    told, spent = row[: len(RESULTS)].tolist(), tuple(row[len(RESULTS) :].tolist())
    values = dict(zip(RESULTS, told, strict=True))
    given = {k: int(v) if k in WHOLE else v for k, v in values.items()}
    return Outcome(**given, spent=spent)
