"""The sketch of the yard, and moving a dog: tap the dog, tap the pen."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward.desk.pages.pens.moving import moves_for, who_goes_together
from kennelward.desk.pages.pens.yard import free_places, yard_of
from kennelward.desk.pages.shell.here import here, new_id
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import facts as f
from kennelward.terms import BadInput

WITH_ITS_OWN = "together"


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """The yard; with `?move=` a dog in hand, with `?place=` a pen in hand."""
    place = here(request)
    book = place.book
    yard = yard_of(book=book, on=place.on)
    in_hand = book.dogs.get(request.GET.get("move", ""))
    pen_in_hand = (
        book.pens.get(request.GET.get("place", "")) if place.role == OWNER else None
    )
    moves = {}
    family = []
    if in_hand is not None:
        moves = moves_for(book=book, card=in_hand, pens=[pen.card for pen in yard])
        family = who_goes_together(book=book, card=in_hand)
    return render(
        request,
        "pens/index.html",
        {
            "cells": [
                (pen, moves.get(pen.card.pen), in_hand is not None) for pen in yard
            ],
            "in_hand": in_hand,
            "family": family,
            "pen_in_hand": pen_in_hand,
            "free": free_places(yard) if pen_in_hand else [],
            "by_name": sorted(
                (line for pen in yard for line in pen.dogs),
                key=lambda line: line.name.casefold(),
            ),
            "entry": new_id(),
            "unused": [c for c in book.pens.values() if not c.described.in_use],
        },
    )


@open_to(OWNER, HAND)
@require_POST
def move(request: HttpRequest) -> HttpResponse:
    """Put a dog into a pen, with its dam and litter where that was ticked."""
    place = here(request)
    card = place.book.dogs.get(request.POST.get("dog", ""))
    pen = place.book.pens.get(request.POST.get("pen", ""))
    if card is None or pen is None:
        raise Http404
    goers = [card]
    if request.POST.get(WITH_ITS_OWN):
        goers += who_goes_together(book=place.book, card=card)
    why = request.POST.get("why", "")[:200]
    try:
        place.write(
            *(f.Moved(dog=goer.dog, pen=pen.pen, why=why) for goer in goers),
            entry=request.POST.get("entry", ""),
        )
    except (BadInput, ValueError) as refused:
        messages.error(request, str(refused))
        return redirect(f"{reverse('pens:index')}?move={card.dog}")
    messages.success(
        request,
        _("%(dogs)s: now in %(pen)s.")
        % {"dogs": ", ".join(goer.name for goer in goers), "pen": pen.name},
    )
    return redirect("pens:index")
