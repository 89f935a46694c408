"""How sure are we that an infection is absent, what it rests on, what would help."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from kennelward.desk.pages.shell.curve import ChanceCurve, ChanceOnDay, chance_curve
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.desk.pages.shell.templatetags.shell import day as day_words
from kennelward.desk.pages.sure.forms import SureForm, usual_values
from kennelward.evidence import in_hundred
from kennelward.kennel import DogCard
from kennelward.rounds import (
    Sureness,
    SurePlan,
    how_sure,
    infections_of,
    plan_sure,
    usual_assumptions,
)
from kennelward.terms import BadInput, Interval

TABLE_ROWS = 14
NAMES_SHOWN = 12  # dogs of a planned round that are shown at once


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundLine:
    """One round of the plan."""

    on: date
    dogs: tuple[DogCard, ...]
    rest: tuple[DogCard, ...]
    price_cents: int


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """Every infection with the chance that it is absent, or why nothing can be said."""
    place = here(request)
    found = [
        how_sure(book=place.book, handbook=place.handbook, infection=name, on=place.on)
        for name in infections_of(place.handbook)
    ]
    return render(
        request,
        "sure/index.html",
        {"lines": [{"sure": one, "n": _n(one)} for one in found]},
    )


@open_to(OWNER, HAND, VET)
def infection(request: HttpRequest, infection: str) -> HttpResponse:
    """The curve, what it rests on, what it takes for granted, and the plan."""
    place = here(request)
    if infection not in infections_of(place.handbook):
        raise Http404
    usual = usual_assumptions(
        book=place.book, handbook=place.handbook, infection=infection, on=place.on
    )
    how = _ask(place, infection, usual)
    form = SureForm(
        request.GET or None,
        initial=usual_values(usual, infected=how.infected, on=place.on),
        has_plan=not place.handbook.infections[infection].no_plan,
    )
    plan, refusal = None, ""
    if form.is_bound and form.is_valid():
        try:
            taken = form.changed(usual, dogs=len(how.dogs))
            how = _ask(place, infection, taken)
            if "plan" in request.GET and "by" in form.fields:
                plan = _planned(place, how, form)
        except BadInput as refused:
            refusal = str(refused)
    return render(
        request,
        "sure/infection.html",
        _shown(place, how, plan) | {"form": form, "refusal": refusal},
        status=422 if form.errors or refusal else 200,
    )


def _ask(place: Here, infection: str, taken: Any) -> Sureness:
    return how_sure(
        book=place.book,
        handbook=place.handbook,
        infection=infection,
        on=place.on,
        assumptions=taken,
    )


def _planned(place: Here, how: Sureness, form: SureForm) -> SurePlan:
    return plan_sure(
        how,
        book=place.book,
        handbook=place.handbook,
        by=form.cleaned_data["by"],
        wanted=int(form.cleaned_data["wanted"]) / 100,
    )


def _n(how: Sureness) -> str:
    return "" if how.today is None else in_hundred(how.today.chance.median)


def _shown(place: Here, how: Sureness, plan: SurePlan | None) -> dict[str, Any]:
    cards = place.book.dogs
    curve = _curve(how)
    return {
        "how": how,
        "n": _n(how),
        "between": _between(how.today.chance) if how.today is not None else "",
        "curve": curve,
        "curve_says": _curve_says(how),
        "rows": _rows(how),
        "suspects": [cards[dog] for dog in how.suspects],
        "set_aside": [cards[dog] for dog in how.set_aside],
        "plan": plan,
        "rounds": _rounds(place, plan),
        "left_out": len(plan.left_out) if plan is not None else 0,
        "infection": place.handbook.infections[how.infection],
    }


def _between(chance: Interval) -> str:
    return _("%(low)s to %(high)s") % {
        "low": in_hundred(chance.low),
        "high": in_hundred(chance.high),
    }


def _curve(how: Sureness) -> ChanceCurve | None:
    if how.curve is None:
        return None
    marks = [(how.on, _("Today: %(n)s in 100.") % {"n": _n(how)})]
    return chance_curve(
        [
            ChanceOnDay(
                on=point.on,
                low=point.chance.low,
                median=point.chance.median,
                high=point.chance.high,
            )
            for point in how.curve.points
        ],
        marks=marks,
        whole_scale=True,
    )


def _curve_says(how: Sureness) -> str:
    if how.curve is None:
        return ""
    first, last = how.curve.points[0], how.curve.points[-1]
    return _(
        "From %(a)s in 100 on %(day_a)s to %(b)s in 100 on %(day_b)s. Days stand in the "
        "table below."
    ) % {
        "a": in_hundred(first.chance.median),
        "day_a": day_words(first.on),
        "b": in_hundred(last.chance.median),
        "day_b": day_words(last.on),
    }


def _rows(how: Sureness) -> list[dict[str, Any]]:
    """Days for the table: evenly apart, and every day on which something happened."""
    if how.curve is None:
        return []
    points = how.curve.points
    every = max(1, (len(points) - 1) // TABLE_ROWS)
    tests: dict[date, int] = {}
    for done in how.question.rounds if how.question else ():
        tests[done.on] = tests.get(done.on, 0) + len(done.dogs) + len(done.pools)
    came = {one.on for one in how.introductions}
    return [
        {
            "on": point.on,
            "n": in_hundred(point.chance.median),
            "between": _between(point.chance),
            "tests": tests.get(point.on, 0),
            "came": point.on in came,
        }
        for n, point in enumerate(points)
        if n % every == 0
        or n == len(points) - 1
        or point.on in came
        or point.on in tests
    ]


def _rounds(place: Here, plan: SurePlan | None) -> list[RoundLine]:
    if plan is None or plan.plan is None or not plan.plan.is_reached:
        return []
    lines = []
    for one in plan.plan.rounds:
        cards = tuple(place.book.dogs[dog] for dog in one.dogs)
        lines.append(
            RoundLine(
                on=one.on,
                dogs=cards[:NAMES_SHOWN],
                rest=cards[NAMES_SHOWN:],
                price_cents=one.price_cents if plan.cents_each else 0,
            )
        )
    return lines
