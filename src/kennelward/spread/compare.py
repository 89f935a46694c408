"""Policies compared in the same worlds with the same luck, and the best of many found.

Every plan meets the same worlds (draws of what we do not know) and in each the same
keyed luck, so that a difference is the plan's. The search halves the field round by
round; the last few are run anew with fresh luck and fresh worlds, since the best of fifty
looks better than it is. Source: successive halving as tried in docs/methods/spread.md.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import ceil

import numpy as np

from kennelward.spread.compiled import compiled
from kennelward.spread.measures import (
    MEASURES,
    Figure,
    Tail,
    costs,
    figure,
    figures,
    measured,
    tail,
    worlds_below,
)
from kennelward.spread.policies import Plan, Prices
from kennelward.terms import BadInput, check_range

# plans, worlds as (first, count), runs a world as (first, count), seed ->
# {plan id: (worlds, runs, columns)}
RunPlans = Callable[
    [Sequence[Plan], tuple[int, int], tuple[int, int], int], Mapping[str, np.ndarray]
]
Said = Callable[[str, int, int], None]  # what is done, how much, of how much
ORDERS = ("sick_days", "outbreak", "cases", "cost")  # what a search may go by
FRESH = 1_000_003  # added to the seed for the rerun of the finalists
AGREE = 0.8  # share of worlds that must agree before we call one plan better
FINALISTS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """How much is run. The defaults give an answer in seconds."""

    worlds: int = 40
    runs: int = 100  # a world, for what is printed
    first_runs: int = 5  # a world, in the first round of a search

    def __post_init__(self) -> None:
        check_range("worlds", self.worlds, low=2, high=2000)
        check_range("runs a world", self.runs, low=2, high=100_000)
        check_range("first runs a world", self.first_runs, low=1, high=10_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanResult:
    """What one plan led to, and its paired difference to the present plan."""

    plan: Plan
    figures: Mapping[str, Figure]
    cases: Tail
    cost: Tail
    difference: Mapping[str, Figure]  # this plan minus the present one
    better: Mapping[str, float]  # share of worlds in which it is lower
    worse: Mapping[str, float]
    is_alike: bool  # no run differs from the present plan's in any way
    by_world: tuple[float, ...]  # mean in each world of the measure the order goes by
    costs: Mapping[str, Figure] = field(default_factory=dict)  # by price
    cheapest: float = 0.0  # share of worlds in which no other plan costs less


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Plans beside the present one."""

    by: str  # measure that the order goes by
    now: PlanResult
    others: tuple[PlanResult, ...]  # best first
    alike: tuple[str, ...]  # ids that cannot be told apart from the best one, it first
    worlds: int
    runs: int  # of each plan
    seed: int
    tried: int  # plans looked at, with those that fell out on the way
    first_world: int
    least_regret: str = (
        ""  # id of the plan whose worst world is least worse than the best
    )

    @property
    def all(self) -> tuple[PlanResult, ...]:
        """The present plan first."""
        return (self.now, *self.others)


def compare(
    run: RunPlans,
    *,
    now: Plan,
    plans: Sequence[Plan],
    prices: Prices,
    seed: int,
    amount: Amount | None = None,
    by: str = "sick_days",
    tried: int = 0,
    first_world: int = 0,
) -> Comparison:
    """Every plan in the same worlds as `now`. Raises BadInput for an unknown `by`."""
    if by not in ORDERS:
        raise BadInput(f"plans go by one of {', '.join(ORDERS)}; got {by!r}")
    amount = amount or Amount()
    others = [plan for plan in _unique(plans) if plan.id != now.id]
    rows = run([now, *others], (first_world, amount.worlds), (0, amount.runs), seed)
    keys = {plan.id: price_keys(plan) for plan in (now, *others)}
    runs = {
        name: measured(found, prices=prices, keys=keys[name])
        for name, found in rows.items()
    }
    cheap = _cheapest(runs) if prices.is_said else {}
    results = [
        replace(
            _result(plan, runs=runs, now=now.id, by=by),
            costs={
                key: figure(part)
                for key, part in costs(
                    rows[plan.id], prices=prices, keys=keys[plan.id]
                ).items()
            },
            cheapest=cheap.get(plan.id, 0.0),
        )
        for plan in (now, *others)
    ]
    ordered = sorted(results[1:], key=lambda r: (*_merit(r.figures, by), r.plan.id))
    best = min(results, key=lambda r: (*_merit(r.figures, by), r.plan.id))
    return Comparison(
        by=by,
        now=results[0],
        others=tuple(ordered),
        alike=_alike(best, results, runs=runs, by=by),
        worlds=amount.worlds,
        runs=amount.worlds * amount.runs,
        seed=seed,
        tried=max(tried, len(results)),
        first_world=first_world,
        least_regret=_least_regret(runs, ("cost", by) if prices.is_said else (by,)),
    )


def price_keys(plan: Plan) -> tuple[str, ...]:
    """Of each rule that is counted, the price that it costs."""
    return compiled(plan, isolation_room=1).prices


