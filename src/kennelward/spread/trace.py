"""Who may have it now, and who may have brought it in: weighted runs over the real log.

The kennel's own moves are fixed; each run draws who brought the infection in and how it
ran, and counts as much as it explains all test results (importance sampling). To waste
fewer runs, carriers are drawn more often than they are thought to be and each run is
weighed back. Never: a diagnosis, a blame; the chances hold only as far as the log does.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kennelward.spread.keyed import Stream, uniforms
from kennelward.spread.model import Policy, Scenario
from kennelward.spread.simulate import engine_for
from kennelward.spread.tables import STEPS, detectability
from kennelward.terms import BadInput, check_range

LEAST_EFFECTIVE = 200  # below it nothing is ranked
WANTED_EFFECTIVE = 1000
CARRIERS_A_RUN = 1.0  # expected number of carriers drawn in a run
LIKELIEST_DRAW = 0.5  # of one dog, unless it is thought to be likelier
BLOCK = 4096  # runs at a time: bounds the memory to about 10 MB for 60 dogs


@dataclass(frozen=True, slots=True, kw_only=True)
class TestSeen:
    """A test in the log: which dog, on which day of the log, what it said."""

    __test__ = False  # not a test case of pytest

    dog: int  # uid
    day: float
    is_positive: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DogTraced:
    """One dog's chances, 0 to 1, given all results and this log."""

    dog: int  # uid
    infected_now: float
    found_now: float  # infected now, and a test today would find it
    brought_in: float  # it carried the infection in
    sheds_for: float  # expected days of shedding still to come
    error: float  # one standard error of `infected_now`, from the number of runs


