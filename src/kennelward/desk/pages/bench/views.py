"""Which dog, which kit, is it ready, and start."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from kennelward.desk.pages.bench.forms import StartForm
from kennelward.desk.pages.bench.phase import ReadingTime, reading_time
from kennelward.desk.pages.danger.picking import dogs_to_pick
from kennelward.desk.pages.shell.forms import add_refusal
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.handbook import Kit
from kennelward.kennel import DogCard, TestCard
from kennelward.kennel import facts as f
from kennelward.rounds import Level, ReadinessCheck, test_readiness
from kennelward.terms import BadInput

RECENT = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """A strip that runs, with the phase it is in."""

    card: TestCard
    dog: str
    time: ReadingTime | None
    phase: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KitChoice:
    """A kit to pick for a dog, with how many strips are left in date."""

    kit: Kit
    usable: int
    has_leaflet: bool
    is_for: bool  # False where this dog cannot be tested with it at all


def running(place: Here) -> list[Running]:
    """Strips that were started and not read, oldest first."""
    found = []
    for card in place.book.tests.values():
        if card.state == "running":
            time = reading_time(card, book=place.book)
            found.append(
                Running(
                    card=card,
                    dog=place.book.name_of(card.dog),
                    time=time,
                    phase=time.phase(place.at) if time is not None else "",
                )
            )
    return sorted(found, key=lambda one: one.card.started.happened_at)


def recent(place: Here) -> list[tuple[TestCard, str]]:
    """The latest strips that were read."""
    read = [card for card in place.book.tests.values() if card.state == "read"]
    read.sort(key=lambda card: card.started.happened_at, reverse=True)
    return [(card, place.book.name_of(card.dog)) for card in read[:RECENT]]


def kit_choices(place: Here, card: DogCard | None) -> list[KitChoice]:
    """The kits of the handbook."""
    found = []
    for kit in place.handbook.kits.values():
        lots = [lot for lot in place.book.lots.values() if lot.kit == kit.kit]
        needs_bitch = kit.infection == "pregnancy"
        found.append(
            KitChoice(
                kit=kit,
                usable=sum(
                    lot.count_left for lot in lots if not lot.is_expired(place.on)
                ),
                has_leaflet=kit.kit in place.book.leaflets,
                is_for=card is None or not needs_bitch or card.described.sex == "bitch",
            )
        )
    return found


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """Strips that run; pick a dog, then a kit."""
    place = here(request)
    dog, kit = request.GET.get("dog", ""), request.GET.get("kit", "")
    card = place.book.dogs.get(dog)
    if card is not None and kit in place.handbook.kits:
        return redirect("bench:ready", dog, kit)
    if card is not None:
        return render(
            request,
            "bench/kits.html",
            {"card": card, "kits": kit_choices(place, card)},
        )
    return render(
        request,
        "bench/index.html",
        {
            "running": running(place),
            "choices": dogs_to_pick(place),
            "recent": recent(place),
            "kit": kit if kit in place.handbook.kits else "",
        },
    )


def to_danger(view: str, dog: str, kit: str) -> HttpResponse:
    """To the danger pages, and from there back to this kit."""
    return redirect(f"{reverse(view, args=[dog])}?{urlencode({'kit': kit})}")


@open_to(OWNER, HAND, VET)
def ready(request: HttpRequest, dog: str, kit: str) -> HttpResponse:
    """The checks, the steps with drawings, and the start of the clock."""
    place = here(request)
    card, held = place.book.dogs.get(dog), place.handbook.kits.get(kit)
    if card is None or held is None:
        raise Http404
    checks = test_readiness(
        book=place.book, handbook=place.handbook, dog=dog, kit=kit, at=place.at
    )
    stops = [check for check in checks if check.level is Level.STOP]
    codes = {check.code for check in stops}
    if "danger-check" in codes:
        return to_danger("danger:check", dog, kit)
    if "vet-first" in codes:
        return to_danger("danger:vet", dog, kit)
    form = StartForm(request.POST or None, book=place.book, kit=held, on=place.on)
    if request.method == "POST" and not stops and form.is_valid():
        test = form.cleaned_data["entry"]
        try:
            place.write(started(form, test=test, dog=dog, kit=kit), entry=test)
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            return redirect("bench:test", test)
    if request.method == "POST" and stops:
        messages.error(request, _("Not started: see what stands in the way."))
    return render(
        request,
        "bench/ready.html",
        {
            "card": card,
            "kit": held,
            "stops": stops,
            "warns": of_level(checks, Level.WARN),
            "fine": of_level(checks, Level.OK),
            "stop_codes": codes,
            "form": form,
            "leaflet": place.book.leaflets.get(kit),
            "runs": [one for one in running(place) if one.card.dog == dog],
        },
    )


def of_level(checks: tuple[ReadinessCheck, ...], level: Level) -> list[ReadinessCheck]:
    """Checks of one level."""
    return [check for check in checks if check.level is level]


def started(form: StartForm, *, test: str, dog: str, kit: str) -> f.TestStarted:
    """The fact that starts the clock. The test's id is that of its first entry."""
    return f.TestStarted(
        test=test,
        dog=dog,
        kit=kit,
        sample=form.cleaned_data["sample"],
        lot=form.cleaned_data["lot"],
    )
