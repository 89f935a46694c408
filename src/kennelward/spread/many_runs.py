"""Many runs, cut by world so that any number of workers gives the same numbers.

One job is one world: every plan in it, with its own engines. Jobs share nothing; results
are put back in order of world, so sums do not depend on who was first.
"""

import hashlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np

from kennelward.spread.compiled import compiled
from kennelward.spread.kennel_now import Habits, KennelNow
from kennelward.spread.knowledge import Knowledge, World, drawn_world
from kennelward.spread.policies import Plan
from kennelward.spread.scenario_of import TestSetting, policy_in, scenario_of

WORLD_STRIDE = 1_000_000  # runs kept for one world
KEPT_WORLDS = 128  # in one process


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
    key: str = field(default="", repr=False)  # the same for the same question

    def __post_init__(self) -> None:
        told = (self.kennel, self.test, self.worlds_seed, self.knowledge.infection)
        numbers = sorted(self.knowledge.numbers.items())
        mark = hashlib.sha256(repr((told, numbers)).encode()).hexdigest()
        object.__setattr__(self, "key", mark)


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
    held = _world(job.question, job.world)
    kennel = job.question.kennel
    found = []
    for plan in job.plans:
        made = compiled(plan, isolation_room=kennel.isolation_room)
        engine = held.engine(job.question, made.habits)
        policy = policy_in(made, kennel, held.world)
        run = engine.weekly if job.weekly else engine.runs
        # Runs are numbered on through the worlds, so that no two worlds share luck.
        start = job.world * WORLD_STRIDE + job.first
        found.append(run(policy, seed=job.seed, first=start, count=job.count))
    return found


class _Held:
    """One world with its engines, kept while a question is worked on."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.engines: dict[Habits, Any] = {}

    def engine(self, asked: Question, habits: Habits) -> Any:
        """The engine of the scenario that these habits make."""
        from kennelward.spread.simulate import engine_for

        key = _scenario_habits(habits)
        if key not in self.engines:
            self.engines[key] = engine_for(
                scenario_of(
                    asked.kennel,
                    asked.knowledge,
                    self.world,
                    test=asked.test,
                    habits=key,
                    seed=asked.worlds_seed,
                )
            )
        return self.engines[key]


_held: "dict[tuple[str, int], _Held]" = {}


def _world(asked: Question, number: int) -> _Held:
    """The world of this number, made once a process as long as it is among the last."""
    key = (asked.key, number)
    found = _held.get(key)
    if found is None:
        made = _Held(
            drawn_world(asked.knowledge, seed=asked.worlds_seed, number=number)
        )
        found = _held.setdefault(key, made)  # each step is whole: threads share it
        for old in list(_held)[:-KEPT_WORLDS]:
            _held.pop(old, None)
    return found


def _scenario_habits(habits: Habits) -> Habits:
    """The part of the habits that changes the scenario, not only numbers in it."""
    return Habits(washes=habits.washes, order=habits.order)


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