@dataclass(frozen=True, slots=True, kw_only=True)
class Traced:
    """Chances of every dog, in order of uid."""

    dogs: tuple[DogTraced, ...]
    evidence: float  # chance of these results
    runs: int
    effective: float  # runs that the weighted ones are worth

    def isolate_first(self) -> tuple[DogTraced, ...]:
        """The likeliest to have it first; equal ones by the shedding to come."""
        return tuple(
            sorted(self.dogs, key=lambda d: (-d.infected_now, -d.sheds_for, d.dog))
        )

    def test_first(self) -> tuple[DogTraced, ...]:
        """Those in which a test today would find it, likeliest first."""
        return tuple(
            sorted(self.dogs, key=lambda d: (-d.found_now, -d.infected_now, d.dog))
        )

    def likely_source(self) -> tuple[DogTraced, ...]:
        """The likeliest to have brought it in first. No evidence against anybody."""
        return tuple(
            sorted(self.dogs, key=lambda d: (-d.brought_in, -d.infected_now, d.dog))
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class TooFewRuns:
    """The results are so unlikely under this log that a ranking would be luck."""

    effective: float
    runs: int


def trace(
    *,
    worlds: Sequence[Scenario],
    results: Sequence[TestSeen],
    now: float,
    seed: int,
    runs: int = 16_384,
    most_runs: int = 262_144,
) -> Traced | TooFewRuns:
    """Chances of every dog on day `now` of the log, given the test results.

    worlds: the same log under several sets of numbers, equally likely; `runs` in all at
    first, doubled while fewer than 1000 are worth something, up to `most_runs`.
    A dog's `chance_infected` is the chance that it carried the infection when the log
    begins or when it came. Raises BadInput for a result of a dog or day not in the log.
    Source: importance sampling with the effective sample size of Kong 1992, from memory.
    """
    if not worlds:
        raise BadInput("tracing needs at least one set of numbers")
    _check(worlds[0], results, now)
    sums = _Sums(len(worlds[0].dogs))
    done = 0
    wanted = runs
    while True:
        share = max(1, wanted // len(worlds))
        for number, world in enumerate(worlds):
            _add(sums, world, results, now, seed=seed + number, first=done, count=share)
        done += share
        if sums.effective >= WANTED_EFFECTIVE or done * len(worlds) * 2 > most_runs:
            break
        wanted = done * len(worlds)
    if sums.effective < LEAST_EFFECTIVE:
        return TooFewRuns(effective=sums.effective, runs=sums.runs)
    return sums.traced(sorted(dog.uid for dog in worlds[0].dogs))


def _check(world: Scenario, results: Sequence[TestSeen], now: float) -> None:
    check_range("now", now, low=0, high=world.days)
    known = {dog.uid for dog in world.dogs}
    for result in results:
        if result.dog not in known:
            raise BadInput(f"a result of dog {result.dog}, which is not in the log")
        check_range("day of a result", result.day, low=0, high=now)


class _Sums:
    """Weighted sums over runs."""

    def __init__(self, dogs: int) -> None:
        self.runs = 0
        self.weight = self.square = 0.0
        self.by_dog = np.zeros((4, dogs))  # infected, found, brought in, sheds for

    @property
    def effective(self) -> float:
        return self.weight**2 / self.square if self.square > 0 else 0.0

    def add(self, weights: np.ndarray, values: Sequence[np.ndarray]) -> None:
        self.runs += len(weights)
        self.weight += float(weights.sum())
        self.square += float((weights**2).sum())
        for row, value in enumerate(values):
            self.by_dog[row] += weights @ value

    def traced(self, uids: Sequence[int]) -> Traced:
        infected, found, brought, sheds = self.by_dog / self.weight
        error = np.sqrt(infected * (1 - infected) / self.effective)
        return Traced(
            dogs=tuple(
                DogTraced(
                    dog=uid,
                    infected_now=float(infected[i]),
                    found_now=float(found[i]),
                    brought_in=float(brought[i]),
                    sheds_for=float(sheds[i]),
                    error=float(error[i]),
                )
                for i, uid in enumerate(uids)
            ),
            evidence=self.weight / self.runs,
            runs=self.runs,
            effective=self.effective,
        )


def _drawn_chances(world: Scenario) -> Mapping[int, float]:
    """How often each dog is drawn as a carrier: never less often than it is thought."""
    expected = sum(dog.chance_infected for dog in world.dogs)
    factor = max(1.0, CARRIERS_A_RUN / expected) if expected > 0 else 1.0
    return {
        dog.uid: max(
            dog.chance_infected, min(LIKELIEST_DRAW, factor * dog.chance_infected)
        )
        for dog in world.dogs
    }


def _add(
    sums: _Sums,
    world: Scenario,
    results: Sequence[TestSeen],
    now: float,
    *,
    seed: int,
    first: int,
    count: int,
) -> None:
    dogs = sorted(world.dogs, key=lambda dog: dog.uid)
    drawn = _drawn_chances(world)
    engine = engine_for(
        replace(
            world,
            dogs=tuple(replace(dog, chance_infected=drawn[dog.uid]) for dog in dogs),
        )
    )
    for start in range(first, first + count, BLOCK):
        size = min(BLOCK, first + count - start)
        replicates = np.arange(start, start + size)
        courses = engine.courses(Policy(), seed=seed, first=start, count=size)
        weights = np.ones(size)
        brought = np.zeros((size, len(dogs)))
        for i, dog in enumerate(dogs):
            if dog.chance_infected <= 0:
                continue
            luck = uniforms(seed, replicates, Stream.CARRIED_IN, dog.uid, 0)
            carries = luck < drawn[dog.uid]
            brought[:, i] = carries
            thought, often = dog.chance_infected, drawn[dog.uid]
            without = (1 - thought) / (1 - often) if often < 1 else 1.0
            weights *= np.where(carries, thought / often, without)
        looks = _Looks(world, seed=seed, replicates=replicates)
        index = {dog.uid: i for i, dog in enumerate(dogs)}
        for result in results:
            chance = looks.chance(courses[:, index[result.dog]], result.dog, result.day)
            weights *= chance if result.is_positive else 1 - chance
        kept = np.flatnonzero(weights > 0)
        uids = [dog.uid for dog in dogs]
        sums.add(weights[kept], _values(looks, courses, brought, kept, uids, now))
        sums.runs += size - len(kept)


def _values(
    looks: "_Looks",
    courses: np.ndarray,
    brought: np.ndarray,
    kept: np.ndarray,
    uids: Sequence[int],
    now: float,
) -> tuple[np.ndarray, ...]:
    """What the runs hold that explain the results at all, (runs, dogs) each."""
    courses = courses[kept]
    infected_at, starts, ends = (courses[:, :, n] for n in range(3))
    infected = (infected_at <= now) & (now < ends)
    found = np.zeros(infected.shape)
    for i, uid in enumerate(uids):
        chance = looks.chance(courses[:, i], uid, now, of=kept)
        found[:, i] = infected[:, i] * chance
    to_come = infected * np.clip(ends - np.maximum(starts, now), 0.0, 365.0)
    return infected, found, brought[kept], to_come


class _Looks:
    """What a test would say, run by run."""

    def __init__(self, world: Scenario, *, seed: int, replicates: np.ndarray) -> None:
        self.test = world.test
        self.seed, self.replicates = seed, replicates
        self.effect = [
            np.array(detectability(mean=mean, correlation=world.test.correlation))
            for mean in (world.test.sensitivity_silent, world.test.sensitivity_sick)
        ]

    def chance(
        self, course: np.ndarray, uid: int, day: float, of: np.ndarray | None = None
    ) -> np.ndarray:
        """Chance of a positive of a dog on a day; repeats on one infection hang together."""
        test = self.test
        replicates = self.replicates if of is None else self.replicates[of]
        luck = uniforms(self.seed, replicates, Stream.DETECTABLE, uid, 0)
        infected_at, starts, ends, signs = course.T
        shares = np.arange(STEPS + 1) / STEPS
        silent, sick = (np.interp(luck, shares, table) for table in self.effect)
        found = np.where(signs <= day, sick, silent)
        shows = (infected_at <= day) & (day < ends)
        if test.antibody_from >= 0:
            span = max(test.antibody_full - test.antibody_from, 1e-9)
            rise = (day - infected_at - test.antibody_from) / span
            found = found * np.clip(rise, 0.0, 1.0)
        else:
            shows &= starts <= day
        false = 1.0 - test.specificity
        return np.where(shows, np.maximum(found, false), false)
