"""A started strip: its clock, what a person saw, a second look, dropping it."""

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward.desk.pages.bench.forms import DropForm, PhotoForm
from kennelward.desk.pages.bench.phase import LATE, READ, WAIT, reading_time
from kennelward.desk.pages.bench.result_page import result_context
from kennelward.desk.pages.bench.sight import (
    BY_CODE,
    EARLY,
    SIGHTS,
    T_ONLY,
    Sight,
    is_more_cautious,
)
from kennelward.desk.pages.shell.forms import EntryForm
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import TestCard
from kennelward.kennel import facts as f
from kennelward.terms import BadInput, Call


def test_or_404(place: Here, test: str) -> TestCard:
    """The card of a strip test of this book."""
    card = place.book.tests.get(test)
    if card is None:
        raise Http404
    return card


test_or_404.__test__ = False  # type: ignore[attr-defined]


def base_context(place: Here, card: TestCard) -> dict[str, Any]:
    """What the clock and the result page share."""
    return {
        "card": card,
        "dog": place.book.dogs[card.dog],
        "kit": place.handbook.kits[card.kit],
        "lot": place.book.lots.get(card.lot),
        "time": reading_time(card, book=place.book),
        "at": place.at,
    }


@open_to(OWNER, HAND, VET)
def strip(request: HttpRequest, test: str) -> HttpResponse:
    """The clock while the strip runs, and what it means once it was read."""
    place = here(request)
    card = test_or_404(place, test)
    if card.state == "read":
        context = base_context(place, card) | result_context(place, card)
        return render(
            request, "bench/result.html", context | {"photo_form": PhotoForm()}
        )
    return show_clock(request, place, card, DropForm())


def show_clock(
    request: HttpRequest, place: Here, card: TestCard, drop_form: DropForm
) -> HttpResponse:
    """The page of a strip that runs, or was dropped."""
    context = base_context(place, card)
    time = context["time"]
    return render(
        request,
        "bench/clock.html",
        context
        | {
            "phase": time.phase(place.at) if time else "",
            "phases": (WAIT, READ, LATE),
            "refresh": time.seconds_to_next(place.at) if time else 0,
            "sights": SIGHTS,
            "early": EARLY
            if time and time.leaflet.positive_may_be_called_early
            else (),
            "form": EntryForm(),
            "drop_form": drop_form,
        },
    )


@open_to(OWNER, HAND, VET)
@require_POST
def seen(request: HttpRequest, test: str) -> HttpResponse:
    """What a person saw: saved at once, before any photo and any second opinion."""
    place = here(request)
    card = test_or_404(place, test)
    form, sight = EntryForm(request.POST), BY_CODE.get(request.POST.get("seen", ""))
    if not form.is_valid() or sight is None:
        messages.error(request, _("This form is damaged; open the page again."))
        return redirect("bench:test", test)
    entry = form.cleaned_data["entry"]
    if place.book.find(entry) is not None:
        return redirect("bench:test", test)
    refused = refuse_reading(place, card, sight)
    if refused:
        messages.error(request, refused)
        return redirect("bench:test", test)
    time = reading_time(card, book=place.book)
    minutes = time.minutes(place.at) if time else 0.0
    read_at = None
    said = request.POST.get("minute", "")
    if time is not None and said:
        in_time = minute_in_time(said, place=place, card=card)
        if in_time is None:
            messages.error(
                request, _("That minute lies outside the leaflet's reading time.")
            )
            return redirect("bench:test", test)
        minutes, read_at = in_time, time.started + timedelta(minutes=in_time)
    facts: list[f.Fact] = [
        f.StripSeen(
            test=test, call=sight.call.value, is_faint=sight.is_faint, minutes=minutes
        )
    ]
    if sight is T_ONLY:
        facts.append(
            f.Noted(about=card.dog, text=_("Strip: a line at T and none at C."))
        )
    try:
        place.write(*facts, entry=entry, happened_at=read_at)
    except BadInput as problem:
        messages.error(request, str(problem))
    return redirect("bench:test", test)


