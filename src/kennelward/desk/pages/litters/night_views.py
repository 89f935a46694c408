"""The night of a whelping: works with the network cut, and sends later without doubles."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward import desk
from kennelward.desk import NewEntry
from kennelward.desk.pages.litters.views import bitch_or_404
from kennelward.desk.pages.shell.here import Here, here, new_id
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import facts as f
from kennelward.litters import WhelpingRules
from kennelward.rounds import PREGNANCY_REACH_DAYS, whelping_night
from kennelward.terms import BadInput

MOST_AT_ONCE = 200
AHEAD = timedelta(minutes=2)
NIGHT_REACH = timedelta(days=2)  # what is older belongs to no night under way
SIGNS = (  # what is offered, the emergencies first
    "puppy-stuck",
    "heavy-bleeding",
    "collapse",
    "green-discharge",
    "stage-one",
    "hard-straining",
    "weak-straining",
    "resting",
    "placenta",
    "temperature-drop",
)


@open_to(OWNER, HAND, VET)
def night(request: HttpRequest, dam: str) -> HttpResponse:
    """The whelping screen. Everything it needs is in the page and its script."""
    place = here(request)
    card = bitch_or_404(place, dam)
    found = whelping_night(book=place.book, dam=dam, now=place.at)
    rules = WhelpingRules()
    seen = _seen(place, dam)
    return render(
        request,
        "litters/night.html",
        {
            "card": card,
            "night": found,
            "seen": seen,
            "no_sex": [
                one | {"moment": datetime.fromisoformat(one["at"])}
                for one in seen
                if one["what"] == "puppy"
                and not one["sex"]
                and one["born"] != "stillborn"
            ],
            "signs": SIGNS,
            "minutes": {
                "hard": rules.hard_straining,
                "weak": rules.weak_straining,
                "amber": rules.gap_amber,
                "red": rules.gap_red,
                "stage_amber": rules.stage_one_amber,
                "stage_red": rules.stage_one_red,
            },
        },
    )


def _seen(place: Here, dam: str) -> list[dict[str, Any]]:
    """Entries of this night, oldest first, in the form the script keeps."""
    found: list[dict[str, Any]] = []
    for entry in place.book.about(dam):
        if place.at - entry.happened_at > NIGHT_REACH:
            continue
        values = {"id": entry.entry, "at": entry.happened_at.isoformat()}
        match entry.fact:
            case f.WhelpingEnded():
                found = []
            case f.WhelpingNoted(sign=sign):
                found.append(values | {"what": sign})
            case f.PuppyBorn(sex=sex, marking=marking, weight_g=grams, born=born):
                found.append(
                    values
                    | {
                        "what": "puppy",
                        "sex": sex,
                        "marking": marking,
                        "weight_g": grams,
                        "born": born,
                    }
                )
    return found


@open_to(OWNER, HAND, VET)
@require_POST
def sync(request: HttpRequest, dam: str) -> JsonResponse:
    """Take what the phone kept. Each entry has the phone's own id: twice does no harm.

    Answers with the ids now in the book, and for each refused one what is wrong with
    it; the phone keeps those and shows them.
    """
    place = here(request)
    bitch_or_404(place, dam)
    try:
        sent = json.loads(request.body)
    except ValueError:
        sent = None
    if not isinstance(sent, list) or len(sent) > MOST_AT_ONCE:
        return JsonResponse({"wrong": _("This is not a list of entries.")}, status=400)
    kept: list[str] = []
    refused: dict[str, str] = {}
    for one in sent:
        number = str(one.get("id", "")) if isinstance(one, dict) else ""
        try:
            entry = NewEntry(
                entry=number, fact=_fact(one, dam), happened_at=_moment(one, place.at)
            )
            desk.record([entry], kennel=place.kennel, by=request.user, at=place.at)
            kept.append(number)
        except (BadInput, ValueError, TypeError, KeyError) as problem:
            refused[number] = str(problem)
    return JsonResponse({"kept": kept, "refused": refused})


def _moment(one: dict[str, Any], now: datetime) -> datetime:
    """When it happened; a phone clock that runs ahead is pulled back to now."""
    at = datetime.fromisoformat(str(one["at"]))
    if at.tzinfo is None:
        raise BadInput("the time needs its zone; reload the page")
    at = at.astimezone(UTC)
    return min(at, now) if at - now <= AHEAD else at


def _fact(one: dict[str, Any], dam: str) -> f.Fact:
    what = str(one["what"])
    if what != "puppy":
        return f.WhelpingNoted(dam=dam, sign=what, note=str(one.get("note", ""))[:400])
    grams = one.get("weight_g")
    return f.PuppyBorn(
        puppy=str(one["id"]),
        dam=dam,
        sex=str(one.get("sex", "")),
        marking=str(one.get("marking", ""))[:200],
        weight_g=float(grams) if grams not in (None, "") else None,
        born=str(one.get("born", "alive")),
    )


@open_to(OWNER, HAND, VET)
@require_POST
def end(request: HttpRequest, dam: str) -> HttpResponse:
    """The bitch is done: the night becomes a litter with its puppies and weights."""
    place = here(request)
    card = bitch_or_404(place, dam)
    litter = request.POST.get("entry") or new_id()
    if litter in place.book.litters:  # sent twice
        return redirect("litters:litter", litter)
    born = [one for one in _seen(place, dam) if one["what"] == "puppy"]
    if not born:
        messages.error(
            request,
            _("No puppy of this night is in the book, so there is no litter yet."),
        )
        return redirect("litters:night", dam)
    name = request.POST.get("name", "").strip() or _("Litter of %(dam)s") % {
        "dam": card.name
    }
    for one in born:
        one["sex"] = one["sex"] or request.POST.get(f"sex-{one['id']}", "")
    if any(one["born"] != "stillborn" and not one["sex"] for one in born):
        messages.error(request, _("Say of each living puppy: bitch or dog."))
        return redirect("litters:night", dam)
    first = datetime.fromisoformat(born[0]["at"])
    try:
        place.write_dated(
            [
                (first, _whelped(place, litter, name, dam, born)),
                *_puppies(place, litter, dam, born),
                (None, f.WhelpingEnded(dam=dam, litter=litter)),
            ],
            entry=litter,
        )
    except (BadInput, ValueError) as refused:
        messages.error(request, str(refused))
        return redirect("litters:night", dam)
    messages.success(request, _("The litter stands in the book."))
    return redirect("litters:litter", litter)


def _whelped(
    place: Here, litter: str, name: str, dam: str, born: list[dict[str, Any]]
) -> f.Whelped:
    dead = sum(one["born"] == "stillborn" for one in born)
    return f.Whelped(
        litter=litter,
        name=name[:200],
        dam=dam,
        sire=_sire(place, dam),
        born_alive=len(born) - dead,
        stillborn=dead,
    )


def _sire(place: Here, dam: str) -> str:
    """The sire, where the matings of this pregnancy name one and only one."""
    since = place.at - timedelta(days=PREGNANCY_REACH_DAYS)
    sires = {
        entry.fact.sire or entry.fact.sire_outside
        for entry in place.book.about(dam)
        if isinstance(entry.fact, f.Mated)
        and entry.fact.dam == dam
        and entry.happened_at >= since
    }
    sire = sires.pop() if len(sires) == 1 else ""
    return sire if sire in place.book.dogs else ""


def _puppies(
    place: Here, litter: str, dam: str, born: list[dict[str, Any]]
) -> list[tuple[datetime | None, f.Fact]]:
    """A dog for each live puppy, where the dam is, with its first weight."""
    facts: list[tuple[datetime | None, f.Fact]] = []
    pen = place.book.dogs[dam].pen
    for number, one in enumerate(born, 1):
        if one["born"] == "stillborn":
            continue
        at = datetime.fromisoformat(one["at"])
        facts.append(
            (
                at,
                f.DogDescribed(
                    dog=one["id"],
                    name=one["marking"] or _("Puppy %(n)d") % {"n": number},
                    sex=one["sex"],
                    born_on=place.book.day_of(at),
                    marking=one["marking"],
                    dam=dam,
                    litter=litter,
                ),
            )
        )
        if pen:
            facts.append((at, f.Moved(dog=one["id"], pen=pen)))
        if one["weight_g"]:
            facts.append((at, f.Weighed(dog=one["id"], weight_g=one["weight_g"])))
    return facts


@open_to(OWNER, HAND, VET)
def worker(request: HttpRequest) -> HttpResponse:
    """The script that keeps the night's page at hand offline, for this part of the desk."""
    text = (Path(__file__).parent / "static/litters/worker.js").read_text()
    return HttpResponse(text, content_type="text/javascript")
