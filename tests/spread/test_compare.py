"""Comparison and search on made-up outcomes whose answer is known."""

import numpy as np
import pytest

from kennelward.spread.compare import Amount, compare, rounds_of_halving, search
from kennelward.spread.measures import (
    COLUMNS,
    MEASURES,
    fan,
    figure,
    measured,
    tail,
    worlds_below,
)
from kennelward.spread.policies import Plan, Prices
from kennelward.terms import BadInput, stream

NOW = Plan(id="now")
AMOUNT = Amount(worlds=20, runs=60, first_runs=5)


class MadeUpKennel:
    """Dog-days ill: a plan's own mean, a world's shift, luck that all plans share."""

    def __init__(self, means, *, world_sd=2.0, luck_sd=5.0):
        self.means, self.world_sd, self.luck_sd = means, world_sd, luck_sd
        self.asked = []

    def __call__(self, plans, worlds, runs, seed):
        self.asked.append((tuple(p.id for p in plans), worlds, runs, seed))
        found = {}
        for plan in plans:
            rows = np.zeros((worlds[1], runs[1], len(COLUMNS)))
            for w in range(worlds[1]):
                world = stream(1, "world", replicate=worlds[0] + w).normal()
                luck = stream(seed, f"luck {worlds[0] + w}").normal(
                    size=runs[0] + runs[1]
                )[runs[0] :]
                ill = self.means[plan.id] + self.world_sd * world + self.luck_sd * luck
                rows[w, :, COLUMNS.index("sick_days")] = ill
            found[plan.id] = rows
        return found


def plans(count):
    return [Plan(id=f"p{n:02d}") for n in range(count)]


def test_pairing_takes_the_luck_out():
    """A plan that is 1 dog-day better in every run: error 0, all worlds agree."""
    kennel = MadeUpKennel({"now": 30.0, "p00": 29.0})
    found = compare(
        kennel, now=NOW, plans=plans(1), prices=Prices(), seed=3, amount=AMOUNT
    )
    difference = found.others[0].difference["sick_days"]
    assert difference.mean == pytest.approx(-1)
    assert difference.error == pytest.approx(0, abs=1e-9)
    assert found.others[0].better["sick_days"] == 1
    assert found.alike == ("p00",)


def test_plans_that_are_the_same_cannot_be_told_apart():
    kennel = MadeUpKennel({"now": 30.0, "p00": 30.0, "p01": 40.0})
    found = compare(
        kennel, now=NOW, plans=plans(2), prices=Prices(), seed=3, amount=AMOUNT
    )
    assert set(found.alike) == {"now", "p00"}
    assert [one.plan.id for one in found.others] == ["p00", "p01"]
    assert found.others[0].is_alike


def test_what_we_do_not_know_is_told_from_luck():
    """World SD 2, luck SD 5: the range is that of the worlds, whatever the runs.

    90 % of a normal with SD 2 is 6.6 wide; 60 worlds, so within about a third of it.
    """
    kennel = MadeUpKennel({"now": 30.0})
    widths = []
    for runs in (30, 400):
        found = compare(
            kennel,
            now=NOW,
            plans=[],
            prices=Prices(),
            seed=5,
            amount=Amount(worlds=60, runs=runs),
        )
        ill = found.now.figures["sick_days"]
        widths.append(ill.high - ill.low)
    assert widths[0] == pytest.approx(6.6, rel=0.35)
    assert widths[1] == pytest.approx(widths[0], rel=0.2)


def test_halving_finds_the_best_of_fifty_and_reruns_it_with_fresh_luck():
    """Means 20.0 to 44.5 by halves; the best wins, and its figures are the rerun's."""
    means = {f"p{n:02d}": 20 + n / 2 for n in range(49)} | {"now": 30.0}
    kennel = MadeUpKennel(means)
    found = search(
        kennel, now=NOW, plans=plans(49), prices=Prices(), seed=3, amount=AMOUNT
    )
    assert found.others[0].plan.id == "p00"
    assert len(found.others) == 3
    assert found.tried == 50
    _, worlds, runs, seed = kennel.asked[-1]
    assert worlds == (AMOUNT.worlds, AMOUNT.worlds)  # worlds not met in the search
    assert seed != 3
    assert runs == (0, AMOUNT.runs)


def test_the_search_is_fair_where_all_are_the_same():
    """The winner's curse: fifty equal plans, and none is called better than now."""
    means = {f"p{n:02d}": 30.0 for n in range(49)} | {"now": 30.0}
    found = search(
        MadeUpKennel(means),
        now=NOW,
        plans=plans(49),
        prices=Prices(),
        seed=8,
        amount=AMOUNT,
    )
    assert len(found.alike) == 4


def test_halving_uses_each_run_once():
    kennel = MadeUpKennel({f"p{n:02d}": float(n) for n in range(20)} | {"now": 5.0})
    search(kennel, now=NOW, plans=plans(20), prices=Prices(), seed=1, amount=AMOUNT)
    spans = [runs for _, _, runs, _ in kennel.asked[:-1]]
    assert spans == [(0, 5), (5, 5), (10, 10)]
    assert rounds_of_halving(20) == 3
    assert rounds_of_halving(3) == 0


def test_an_unknown_order_is_refused():
    with pytest.raises(BadInput, match="sick_days, outbreak, cases, cost"):
        compare(
            MadeUpKennel({"now": 1.0}),
            now=NOW,
            plans=[],
            prices=Prices(),
            seed=1,
            by="beauty",
        )


def row(**given):
    return np.array([[float(given.get(name, 0)) for name in COLUMNS]])


def test_cost_is_counts_times_the_users_prices():
    one = measured(
        row(tests=3, apart_days=10, sick_days=4, litters=1, cost=999),
        prices=Prices(test=7, apart_day=2, sick_day=50, litter=1000),
    )
    assert one[0, MEASURES.index("cost")] == 3 * 7 + 10 * 2 + 4 * 50 + 1000


def test_three_further_cases_are_an_outbreak():
    assert [measured(row(cases=n), prices=Prices())[0, 0] for n in (0, 2, 3, 9)] == [
        0,
        0,
        1,
        1,
    ]


def test_never_in_twenty_runs_is_not_never():
    """Jeffreys: 0 of 20 has a 95 % point of 9.1 % (betaincinv(0.5, 20.5, 0.95))."""
    none = figure(np.zeros((4, 5)), is_chance=True)
    assert (none.mean, none.low) == (0, 0)
    assert none.high == pytest.approx(0.0907, abs=0.0005)


def test_tails_are_of_single_runs():
    found = tail(np.arange(100.0).reshape(10, 10))
    assert (found.median, found.high) == (49, 89)


def test_shares_of_worlds():
    one, other = np.array([[1.0], [2.0], [5.0]]), np.array([[2.0], [2.0], [4.0]])
    assert worlds_below(one, other) == (pytest.approx(1 / 3), pytest.approx(1 / 3))


def test_the_fan_sums_up_and_never_falls():
    weekly = np.array([[1, 0, 2], [0, 0, 0], [3, 1, 0]])
    weeks = fan(weekly)
    assert weeks[-1] == (3, 4, 4)
    for name in range(3):
        points = [week[name] for week in weeks]
        assert points == sorted(points)