def _cheapest(runs: Mapping[str, np.ndarray]) -> Mapping[str, float]:
    """Share of worlds in which a plan's mean cost is the least; equal ones all count."""
    names = list(runs)
    k = MEASURES.index("cost")
    means = np.stack([runs[name][:, :, k].mean(axis=1) for name in names])
    least = means <= means.min(axis=0)
    return dict(zip(names, least.mean(axis=1).tolist(), strict=True))


def _least_regret(runs: Mapping[str, np.ndarray], by: Sequence[str]) -> str:
    """The plan that in its worst world is least worse than the best one there.

    Plans that are equal by the first measure are told apart by the next: where only
    tests have a price, all plans without tests cost the same.
    """
    names = list(runs)  # the present plan first: of equal ones it stays
    regrets = []
    for measure in by:
        k = MEASURES.index(measure)
        means = np.stack([runs[name][:, :, k].mean(axis=1) for name in names])
        regrets.append((means - means.min(axis=0)).max(axis=1).tolist())
    ranked = zip(zip(*regrets, strict=True), range(len(names)), strict=True)
    return names[min(ranked)[1]]


def search(
    run: RunPlans,
    *,
    now: Plan,
    plans: Sequence[Plan],
    prices: Prices,
    seed: int,
    amount: Amount | None = None,
    by: str = "sick_days",
    said: Said | None = None,
) -> Comparison:
    """The best few of many plans by successive halving, then rerun with fresh luck.

    Each round doubles the runs a world and keeps the better half, until 3 are left.
    """
    amount = amount or Amount()
    left = [plan for plan in _unique(plans) if plan.id != now.id]
    tried = len(left) + 1
    keys = {plan.id: price_keys(plan) for plan in left}
    runs, done = amount.first_runs, 0
    so_far: dict[str, np.ndarray] = {}
    rounds = rounds_of_halving(len(left))
    for number in range(rounds):
        rows = run(left, (0, amount.worlds), (done, runs - done), seed)
        for name, found in rows.items():
            fresh = measured(found, prices=prices, keys=keys[name])
            before = so_far.get(name)
            so_far[name] = (
                fresh if before is None else np.concatenate([before, fresh], axis=1)
            )
        left = sorted(left, key=lambda p: (*_mean_merit(so_far[p.id], by), p.id))
        left = left[: max(FINALISTS, ceil(len(left) / 2))]
        done, runs = runs, 2 * runs
        if said is not None:
            said("search", number + 1, rounds)
    return compare(
        run,
        now=now,
        plans=left,
        prices=prices,
        seed=seed + FRESH,
        amount=amount,
        by=by,
        tried=tried,
        first_world=amount.worlds,
    )


def rounds_of_halving(plans: int) -> int:
    """Rounds until at most 3 are left."""
    rounds = 0
    while plans > FINALISTS:
        plans = max(FINALISTS, ceil(plans / 2))
        rounds += 1
    return rounds


def _unique(plans: Sequence[Plan]) -> list[Plan]:
    return list({plan.id: plan for plan in plans}.values())


def _result(
    plan: Plan, *, runs: Mapping[str, np.ndarray], now: str, by: str
) -> PlanResult:
    own, base = runs[plan.id], runs[now]
    shares = {
        name: worlds_below(own[:, :, k], base[:, :, k])
        for k, name in enumerate(MEASURES)
    }
    return PlanResult(
        plan=plan,
        figures=figures(own),
        cases=tail(own[:, :, MEASURES.index("cases")]),
        cost=tail(own[:, :, MEASURES.index("cost")]),
        difference=figures(own - base, is_difference=True),
        better={name: below for name, (below, _) in shares.items()},
        worse={name: above for name, (_, above) in shares.items()},
        is_alike=bool((own == base).all()),
        by_world=tuple(own[:, :, MEASURES.index(by)].mean(axis=1).tolist()),
    )


def _merit(found: Mapping[str, Figure], by: str) -> tuple[float, float, float]:
    """Lower is better. What dogs suffer breaks ties before money does."""
    return (found[by].mean, found["sick_days"].mean, found["cost"].mean)


def _mean_merit(runs: np.ndarray, by: str) -> tuple[float, float, float]:
    means = runs.mean(axis=(0, 1))
    order = [MEASURES.index(name) for name in (by, "sick_days", "cost")]
    return (float(means[order[0]]), float(means[order[1]]), float(means[order[2]]))


def _alike(
    best: PlanResult,
    results: Sequence[PlanResult],
    *,
    runs: Mapping[str, np.ndarray],
    by: str,
) -> tuple[str, ...]:
    """Plans that luck or what we do not know cannot tell from the best one."""
    k = MEASURES.index(by)
    found = [best.plan.id]
    for result in results:
        if result.plan.id == best.plan.id:
            continue
        own, first = runs[result.plan.id][:, :, k], runs[best.plan.id][:, :, k]
        difference = figure(own - first)
        above, below = worlds_below(first, own)
        decided = above + below
        agree = above / decided if decided else 0.0
        if not difference.is_beyond_luck or agree < AGREE:
            found.append(result.plan.id)
    return tuple(found)
