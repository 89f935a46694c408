"""Who may have it now, and who may have brought it in: weighted runs over the real log.

The kennel's own moves are fixed; each run draws who brought the infection in and how it
ran, and counts as much as it explains all results and signs (importance sampling). To
waste fewer runs, carriers are drawn more often than they are thought to be, most of all
those that a first few runs point to, and each run is weighed back. Never: a diagnosis, a
blame; the chances hold only as far as the log does.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from kennelward.spread.knowledge import NINETY
from kennelward.spread.many_runs import OneWorker, Workers
from kennelward.spread.model import Scenario
from kennelward.spread.trace_evidence import Believed, SignSeen, TestSeen
from kennelward.spread.trace_runs import Sums, TracedWorld
from kennelward.terms import BadInput, check_range

__all__ = [
    "Believed",
    "DogTraced",
    "SignSeen",
    "TestSeen",
    "TooFewRuns",
    "Traced",
    "trace",
]

LEAST_EFFECTIVE = 200  # below it nothing is ranked
WANTED_EFFECTIVE = 400  # an error of 0.025 at most, far below what is not known


@dataclass(frozen=True, slots=True, kw_only=True)
class DogTraced:
    """One dog's chances, 0 to 1, given all results and this log."""

    dog: int  # uid
    infected_now: float
    low: float  # of `infected_now`: a 90 % range, from what is not known and the runs
    high: float
    found_now: float  # infected now, and a test today would find it
    found_low: float  # of `found_now`: a 90 % range, made in the same way
    found_high: float
    brought_in: float  # it brought the infection in, then or later
    source_low: float  # of `brought_in`: a 90 % range, made in the same way
    source_high: float
    let_in: float  # of this: it met the infection outside the log while it was here
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
    scales: tuple[float, ...] = ()  # world by world, what `believed` scaled by

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
    believed: Sequence[Believed] = (),
    runs: int = 1_536,
    most_runs: int = 262_144,
    wanted: int = WANTED_EFFECTIVE,
    like: Traced | None = None,
    workers: Workers | None = None,
) -> Traced | TooFewRuns:
    """Chances of every dog on day `now` of the log, given test results and signs.

    worlds: the same log under several sets of numbers, equally likely; `runs` in all at
    first, more while they are worth fewer than `wanted`, up to `most_runs`.
    like: a tracing of nearly the same log; its scales are taken, and draws lean to it.
    A dog's `chance_infected` is the chance that it carried the infection when the log
    begins or when it came, its `from_outside` the hazard of bringing it in later.
    believed: what is thought of dogs before any result or sign. Where it is given, all
    these chances are scaled alike, in each world, until as many of them shed as it says:
    what spreads in the kennel is part of it. The same numbers come out for any number
    of `workers`.
    Raises BadInput for a result or sign of a dog or day not in the log.
    Source: importance sampling with the effective sample size of Kong 1992, and a
    defensive mixture as in Hesterberg 1995, both from memory.
    """
    if not worlds:
        raise BadInput("tracing needs at least one set of numbers")
    _check(worlds[0], (*results, *signs, *believed), now)
    hands = workers or OneWorker()
    dogs = sorted(worlds[0].dogs, key=lambda dog: dog.uid)
    held = [
        TracedWorld(world, results, signs, now, seed + n)
        for n, world in enumerate(worlds)
    ]
    scales = _settled(held, hands, believed, like)
    if like is not None:
        brought = np.array([one.brought_in for one in like.dogs])
        later = np.array([one.let_in for one in like.dogs])
        for one in held:
            one.lean_to(brought - later, later, effective=like.effective)
    sums = Sums(len(dogs))
    by_world = [Sums(len(dogs)) for _ in held]
    done, more = 0, runs
    while True:
        _add(hands, held, sums, by_world, first=done, runs=more)
        done += max(1, more // len(worlds))
        if sums.effective >= wanted or done * len(worlds) >= most_runs:
            break
        _lean(held, sums)  # each run is weighed by its own draw: they may be mixed
        more = _still_needed(sums, wanted, most_runs - done * len(worlds))
    if sums.effective < LEAST_EFFECTIVE:
        return TooFewRuns(effective=sums.effective, runs=sums.runs)
    return replace(_told(sums, by_world, [dog.uid for dog in dogs]), scales=scales)


def _settled(
    held: Sequence[TracedWorld],
    hands: Workers,
    believed: Sequence[Believed],
    like: Traced | None,
) -> tuple[float, ...]:
    """Scale each world to what is believed; none where nothing is."""
    scales: tuple[float, ...] = ()
    if like is not None and len(like.scales) == len(held):
        scales = like.scales
    elif believed:
        scales = tuple(hands.map(partial(TracedWorld.settled, believed=believed), held))
    for one, scale in zip(held, scales, strict=False):
        one.scale(scale)
    return scales


def _lean(held: Sequence[TracedWorld], look: Sums) -> None:
    """Draw those more often that the runs so far point to."""
    if look.weight > 0:
        brought, later = look.by_dog[2:4] / look.weight
        for one in held:
            one.lean_to(brought - later, later, effective=look.effective)


def _still_needed(sums: Sums, wanted: int, most: int) -> int:
    """Runs that should do, a little more than in proportion; twice as many at most."""
    short = wanted / max(sums.effective, 1.0) - 1
    return max(1, min(most, sums.runs, round(1.1 * short * sums.runs)))


def _check(
    world: Scenario, seen: Sequence[TestSeen | SignSeen | Believed], now: float
) -> None:
    check_range("now", now, low=0, high=world.days)
    known = {dog.uid for dog in world.dogs}
    for one in seen:
        if one.dog not in known:
            raise BadInput(f"a result of dog {one.dog}, which is not in the log")
        check_range("day of a result", one.day, low=0, high=now)


def _told(sums: Sums, by_world: Sequence[Sums], uids: Sequence[int]) -> Traced:
    infected, found, brought, later, sheds, averted = sums.by_dog / sums.weight
    infected = np.minimum(infected, 1.0)  # sums of one may round above it
    error = np.sqrt(infected * (1 - infected) / sums.effective)
    low, high = _range(0, sums, by_world)
    found_low, found_high = _range(1, sums, by_world)
    source_low, source_high = _range(2, sums, by_world)
    return Traced(
        dogs=tuple(
            DogTraced(
                dog=uid,
                infected_now=float(infected[i]),
                low=float(low[i]),
                high=float(high[i]),
                found_now=float(found[i]),
                found_low=float(found_low[i]),
                found_high=float(found_high[i]),
                brought_in=float(brought[i]),
                source_low=float(source_low[i]),
                source_high=float(source_high[i]),
                let_in=float(later[i]),
                sheds_for=float(sheds[i]),
                averted=float(averted[i]),
                error=float(error[i]),
            )
            for i, uid in enumerate(uids)
        ),
        evidence=sums.weight / sums.runs,
        runs=sums.runs,
        effective=sums.effective,
    )


def _range(
    row: int, sums: Sums, by_world: Sequence[Sums]
) -> tuple[np.ndarray, np.ndarray]:
    """90 % ranges of the chances in a row of the sums: from world to world, and luck.

    Between the 5 and 95 % points of the worlds' own chances, each world counted by how
    well it explains the results and drawn in by what the few runs of each make them
    differ by chance; then as much wider as the luck of all runs. Never beyond the
    farthest world by more than that luck.
    """
    chance = np.minimum(sums.by_dog[row] / sums.weight, 1.0)
    error = np.sqrt(chance * (1 - chance) / sums.effective)
    held = [one for one in by_world if one.weight > 0]
    share = np.array([one.weight / sums.weight for one in held])[:, None]
    own = np.array([np.clip(one.by_dog[row] / one.weight, 0.0, 1.0) for one in held])
    few = np.array([one.effective for one in held])[:, None]
    between = (share * (own - chance) ** 2).sum(axis=0)
    luck = (share * own * (1 - own) / few).sum(axis=0)
    kept = np.sqrt(np.clip(1 - luck / np.maximum(between, 1e-300), 0.0, 1.0))
    own = chance + kept * (own - chance)
    ends = []
    for side, point in ((-1, 0.05), (1, 0.95)):
        away = np.array(
            [_weighted_point(own[:, i], share[:, 0], point) for i in range(len(chance))]
        )
        wide = np.hypot(np.maximum(side * (away - chance), 0.0), NINETY * error)
        ends.append(np.clip(chance + side * wide, 0.0, 1.0))
    return ends[0], ends[1]


def _weighted_point(values: np.ndarray, weights: np.ndarray, point: float) -> float:
    """The quantile at `point` of values that count unequally."""
    order = np.argsort(values, kind="stable")
    middles = np.cumsum(weights[order]) - weights[order] / 2
    return float(np.interp(point, middles, values[order]))


def _add(
    hands: Workers,
    worlds: Sequence[TracedWorld],
    sums: Sums,
    by_world: Sequence[Sums],
    *,
    first: int,
    runs: int,
) -> None:
    """`runs` more runs over all worlds, summed in the order of the worlds."""
    share = max(1, runs // len(worlds))
    found = hands.map(partial(TracedWorld.sums, first=first, count=share), worlds)
    for one, more in zip(by_world, found, strict=True):
        one.join(more)
        sums.join(more)
