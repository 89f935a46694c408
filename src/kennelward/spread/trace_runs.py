"""One world of tracing: its runs, what they weigh, and sums over them."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kennelward.spread.model import NEVER, Dog, Happens, Policy, Scenario
from kennelward.spread.simulate import Engine, engine_for
from kennelward.spread.trace_draws import (
    Comes,
    Drawn,
    comes_of,
    drawn_sharp,
    drawn_wide,
    draws_of,
)
from kennelward.spread.trace_evidence import Believed, Looks, SignSeen, TestSeen

SETTLING = 512  # runs a time, to see how many dogs would shed before any result
SETTLING_AT = 1 << 41  # number of the first of them
TURNS = 3  # of settling, at most
FEW = 0.05  # of those that would bring it in if nothing spread: where settling begins
MOST_FEWER, MOST_MORE = 100.0, 2.0  # how far it may scale
A_YEAR = 365.0  # days of shedding to come that are counted at most
SAME = 1e-6  # days
BLOCK = 2048  # runs at a time: bounds the memory to about 10 MB a thread for 60 dogs


class Sums:
    """Weighted sums over runs."""

    def __init__(self, dogs: int) -> None:
        self.runs = 0
        self.weight = self.square = 0.0
        # infected, found, brought in, let in, sheds for, averted
        self.by_dog = np.zeros((6, dogs))

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

    def join(self, other: "Sums") -> None:
        self.runs += other.runs
        self.weight += other.weight
        self.square += other.square
        self.by_dog += other.by_dog


class TracedWorld:
    """One set of numbers, with the engine for the way dogs are drawn to bring it in."""

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
        self.uids = np.array([dog.uid for dog in self.dogs], dtype=np.int64)
        self.groups = groups_at(world, self.dogs, now)
        self.thought = comes_of(world, self.dogs)
        self.drawn = drawn_wide(self.thought)
        self.engine: Engine | None = None

    def scale(self, by: float) -> None:
        """So many times as many are thought to bring it in."""
        self.thought = self.thought.scaled(by)
        self.drawn, self.engine = drawn_wide(self.thought), None

    def lean_to(
        self, carried: np.ndarray, later: np.ndarray, *, effective: float
    ) -> None:
        """Draw those more often that a look points to."""
        self.drawn = drawn_sharp(
            self.thought,
            drawn_wide(self.thought),
            carried=carried,
            later=later,
            effective=effective,
        )
        self.engine = None

    def settled(self, *, believed: Sequence[Believed]) -> float:
        """By how much to scale, so that as many dogs shed as is believed.

        From few that bring it in, whose outbreaks do not meet, so that twice as many
        infect nearly twice as many: then the next guess is a good one.
        """
        wanted = sum(one.chance for one in believed)
        scale = FEW
        for turn in range(TURNS):
            found, error = self._shedding(self.thought.scaled(scale), believed, turn)
            if found <= 0 or (turn > 0 and abs(found - wanted) <= 2 * error):
                break
            scale = min(max(scale * wanted / found, 1 / MOST_FEWER), MOST_MORE)
        return scale

    def _shedding(
        self, thought: Comes, believed: Sequence[Believed], turn: int
    ) -> tuple[float, float]:
        """How many of these dogs shed, on an average day up to theirs; its error."""
        drawn = drawn_wide(thought)
        first = SETTLING_AT + turn * SETTLING
        courses = self._engine(drawn).courses(
            Policy(), seed=self.seed, first=first, count=SETTLING
        )
        weights = self._draws(thought, drawn, first, SETTLING).weights
        sheds = np.zeros(SETTLING)
        for one in believed:
            i = self.index[one.dog]
            since = min(thought.since[i], one.day - 1)
            _, starts, ends, _ = courses[:, i].T
            days = np.minimum(ends, one.day) - np.maximum(starts, since)
            sheds += np.maximum(days, 0.0) / (one.day - since)
        found = float((weights * sheds).sum() / weights.sum())
        off = weights * (sheds - found)
        return found, float(np.sqrt((off**2).sum()) / weights.sum())

    def _engine(self, drawn: Comes) -> Engine:
        return engine_for(replace(self.world, dogs=drawn.put_into(self.dogs)))

    def _draws(self, thought: Comes, drawn: Comes, first: int, size: int) -> Drawn:
        return draws_of(
            thought,
            drawn,
            uids=self.uids,
            seed=self.seed,
            runs=np.arange(first, first + size),
        )

    def sums(self, *, first: int, count: int) -> Sums:
        """`count` runs from number `first` on."""
        if self.engine is None:
            self.engine = self._engine(self.drawn)
        sums = Sums(len(self.dogs))
        for start in range(first, first + count, BLOCK):
            self._add(sums, self.engine, start, min(BLOCK, first + count - start))
        return sums

    def _add(self, sums: Sums, engine: Engine, start: int, size: int) -> None:
        replicates = np.arange(start, start + size)
        courses = engine.courses(Policy(), seed=self.seed, first=start, count=size)
        looks = Looks(self.world, seed=self.seed, replicates=replicates)
        draws = self._draws(self.thought, self.drawn, start, size)
        weights = draws.weights * looks.weights(
            courses, self.index, self.results, self.signs
        )
        kept = np.flatnonzero(weights > 0)
        came = draws.let_in < NEVER
        later = came & (np.abs(courses[:, :, 0] - draws.let_in) < SAME)
        brought = np.stack([draws.carries | later, later])[:, kept]
        sums.add(weights[kept], self._values(looks, courses[kept], brought, kept))
        sums.runs += size - len(kept)

    def _values(
        self, looks: Looks, courses: np.ndarray, brought: np.ndarray, kept: np.ndarray
    ) -> tuple[np.ndarray, ...]:
        """What the runs hold that explain the results at all, (runs, dogs) each."""
        now = self.now
        infected_at, starts, ends = (courses[:, :, n] for n in range(3))
        infected = (infected_at <= now) & (now < ends)
        found = np.zeros(infected.shape)
        rows, dogs = np.nonzero(infected)
        found[rows, dogs] = looks.chance(
            courses[rows, dogs], self.uids[dogs], now, of=kept[rows]
        )
        to_come = infected * np.clip(ends - np.maximum(starts, now), 0.0, A_YEAR)
        averted = self._passed_on(to_come) * self._open_mates(infected_at > now)
        return infected, found, brought[0], brought[1], to_come, averted

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


def groups_at(
    world: Scenario, dogs: Sequence[Dog], now: float
) -> tuple[np.ndarray, ...]:
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
