"""The answer as lines and pictures a template can place."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from kennelward.desk.pages.foresee.labels import PRICE_LABELS
from kennelward.rounds.outbreak_words import amount
from kennelward.spread.knowledge import Grade

FAN_WIDTH, FAN_HEIGHT, FAN_LEFT, FAN_FOOT = 360, 190, 34, 24
DOT_WIDTH, DOT_EDGE = 300, 8
LEAST_COST = 1.0  # hundredths of the currency
SEEN = 0.005  # deaths on average from which the line is worth its place
SHOWN = (  # measure, word; a chance is shown in 100
    ("sick_days", "dog-days ill"),
    ("cases", "further cases"),
    ("litters", "litters hit"),
    ("deaths", "deaths"),
    ("apart_days", "dog-days apart"),
    ("closed_days", "days closed"),
    ("tests", "tests"),
)
SELDOM = ("deaths", "closed_days", "litters")  # shown where they happen


@dataclass(frozen=True, slots=True, kw_only=True)
class FanPicture:
    """Cases so far, week by week: a middle line and two bands."""

    outer: str  # points of the band that 95 of 100 runs stay under
    inner: str  # 75 of 100
    middle: str
    top: str  # figure at the upper edge
    weeks: int
    table: Sequence[tuple[int, float, float, float]]
    is_flat: bool  # not even 95 of 100 runs leave the ground
    width: int = FAN_WIDTH
    height: int = FAN_HEIGHT
    left: int = FAN_LEFT
    base: int = FAN_HEIGHT - FAN_FOOT


@dataclass(frozen=True, slots=True, kw_only=True)
class DotPicture:
    """A paired difference: worlds as a thin line, luck as a thick one, a dot."""

    zero: float
    low: float
    high: float
    from_luck: float
    to_luck: float
    dot: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanLine:
    """One plan with its figures and its difference to what is done now."""

    does: Sequence[str]
    is_now: bool
    is_best: bool
    is_alike: bool
    outbreak: Mapping[str, str]
    figures: Sequence[tuple[str, str, str, str]]  # word, mean, low, high
    cost: float
    cost_low: float
    cost_high: float
    cost_in_ten: float | None  # 9 runs in 10 cost at most this
    cases_in_ten: str
    costs: Sequence[tuple[Any, float]]  # what for, mean
    cheapest_in_ten: int | None  # of 10 worlds, in how many no other plan costs less
    difference: str
    worlds: str
    dots: DotPicture | None
    chance_difference: str


class AnswerPage:
    """What the answer's template shows."""

    def __init__(self, answer: Mapping[str, Any]) -> None:
        self.answer = answer
        plans = answer["plans"]
        alike = answer["cannot_be_told_apart"]
        reach = _reach(plans, answer["by"])
        ordered = [plan for plan in plans if not plan["is_now"]]
        best = alike[0] if alike else _best(plans, answer["by"])
        self.lines = [
            _line(plan, by=answer["by"], alike=alike, best=best, reach=reach)
            for plan in [p for p in plans if p["is_now"]] + ordered
        ]
        self.first, self.rest = self.lines[:4], self.lines[4:]
        self.fans = [
            (_fan_title(name, plans), fan_picture(weeks, top=_top(answer)))
            for name, weeks in answer["cases_by_week"].items()
        ]
        self.learnt = [one for one in answer["learnt"] if one["of"]]
        self.not_learnt = [one for one in answer["learnt"] if not one["of"]]
        self.has_prices = any(answer["prices"].values()) and any(
            plan["figures"]["cost"]["high"] > 0 for plan in plans
        )

    @property
    def guessed(self) -> int:
        """How many of the inputs are our guess."""
        return sum(one["grade"] == Grade.GUESS.value for one in self.answer["numbers"])

    @property
    def numbers(self) -> list[dict[str, Any]]:
        """Every input with its grade, guesses first."""
        order = {"our guess": 0, "your records": 1, "published": 2}
        return sorted(
            self.answer["numbers"], key=lambda one: (order[one["grade"]], one["says"])
        )


def _best(plans: Sequence[Mapping[str, Any]], by: str) -> str:
    least = min(plans, key=lambda plan: plan["figures"][by]["mean"])
    return str(least["plan"])


def _top(answer: Mapping[str, Any]) -> float:
    weeks = [week["p95"] for fan in answer["cases_by_week"].values() for week in fan]
    return float(max([1.0, *weeks]))


def _fan_title(name: str, plans: Sequence[Mapping[str, Any]]) -> str:
    plan = next(one for one in plans if one["plan"] == name)
    if plan["is_now"]:
        return _("With what you do now")
    return _("With: ") + ("; ".join(plan["does"]) or _("nothing"))


