"""Many runs, cut by world so that any number of workers gives the same numbers.

One job is one world: every plan in it, with its own engines. Jobs share nothing; results
are put back in order of world, so sums do not depend on who was first.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from kennelward.spread.kennel_now import Habits, KennelNow
from kennelward.spread.knowledge import Knowledge, drawn_world
from kennelward.spread.policies import Plan, compiled
from kennelward.spread.scenario_of import TestSetting, policy_in, scenario_of

WORLD_STRIDE = 1_000_000  # runs kept for one world


class Workers(Protocol):
    """Something that does jobs and gives the results in the jobs' order."""

    def map(self, do: Callable[[Any], Any], jobs: Iterable[Any]) -> Iterator[Any]:
        """`do` of each job, in order."""


class OneWorker:
    """Does one job after the other."""

    def map(self, do: Callable[[Any], Any], jobs: Iterable[Any]) -> Iterator[Any]:
        """`do` of each job, in order."""
        return map(do, jobs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A kennel, an infection and a test: everything that does not change with a plan."""

    kennel: KennelNow
    knowledge: Knowledge
    test: TestSetting
    worlds_seed: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One world for one worker."""

    question: Question
    plans: tuple[Plan, ...]
    world: int
    first: int  # run of the first row
    count: int
    seed: int
    weekly: bool = False  # cases a week in place of outcomes


def do_job(job: Job) -> list[np.ndarray]:
    """The runs of each plan in one world: (count, columns), or (count, weeks)."""
    from kennelward.spread.simulate import engine_for

    asked = job.question
    world = drawn_world(asked.knowledge, seed=asked.worlds_seed, number=job.world)
    engines: dict[Habits, Any] = {}
    found = []
    for plan in job.plans:
        made = compiled(plan, isolation_room=asked.kennel.isolation_room)
        key = _scenario_habits(made.habits)
        if key not in engines:
            engines[key] = engine_for(
                scenario_of(
                    asked.kennel,
                    asked.knowledge,
                    world,
                    test=asked.test,
                    habits=key,
                    seed=asked.worlds_seed,
                )
            )
        policy = policy_in(made.policy, asked.kennel, world, made.habits)
        run = engines[key].weekly if job.weekly else engines[key].runs
        # Runs are numbered on through the worlds, so that no two worlds share luck.
        start = job.world * WORLD_STRIDE + job.first
        found.append(run(policy, seed=job.seed, first=start, count=job.count))
    return found


def _scenario_habits(habits: Habits) -> Habits:
    """The part of the habits that changes the scenario, not only numbers in it."""
    return Habits(
        refuse_arrivals=habits.refuse_arrivals,
        refuse_visits=habits.refuse_visits,
        test_visitors=habits.test_visitors,
    )


class ManyRuns:
    """Runs plans in worlds with some workers; counts what is done."""

    def __init__(
        self,
        question: Question,
        *,
        workers: Workers | None = None,
        said: Callable[[int], None] | None = None,
    ) -> None:
        self.question = question
        self.workers = workers or OneWorker()
        self.said = said
        self.done = 0  # runs

    def __call__(
        self,
        plans: Sequence[Plan],
        worlds: tuple[int, int],
        runs: tuple[int, int],
        seed: int,
    ) -> dict[str, np.ndarray]:
        """{plan id: (worlds, runs, columns)}."""
        return self._run(plans, worlds, runs, seed, weekly=False)

    def weekly(
        self, plans: Sequence[Plan], worlds: tuple[int, int], count: int, seed: int
    ) -> dict[str, np.ndarray]:
        """{plan id: (worlds x count, weeks)} of cases in each week."""
        found = self._run(plans, worlds, (0, count), seed, weekly=True)
        return {name: rows.reshape(-1, rows.shape[-1]) for name, rows in found.items()}

    def _run(
        self,
        plans: Sequence[Plan],
        worlds: tuple[int, int],
        runs: tuple[int, int],
        seed: int,
        *,
        weekly: bool,
    ) -> dict[str, np.ndarray]:
        first, count = runs
        jobs = [
            Job(
                question=self.question,
                plans=tuple(plans),
                world=world,
                first=first,
                count=count,
                seed=seed,
                weekly=weekly,
            )
            for world in range(worlds[0], worlds[0] + worlds[1])
        ]
        by_world = []
        for found in self.workers.map(do_job, jobs):
            by_world.append(found)
            self.done += count * len(plans)
            if self.said is not None:
                self.said(self.done)
        return {
            plan.id: np.stack([rows[number] for rows in by_world])
            for number, plan in enumerate(plans)
        }
