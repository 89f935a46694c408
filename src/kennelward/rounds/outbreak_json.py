"""The answer to "what may happen" as plain values, for a program or to be kept."""

from collections.abc import Callable
from dataclasses import asdict
from typing import Any

from kennelward.rounds.plan_outbreak import OutbreakAnswer
from kennelward.spread.compare import PlanResult
from kennelward.spread.knowledge import Known
from kennelward.spread.measures import Tail
from kennelward.spread.policies import PRICE_NAMES, Prices


def answer_as_plain(
    answer: OutbreakAnswer, *, name_of: Callable[[str], str]
) -> dict[str, Any]:
    """The answer as JSON; chances 0 to 1, `low` and `high` 90 % of the worlds."""
    found = answer.comparison
    return {
        "agent": answer.infection,
        "people_first": [str(caution.says) for caution in answer.people_first],
        "says": [str(phrase) for phrase in answer.says],
        "days": answer.days,
        "dogs": answer.dogs,
        "test": answer.test,
        "suspects": [name_of(dog) for dog in answer.suspects],
        "by": found.by,
        "plans_tried": found.tried,
        "cannot_be_told_apart": list(found.alike) if len(found.alike) > 1 else [],
        "least_regret": found.least_regret,
        "plans": [
            _plan(one, is_now=one is found.now)
            for one in found.all
        ],
        "cases_by_week": {
            plan: [dict(zip(("median", "p75", "p95"), week, strict=True)) for week in weeks]
            for plan, weeks in answer.fans.items()
        },
        "learnt": [
            {
                "number": one.name,
                "counted": one.says,
                "found": one.found,
                "of": one.of,
                "before": _number(one.before),
                "after": _number(one.after),
            }
            for one in answer.learnt
        ],
        "matters_most": [known.says for known in answer.matters],
        "numbers": [
            {"number": known.name, **_number(known), "says": known.says,
             "grade": known.grade.value, "source": known.source}
            for known in answer.numbers
        ],
        "assumed": [str(phrase) for phrase in answer.assumed],
        "prices": _prices(answer.prices),
        "worlds": found.worlds,
        "runs_of_each": found.runs,
        "runs": answer.runs,
        "seed": answer.seed,
        "engine": "fast" if answer.is_fast else "plain, slower: Numba is not there",
    }  # fmt: skip


def _plan(one: PlanResult, *, is_now: bool) -> dict[str, Any]:
    return {
        "plan": one.plan.id,
        "is_now": is_now,
        "does": list(one.plan.says),
        "figures": {name: asdict(figure) for name, figure in one.figures.items()},
        "cases": _tail(one.cases),
        "cost": _tail(one.cost),
        "costs": {name: asdict(figure) for name, figure in one.costs.items()},
        "cheapest_worlds": one.cheapest,
        "difference": {name: asdict(figure) for name, figure in one.difference.items()},
        "better_worlds": dict(one.better),
        "worse_worlds": dict(one.worse),
    }


def _tail(tail: Tail) -> dict[str, float]:
    return {"mean": tail.mean, "median": tail.median, "in_ten": tail.high}


def _number(known: Known) -> dict[str, float]:
    return {"median": known.value, "low": known.low, "high": known.high}


def _prices(prices: Prices) -> dict[str, float]:
    return {name: getattr(prices, name) for name in PRICE_NAMES}