def fan_picture(weeks: Sequence[Mapping[str, float]], *, top: float) -> FanPicture:
    """Bands over the weeks; `top` is the number of cases at the upper edge."""
    across = (FAN_WIDTH - FAN_LEFT - 6) / max(1, len(weeks))
    base = FAN_HEIGHT - FAN_FOOT

    def points(name: str) -> list[str]:
        found = [f"{FAN_LEFT},{base}"]
        for number, week in enumerate(weeks, start=1):
            up = base - week[name] / top * (base - 8)
            found.append(f"{FAN_LEFT + number * across:.1f},{up:.1f}")
        return found

    right = f"{FAN_LEFT + len(weeks) * across:.1f},{base}"
    step = max(1, len(weeks) // 6)
    table = [
        (number, week["median"], week["p75"], week["p95"])
        for number, week in enumerate(weeks, start=1)
        if number % step == 0 or number == len(weeks)
    ]
    return FanPicture(
        outer=" ".join([*points("p95"), right]),
        inner=" ".join([*points("p75"), right]),
        middle=" ".join(points("median")),
        top=amount(top),
        weeks=len(weeks),
        table=table,
        is_flat=all(week["p95"] == 0 for week in weeks),
    )


def _unit(by: str) -> str:
    return {
        "sick_days": _("dog-days ill"),
        "outbreak": _("outbreaks of 100"),
        "cases": _("further cases"),
        "cost": _("of your money"),
    }[by]


def _reach(plans: Sequence[Mapping[str, Any]], by: str) -> float:
    ends = [
        abs(plan["difference"][by][end]) for plan in plans for end in ("low", "high")
    ]
    return float(max([*ends, 1e-9]))


def _dots(figure: Mapping[str, float], reach: float) -> DotPicture:
    half = DOT_WIDTH / 2 - DOT_EDGE

    def at(value: float) -> float:
        inside = max(-1.0, min(1.0, value / reach))
        return round(DOT_WIDTH / 2 + inside * half, 1)

    return DotPicture(
        zero=DOT_WIDTH / 2,
        low=at(figure["low"]),
        high=at(figure["high"]),
        from_luck=at(figure["mean"] - 2 * figure["error"]),
        to_luck=at(figure["mean"] + 2 * figure["error"]),
        dot=at(figure["mean"]),
    )


def _spread(figure: Mapping[str, float], scale: float = 1.0) -> tuple[str, str, str]:
    mean, low, high = (amount(scale * figure[k]) for k in ("mean", "low", "high"))
    return mean, low, high


def _line(
    plan: Mapping[str, Any],
    *,
    by: str,
    alike: Sequence[str],
    best: str,
    reach: float,
) -> PlanLine:
    figures = plan["figures"]
    chance = _spread(figures["outbreak"], 100)
    moved = plan["difference"][by]
    is_same = moved["mean"] == 0 and moved["error"] == 0
    scale = 100 if by == "outbreak" else 0.01 if by == "cost" else 1
    sign = "+" if moved["mean"] > 0 else ""
    in_ten = (round(10 * plan[name][by]) for name in ("better_worlds", "worse_worlds"))
    better, worse = in_ten
    chance_moved = plan["difference"]["outbreak"]["mean"]
    return PlanLine(
        does=plan["does"],
        is_now=plan["is_now"],
        is_best=plan["plan"] == best,
        is_alike=plan["plan"] in alike,
        outbreak=dict(zip(("mean", "low", "high"), chance, strict=True)),
        figures=[
            (word, *_spread(figures[name]))
            for name, word in SHOWN
            if name in figures and (name not in SELDOM or figures[name]["mean"] >= SEEN)
        ],
        cost=figures["cost"]["mean"],
        cost_low=figures["cost"]["low"],
        cost_high=figures["cost"]["high"],
        cost_in_ten=plan["cost"]["in_ten"] if "cost" in plan else None,
        cases_in_ten=amount(plan["cases"]["in_ten"]),
        costs=[
            (PRICE_LABELS[name], part["mean"])
            for name, part in plan.get("costs", {}).items()
            if part["mean"] >= LEAST_COST
        ],
        cheapest_in_ten=round(10 * plan["cheapest_worlds"])
        if "cheapest_worlds" in plan
        else None,
        difference=_("no different")
        if is_same
        else f"{sign}{amount(scale * moved['mean'])} ± {amount(scale * moved['error'])}"
        f" {_unit(by)}",
        worlds=""
        if is_same
        else _("better in %(better)s, worse in %(worse)s of 10 worlds")
        % {"better": better, "worse": worse},
        dots=None if plan["is_now"] or is_same else _dots(moved, reach),
        chance_difference=""
        if abs(chance_moved) < 5e-4
        else (f"{'+' if chance_moved > 0 else ''}{amount(100 * chance_moved)}"),
    )
