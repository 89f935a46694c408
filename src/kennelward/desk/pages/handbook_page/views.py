"""The handbook's four leaves: numbers, rules, cautions, sources."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from kennelward.desk.pages.handbook_page.listing import numbers, rule_groups
from kennelward.desk.pages.shell.here import here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.desk.pages.shell.templatetags.shell import words


def _asked(request: HttpRequest, leaf: str) -> dict[str, Any]:
    return {"q": request.GET.get("q", "").strip(), "leaf": leaf}


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """Every number in force."""
    asked = _asked(request, "numbers")
    found = here(request).handbook.values()
    groups = numbers(found, wanted=asked["q"])
    return render(request, "handbook/index.html", asked | {"groups": groups})


@open_to(OWNER, HAND, VET)
def rules(request: HttpRequest) -> HttpResponse:
    """Every rule in force, in words."""
    place = here(request)
    asked = _asked(request, "rules")
    groups = rule_groups(place.handbook.programmes, on=place.on, wanted=asked["q"])
    return render(request, "handbook/rules.html", asked | {"groups": groups})


@open_to(OWNER, HAND, VET)
def cautions(request: HttpRequest) -> HttpResponse:
    """Every caution."""
    asked = _asked(request, "cautions")
    wanted = asked["q"].casefold().split()
    found = [
        one
        for one in here(request).handbook.cautions.values()
        if all(word in f"{words(one.says)} {one.source}".casefold() for word in wanted)
    ]
    return render(request, "handbook/cautions.html", asked | {"cautions": found})


@open_to(OWNER, HAND, VET)
def sources(request: HttpRequest) -> HttpResponse:
    """Every source that is cited."""
    asked = _asked(request, "sources")
    wanted = asked["q"].casefold().split()
    found = [
        (name, cited)
        for name, cited in sorted(here(request).handbook.sources.items())
        if all(word in f"{name} {cited}".casefold() for word in wanted)
    ]
    return render(request, "handbook/sources.html", asked | {"sources": found})
