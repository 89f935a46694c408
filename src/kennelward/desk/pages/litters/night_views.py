"""The night of a whelping: works with the network cut, and sends later without doubles."""

import json
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward.desk.pages.litters.ask import night_of, whelping_rules
from kennelward.desk.pages.litters.closing import close_night, late_litter
from kennelward.desk.pages.litters.night_log import (
    LEAST_BIRTH_G,
    MOST_BIRTH_G,
    night_entries,
    puppies_of,
    skew_of,
    take,
    that_count,
)
from kennelward.desk.pages.litters.night_words import (
    alerts_in_words,
    clock_words,
    minutes_of,
    sentences,
)
from kennelward.desk.pages.litters.views import bitch_or_404
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.terms import BadInput

MOST_AT_ONCE = 200
EMERGENCIES = ("puppy-stuck", "heavy-bleeding", "collapse", "green-discharge")
SIGNS = (  # in the order of a whelping
    "temperature-drop",
    "stage-one",
    "weak-straining",
    "hard-straining",
    "placenta",
    "resting",
)


@open_to(OWNER, HAND, VET)
def night(request: HttpRequest, dam: str) -> HttpResponse:
    """The whelping screen. Everything it needs is in the page and its scripts."""
    place = here(request)
    card = bitch_or_404(place, dam)
    found = night_of(place, dam)
    rules = whelping_rules(place)
    entries = night_entries(place, dam)
    born = puppies_of(entries)
    return render(
        request,
        "litters/night.html",
        {
            "card": card,
            "night": found,
            "alerts": alerts_in_words(found, rules),
            "entries": entries,
            "shown": _shown(entries),
            "no_sex": [
                one | {"moment": datetime.fromisoformat(one["at"])}
                for one in born
                if not one["sex"] and one["born"] != "stillborn"
            ],
            "expected": sum(not one["shares_sac"] for one in born),
            "recent": late_litter(place, dam),
            "may_close": place.role != VET,
            "emergencies": EMERGENCIES,
            "signs": SIGNS,
            "frame": {
                "minutes": minutes_of(rules),
                "alerts": sentences(rules),
                "clocks": clock_words(),
                "zone": place.book.zone.key,
                "who": str(request.user.pk),
                "least_g": LEAST_BIRTH_G,
                "most_g": MOST_BIRTH_G,
            },
        },
    )


def _shown(entries: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The list of the night for a page without its script, the latest first."""
    counts = {one["id"] for one in that_count(entries)}
    return [
        one
        | {
            "moment": datetime.fromisoformat(one["at"]),
            "is_struck": one["id"] not in counts,
        }
        for one in reversed(entries)
        if one["what"] != "strike"
    ]


@open_to(OWNER, HAND, VET)
@require_POST
def sync(request: HttpRequest, dam: str) -> HttpResponseBase:
    """Take what the phone kept. Each entry has the phone's own id: twice does no harm.

    Answers with the ids now in the book, what is wrong with each refused one (the phone
    keeps those and shows them), and all of the night by now, other phones' entries too.
    A form without the script is taken as one entry.
    """
    place = here(request)
    bitch_or_404(place, dam)
    if not (request.content_type or "").startswith("application/json"):
        return _tapped(request, place, dam)
    entries, skew = _sent(request.body, now=place.at)
    if entries is None:
        return JsonResponse({"wrong": _("This is not a list of entries.")}, status=400)
    kept: list[str] = []
    refused: dict[str, str] = {}
    for one in entries:
        number = str(one.get("id", "")) if isinstance(one, dict) else ""
        try:
            take(place, dam, one, skew=skew)
            kept.append(number)
        except (BadInput, ValueError, TypeError, KeyError) as problem:
            refused[number] = str(problem)
    return JsonResponse(
        {"kept": kept, "refused": refused, "night": night_entries(place, dam)}
    )


def _sent(body: bytes, *, now: datetime) -> tuple[list[Any] | None, timedelta]:
    """The entries of a request and how far the phone's clock runs ahead."""
    try:
        said = json.loads(body)
        skew = timedelta(0)
        if isinstance(said, dict):
            skew = skew_of(said.get("phone_now"), now=now)
            said = said.get("entries")
    except (ValueError, RecursionError):
        return None, timedelta(0)
    if not isinstance(said, list) or len(said) > MOST_AT_ONCE:
        return None, timedelta(0)
    return said, skew


def _tapped(request: HttpRequest, place: Here, dam: str) -> HttpResponse:
    """One entry from a page whose script did not run."""
    said = {name: request.POST.get(name, "") for name in request.POST}
    said |= {"id": said.get("entry_id", ""), "at": place.at.isoformat()}
    said["weight_g"] = said.get("weight_g", "").replace(",", ".")
    try:
        take(place, dam, said, skew=timedelta(0))
    except (BadInput, ValueError, KeyError) as refused:
        messages.error(request, str(refused))
    return redirect("litters:night", dam)


@open_to(OWNER, HAND)
@require_POST
def end(request: HttpRequest, dam: str) -> HttpResponse:
    """The bitch is done: the night becomes a litter with its puppies and weights."""
    place = here(request)
    card = bitch_or_404(place, dam)
    try:
        litter = close_night(place, card, said=request.POST)
    except (BadInput, ValueError) as refused:
        messages.error(request, str(refused))
        return redirect("litters:night", dam)
    messages.success(request, _("The litter stands in the book."))
    return redirect("litters:litter", litter)


@open_to(OWNER, HAND, VET)
def worker(request: HttpRequest) -> HttpResponse:
    """The script that keeps the night's page at hand offline, for this part of the desk."""
    text = (Path(__file__).parent / "static/litters/worker.js").read_text()
    return HttpResponse(text, content_type="text/javascript")
