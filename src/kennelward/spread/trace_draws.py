"""Which dogs a run of tracing lets bring the infection in, and what each draw weighs.

A dog carries it when the log begins or when it comes, or meets it outside the log at
some moment while it is here, at a steady hazard. Both are drawn more often than they are
thought to be, and each run is weighed back by the ratio of the two densities.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from kennelward.spread.keyed import Stream, uniforms
from kennelward.spread.model import NEVER, Course, Dog, Scenario
from kennelward.spread.tables import middles

CARRIERS_A_RUN = 1.0  # expected number of dogs drawn to bring it in, a run
LIKELIEST_DRAW = 0.5  # of one dog, unless it is thought to be likelier
TRUSTS_FROM = 30.0  # effective runs at which a look is half trusted
SURE = 1.0  # standard errors that are left to luck
KEPT_WIDE = 0.3  # share of the draws that stays as before a first look
MOST = 0.999  # chance that one dog brings it in later, at most


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Comes:
    """How each dog may bring it in; arrays of (dogs,) float64, in order of uid."""

    carried: np.ndarray  # chance that it carries it when the log begins, or it comes
    later: np.ndarray  # chance that it brings it in later, if it did not carry it
    since: np.ndarray  # day on which it comes in, 0 where it is here from the start
    days: np.ndarray  # from then to the end of the log

    @property
    def rates(self) -> np.ndarray:
        """(dogs,) the hazard a day that gives `later`."""
        found: np.ndarray = -np.log1p(-self.later) / np.maximum(self.days, 1e-9)
        return found

    @property
    def expected(self) -> float:
        """How many dogs bring it in, in all."""
        return float((self.carried + (1 - self.carried) * self.later).sum())

    def scaled(self, by: float) -> "Comes":
        """So many times as many carriers, and so many times the hazard."""
        return replace(
            self,
            carried=np.minimum(1.0, by * self.carried),
            later=np.minimum(MOST, 1 - (1 - self.later) ** by),
        )

    def put_into(self, dogs: Sequence[Dog]) -> tuple[Dog, ...]:
        """The dogs, in order of uid, as these chances draw them."""
        return tuple(
            replace(dog, chance_infected=float(carried), from_outside=float(rate))
            for dog, carried, rate in zip(dogs, self.carried, self.rates, strict=True)
        )


def comes_of(world: Scenario, dogs: Sequence[Dog]) -> Comes:
    """What the scenario says of its dogs, given in order of uid."""
    since = np.array([float(ceil(max(dog.arrives_on, 0.0))) for dog in dogs])
    days = np.maximum(world.days - since, 0.0)
    rates = np.array([dog.from_outside for dog in dogs])
    return Comes(
        carried=np.array([dog.chance_infected for dog in dogs], dtype=float),
        later=np.minimum(MOST, 1 - np.exp(-rates * days)),
        since=since,
        days=days,
    )


def drawn_wide(thought: Comes) -> Comes:
    """How often each is drawn: never less often than it is thought."""
    factor = 1.0
    if thought.expected > 0:
        factor = max(1.0, CARRIERS_A_RUN / thought.expected)

    def raised(chance: np.ndarray) -> np.ndarray:
        wide: np.ndarray = np.minimum(LIKELIEST_DRAW, factor * chance)
        return np.maximum(chance, wide)

    return replace(
        thought, carried=raised(thought.carried), later=raised(thought.later)
    )


def drawn_sharp(
    thought: Comes,
    wide: Comes,
    *,
    carried: np.ndarray,
    later: np.ndarray,
    effective: float,
) -> Comes:
    """Draws that lean to those a look points to; none is ruled out.

    carried, later: (dogs,) the chances of both that the look came to, from so many
    effective runs. What luck alone may have made of the chance that was thought is
    passed over: a small lean in each of many dogs would cost most of the weights.
    """
    kept = 1 - effective / (effective + TRUSTS_FROM) * (1 - KEPT_WIDE)

    def leaning(chance: np.ndarray, before: np.ndarray, seen: np.ndarray) -> np.ndarray:
        most = np.maximum(LIKELIEST_DRAW, chance)
        error = SURE * np.sqrt(chance * (1 - chance) / max(effective, 1.0))
        off = np.where(seen == chance, 1e-12, seen - chance)
        told = chance + off * np.clip(1 - (error / off) ** 2, 0.0, 1.0)
        sharp = np.minimum(most, kept * before + (1 - kept) * told)
        return np.where((chance <= 0) | (chance >= 1), before, sharp)

    return replace(
        thought,
        carried=leaning(thought.carried, wide.carried, carried),
        later=leaning(thought.later, wide.later, later),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawn:
    """What some runs drew, and how much each counts for it."""

    weights: np.ndarray  # (runs,)
    carries: np.ndarray  # (runs, dogs) bool
    let_in: np.ndarray  # (runs, dogs) day on which it would bring it in, or NEVER


def draws_of(
    thought: Comes, drawn: Comes, *, uids: np.ndarray, seed: int, runs: np.ndarray
) -> Drawn:
    """The engine's own draws of who brings it in, and their weights.

    uids: (dogs,) int64. runs: (runs,) numbers of the runs.
    """
    true, often = thought.rates, drawn.rates
    p, q = thought.carried, drawn.carried
    shape = (len(runs), len(uids))
    carries = np.zeros(shape, dtype=bool)
    let_in = np.full(shape, NEVER)
    weights = np.ones(len(runs))
    able = np.flatnonzero(p > 0)
    if len(able):
        carries[:, able] = _luck(seed, runs, Stream.CARRIED_IN, uids[able]) < q[able]
        without = (1 - p[able]) / np.where(q[able] < 1, 1 - q[able], 1.0)
        weights *= np.where(carries[:, able], p[able] / q[able], without).prod(axis=1)
    able = np.flatnonzero(true > 0)
    if len(able):
        at = -np.log(_luck(seed, runs, Stream.LET_IN, uids[able])) / often[able]
        stays = ~carries[:, able]
        comes = stays & (at < drawn.days[able])
        ratio = true[able] / often[able] * np.exp((often[able] - true[able]) * at)
        without = (1 - thought.later[able]) / (1 - drawn.later[able])
        each = np.where(comes, ratio, np.where(stays, without, 1.0))
        weights *= each.prod(axis=1)
        let_in[:, able] = np.where(comes, drawn.since[able] + at, NEVER)
    return Drawn(weights=weights, carries=carries, let_in=let_in)


def _luck(seed: int, runs: np.ndarray, stream: int, uids: np.ndarray) -> np.ndarray:
    """(runs, dogs) the draws of these dogs in these runs."""
    drawn = uniforms(
        seed, np.repeat(runs, len(uids)), stream, np.tile(uids, len(runs)), 0
    )
    return drawn.reshape(len(runs), len(uids))


def sheds_share(course: Course) -> float:
    """Chance that a dog which brings it in already sheds, and sheds still.

    It caught it at any moment in `carried_days` before; no two of the course's times
    hang together. 1 where no such time is given.
    """
    reach = course.carried_days
    if reach <= 0:
        return 1.0
    latency, shedding = middles(course.latency), middles(course.shedding)
    if course.is_chronic:
        return float(np.clip(reach - latency, 0, None).mean() / reach)
    until = np.minimum(latency[:, None] + shedding[None, :], reach)
    return float(np.clip(until - latency[:, None], 0, None).mean() / reach)


def mean_shedding(course: Course) -> float:
    """Days for which a dog sheds, on average."""
    return float(middles(course.shedding).mean())
