"""Who may have it now, and who may have brought it in: weighted runs over the real log.

The kennel's own moves are fixed; each run draws who brought the infection in and how it
ran, and counts as much as it explains all results and signs (importance sampling). To
waste fewer runs, carriers are drawn more often than they are thought to be, most of all
those that a first few runs point to, and each run is weighed back. Never: a diagnosis, a
blame; the chances hold only as far as the log does.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from kennelward.spread.keyed import Stream, uniforms
from kennelward.spread.many_runs import OneWorker, Workers
from kennelward.spread.model import Dog, Happens, Policy, Scenario
from kennelward.spread.simulate import Engine, engine_for
from kennelward.spread.trace_evidence import Looks, SignSeen, TestSeen
from kennelward.terms import BadInput, check_range

__all__ = ["DogTraced", "SignSeen", "TestSeen", "TooFewRuns", "Traced", "trace"]

LEAST_EFFECTIVE = 200  # below it nothing is ranked
WANTED_EFFECTIVE = 1000
CARRIERS_A_RUN = 1.0  # expected number of carriers drawn in a run
LIKELIEST_DRAW = 0.5  # of one dog, unless it is thought to be likelier
FIRST_LOOK = 1_536  # runs that only say which carriers to draw more often
FIRST_LOOK_AT = (
    1 << 40
)  # number of the first of them: their luck is used for nothing else
TRUSTS_FROM = 30.0  # effective runs at which that look is half trusted
KEPT_WIDE = 0.3  # share of the draws that stays as before that look
A_YEAR = 365.0  # days of shedding to come that are counted at most
BLOCK = 2048  # runs at a time: bounds the memory to about 10 MB a thread for 60 dogs


@dataclass(frozen=True, slots=True, kw_only=True)
class DogTraced:
    """One dog's chances, 0 to 1, given all results and this log."""

    dog: int  # uid
    infected_now: float
    found_now: float  # infected now, and a test today would find it
    brought_in: float  # it carried the infection in
    sheds_for: float  # expected days of shedding still to come
    averted: float  # expected cases among its present pen-mates, if it stays with them
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

    def act_first(self) -> tuple[DogTraced, ...]:
        """Those first whose keeping apart now is expected to spare most dogs."""
        return tuple(
            sorted(self.dogs, key=lambda d: (-d.averted, -d.infected_now, d.dog))
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
    signs: Sequence[SignSeen] = (),
    runs: int = 16_384,
    most_runs: int = 262_144,
    wanted: int = WANTED_EFFECTIVE,
    like: Traced | None = None,
    workers: Workers | None = None,
) -> Traced | TooFewRuns:
    """Chances of every dog on day `now` of the log, given test results and signs.

    worlds: the same log under several sets of numbers, equally likely; `runs` in all at
    first, more while they are worth fewer than `wanted`, up to `most_runs`.
    like: a tracing of nearly the same log, in place of a first look of its own.
    A dog's `chance_infected` is the chance that it carried the infection when the log
    begins or when it came. The same numbers come out for any number of `workers`.
    Raises BadInput for a result or sign of a dog or day not in the log.
    Source: importance sampling with the effective sample size of Kong 1992, and a
    defensive mixture as in Hesterberg 1995, both from memory.
    """
    if not worlds:
        raise BadInput("tracing needs at least one set of numbers")
    _check(worlds[0], (*results, *signs), now)
    hands = workers or OneWorker()
    dogs = sorted(worlds[0].dogs, key=lambda dog: dog.uid)
    drawn = _drawn_chances(worlds[0])
    held = [
        _World(world, results, signs, now, seed + n) for n, world in enumerate(worlds)
    ]
    if like is not None:
        drawn = _sharpened(dogs, drawn, np.array([one.brought_in for one in like.dogs]))
    else:
        look = _added(hands, held, drawn, first=FIRST_LOOK_AT, runs=FIRST_LOOK)
        if look.weight > 0:
            lean = look.effective / (look.effective + TRUSTS_FROM)
            drawn = _sharpened(dogs, drawn, look.by_dog[2] / look.weight, lean=lean)
    sums = _Sums(len(dogs))
    done, more = 0, runs
    while True:
        sums.join(_added(hands, held, drawn, first=done, runs=more))
        done += max(1, more // len(worlds))
        if sums.effective >= wanted or done * len(worlds) >= most_runs:
            break
        more = _still_needed(sums, wanted, most_runs - done * len(worlds))
    if sums.effective < LEAST_EFFECTIVE:
        return TooFewRuns(effective=sums.effective, runs=sums.runs)
    return sums.traced([dog.uid for dog in dogs])


def _still_needed(sums: "_Sums", wanted: int, most: int) -> int:
    """Runs that should do, a little more than in proportion; twice as many at most."""
    short = wanted / max(sums.effective, 1.0) - 1
    return max(1, min(most, sums.runs, round(1.1 * short * sums.runs)))


def _check(world: Scenario, seen: Sequence[TestSeen | SignSeen], now: float) -> None:
    check_range("now", now, low=0, high=world.days)
    known = {dog.uid for dog in world.dogs}
    for one in seen:
        if one.dog not in known:
            raise BadInput(f"a result of dog {one.dog}, which is not in the log")
        check_range("day of a result", one.day, low=0, high=now)


class _Sums:
    """Weighted sums over runs."""

    def __init__(self, dogs: int) -> None:
        self.runs = 0
        self.weight = self.square = 0.0
        # infected, found, brought in, sheds for, averted
        self.by_dog = np.zeros((5, dogs))

    @property
    def effective(self) -> float:
        return self.weight**2 / self.square if self.square > 0 else 0.0

    def add(self, weights: np.ndarray, values: Sequence[np.ndarray]) -> None:
        self.runs += len(weights)
        self.weight += float(weights.sum())
        self.square += float((weights**2).sum())
        for row, value in enumerate(values):
            # Not `@`: it wakes a thread a core for a sum this small.
            self.by_dog[row] += (weights[:, None] * value).sum(axis=0)

    def join(self, other: "_Sums") -> None:
        self.runs += other.runs
        self.weight += other.weight
        self.square += other.square
        self.by_dog += other.by_dog

    def traced(self, uids: Sequence[int]) -> Traced:
        infected, found, brought, sheds, averted = self.by_dog / self.weight
        infected = np.minimum(infected, 1.0)  # sums of one may round above it
        error = np.sqrt(infected * (1 - infected) / self.effective)
        return Traced(
            dogs=tuple(
                DogTraced(
                    dog=uid,
                    infected_now=float(infected[i]),
                    found_now=float(found[i]),
                    brought_in=float(brought[i]),
                    sheds_for=float(sheds[i]),
                    averted=float(averted[i]),
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


def _sharpened(
    dogs: Sequence[Dog],
    wide: Mapping[int, float],
    brought: np.ndarray,
    *,
    lean: float = 1.0,
) -> Mapping[int, float]:
    """Draws that lean to the carriers a first look points to; none is ruled out."""
    kept = 1 - lean * (1 - KEPT_WIDE)
    return {
        dog.uid: wide[dog.uid]
        if dog.chance_infected in (0.0, 1.0)
        else min(
            max(LIKELIEST_DRAW, dog.chance_infected),
            kept * wide[dog.uid] + (1 - kept) * float(brought[i]),
        )
        for i, dog in enumerate(dogs)
    }


def _added(
    hands: Workers,
    worlds: "Sequence[_World]",
    drawn: Mapping[int, float],
    *,
    first: int,
    runs: int,
) -> _Sums:
    """`runs` more runs over all worlds, summed in the order of the worlds."""
    share = max(1, runs // len(worlds))
    sums = _Sums(len(worlds[0].dogs))
    for found in hands.map(
        partial(_World.sums, drawn=drawn, first=first, count=share), worlds
    ):
        sums.join(found)
    return sums


class _World:
    """One set of numbers, with the engine for the last way carriers were drawn."""

    def __init__(
        self,
        world: Scenario,
        results: Sequence[TestSeen],
        signs: Sequence[SignSeen],
        now: float,
        seed: int,
    ) -> None:
        self.world, self.now, self.seed = world, now, seed
        self.results, self.signs = results, signs
        self.dogs = sorted(world.dogs, key=lambda dog: dog.uid)
        self.index = {dog.uid: i for i, dog in enumerate(self.dogs)}
        self.groups = _groups(world, self.dogs, now)
        self.engine: Engine | None = None
        self.drawn: Mapping[int, float] = {}

    def sums(self, *, drawn: Mapping[int, float], first: int, count: int) -> _Sums:
        """`count` runs from number `first` on."""
        if self.engine is None or drawn is not self.drawn:
            self.engine = engine_for(
                replace(
                    self.world,
                    dogs=tuple(
                        replace(dog, chance_infected=drawn[dog.uid])
                        for dog in self.dogs
                    ),
                )
            )
            self.drawn = drawn
        sums = _Sums(len(self.dogs))
        for start in range(first, first + count, BLOCK):
            self._add(sums, self.engine, start, min(BLOCK, first + count - start))
        return sums

    def _add(self, sums: _Sums, engine: Engine, start: int, size: int) -> None:
        replicates = np.arange(start, start + size)
        courses = engine.courses(Policy(), seed=self.seed, first=start, count=size)
        looks = Looks(self.world, seed=self.seed, replicates=replicates)
        weights = looks.weights(courses, self.index, self.results, self.signs)
        brought = np.zeros((size, len(self.dogs)))
        for i, dog in enumerate(self.dogs):
            if dog.chance_infected <= 0:
                continue
            luck = uniforms(self.seed, replicates, Stream.CARRIED_IN, dog.uid, 0)
            thought, often = dog.chance_infected, self.drawn[dog.uid]
            carries = luck < often
            brought[:, i] = carries
            without = (1 - thought) / (1 - often) if often < 1 else 1.0
            weights *= np.where(carries, thought / often, without)
        kept = np.flatnonzero(weights > 0)
        sums.add(weights[kept], self._values(looks, courses[kept], brought[kept], kept))
        sums.runs += size - len(kept)

    def _values(
        self, looks: Looks, courses: np.ndarray, brought: np.ndarray, kept: np.ndarray
    ) -> tuple[np.ndarray, ...]:
        """What the runs hold that explain the results at all, (runs, dogs) each."""
        now = self.now
        infected_at, starts, ends = (courses[:, :, n] for n in range(3))
        infected = (infected_at <= now) & (now < ends)
        found = np.zeros(infected.shape)
        for i, dog in enumerate(self.dogs):
            rows = np.flatnonzero(infected[:, i])
            if len(rows):
                found[rows, i] = looks.chance(
                    courses[rows, i], dog.uid, now, of=kept[rows]
                )
        to_come = infected * np.clip(ends - np.maximum(starts, now), 0.0, A_YEAR)
        averted = self._passed_on(to_come) * self._open_mates(infected_at > now)
        return infected, found, brought, to_come, averted

    def _open_mates(self, is_open: np.ndarray) -> np.ndarray:
        """Of each dog, how many of the others in its place could still catch it."""
        found = np.zeros(is_open.shape)
        for group in self.groups:
            inside = is_open[:, group]
            found[:, group] = inside.sum(axis=1, keepdims=True) - inside
        return found

    def _passed_on(self, days: np.ndarray) -> np.ndarray:
        """Chance that a pen-mate catches it in so many days of shedding to come.

        The course's own direct and place rates, the place at its level under steady
        shedding; cleaning and further generations are left out.
        """
        course = self.world.course
        full = 1.0 if course.is_chronic else course.full_share
        level = full + (0.0 if course.is_chronic else course.tail) * (1 - full)
        decay = np.array(
            [max(self.world.places[d.home].decay, 1e-3) for d in self.dogs]
        )
        rate = course.direct + course.from_place * course.deposit / decay
        passed: np.ndarray = 1 - np.exp(-rate * level * days)
        return passed


def _groups(world: Scenario, dogs: Sequence[Dog], now: float) -> tuple[np.ndarray, ...]:
    """Numbers of the dogs that share a place at `now`, place by place."""
    place = {dog.uid: dog.home for dog in dogs if dog.arrives_on <= now}
    for event in sorted(world.events, key=lambda event: event.at):
        if event.at > now:
            break
        if event.what is Happens.MOVE and event.a in place:
            place[event.a] = event.b
        elif event.what is Happens.LEAVE:
            place.pop(event.a, None)
    where = np.array([place.get(dog.uid, -1) for dog in dogs])
    groups = (np.flatnonzero(where == number) for number in sorted(set(place.values())))
    return tuple(group for group in groups if len(group) > 1)