def refuse_reading(place: Here, card: TestCard, sight: Sight) -> str:
    """Why nothing can be read from this strip now; empty where it can.

    A late reading is let in, with its minutes: it is void and lifts nothing.
    """
    if card.state == "read":
        return _("Somebody has read this strip already. Both of you see it here.")
    if card.state == "dropped":
        return _("This strip was dropped. Start a new one.")
    time = reading_time(card, book=place.book)
    if time is None:
        return _(
            "First type the leaflet's minutes: no reading time counts before that."
        )
    may_be_early = time.leaflet.positive_may_be_called_early and sight in EARLY
    if time.phase(place.at) == WAIT and not may_be_early:
        return _("Not yet: a strip read too early counts for nothing.")
    return ""


def minute_in_time(said: str, *, place: Here, card: TestCard) -> float | None:
    """The minute at which a person looked, where it lies in the reading time."""
    time = reading_time(card, book=place.book)
    try:
        minute = float(said.replace(",", "."))
    except ValueError:
        return None
    if time is None or minute > time.minutes(place.at):
        return None
    in_time = (
        time.leaflet.read_from_minutes <= minute <= time.leaflet.read_until_minutes
    )
    return minute if in_time else None


@open_to(OWNER, HAND, VET)
@require_POST
def look_again(request: HttpRequest, test: str) -> HttpResponse:
    """A second look where person and reader differ. The first look stays in the book.

    More care than before replaces the first call; less care is noted beside it, and
    the more cautious call goes on driving precautions until a repeat.
    """
    place = here(request)
    card = test_or_404(place, test)
    form, sight = EntryForm(request.POST), BY_CODE.get(request.POST.get("seen", ""))
    time = reading_time(card, book=place.book)
    if not form.is_valid() or sight is None or card.seen is None or time is None:
        messages.error(request, _("This form is damaged; open the page again."))
        return redirect("bench:test", test)
    entry = form.cleaned_data["entry"]
    if place.book.find(entry) is not None:
        return redirect("bench:test", test)
    if time.phase(place.at) != READ:
        messages.error(
            request,
            _(
                "The reading time is over: the strip has no more to say. Repeat the test."
            ),
        )
        return redirect("bench:test", test)
    again = f.StripSeen(
        test=test,
        call=sight.call.value,
        is_faint=sight.is_faint,
        minutes=time.minutes(place.at),
    )
    note = f.Noted(
        about=card.dog,
        text=_("Second look at the strip: %(seen)s.") % {"seen": sight.word},
    )
    more = is_more_cautious(sight.call, card.person_call or Call.UNREADABLE)
    try:
        if more and card.kit != "relaxin":
            place.write(again, entry=entry, supersedes=card.seen.entry)
        else:
            place.write(note, entry=entry)
    except BadInput as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Second look written down beside the first."))
    return redirect("bench:test", test)


@open_to(OWNER, HAND, VET)
@require_POST
def keep_apart(request: HttpRequest, test: str) -> HttpResponse:
    """Keep the tested dog apart, as a suspect of what the strip looks for."""
    place = here(request)
    card = test_or_404(place, test)
    form = EntryForm(request.POST)
    infection = place.handbook.kits[card.kit].infection
    if form.is_valid() and place.book.dogs[card.dog].apart is None:
        try:
            place.write(
                f.KeptApart(
                    dog=card.dog,
                    infection="" if infection == "pregnancy" else infection,
                    why=_("strip test"),
                ),
                entry=form.cleaned_data["entry"],
            )
        except BadInput as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, _("Kept apart from now on."))
    return redirect("bench:test", test)


@open_to(OWNER, HAND, VET)
@require_POST
def drop(request: HttpRequest, test: str) -> HttpResponse:
    """A strip that came to nothing; says why. It never counts for anything."""
    place = here(request)
    card = test_or_404(place, test)
    form = DropForm(request.POST)
    if not form.is_valid():
        return show_clock(request, place, card, form)
    if card.state == "running":
        try:
            place.write(
                f.TestDropped(test=test, why=form.cleaned_data["why"]),
                entry=form.cleaned_data["entry"],
            )
        except BadInput as refused:
            messages.error(request, str(refused))
            return redirect("bench:test", test)
        messages.success(
            request, _("Dropped. It says nothing about the dog: repeat it.")
        )
    return redirect("bench:ready", card.dog, card.kit)
