"""Making pens, changing them, their place on the sketch and their turn on the round."""

import dataclasses

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from kennelward.desk.pages.pens.forms import ORDER_STEP, PenForm, QuickPensForm
from kennelward.desk.pages.pens.yard import MOST_COLUMNS, MOST_ROWS, yard_of
from kennelward.desk.pages.shell.first_steps import after_step
from kennelward.desk.pages.shell.forms import add_refusal
from kennelward.desk.pages.shell.here import here, id_beside
from kennelward.desk.pages.shell.roles import OWNER, open_to
from kennelward.kennel import PenCard, round_rank
from kennelward.kennel.facts import PenDescribed
from kennelward.terms import BadInput


@open_to(OWNER)
def quick(request: HttpRequest) -> HttpResponse:
    """A whole yard at once."""
    place = here(request)
    form = QuickPensForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        first = form.cleaned_data["entry"]
        ids = [id_beside(first, steps=n) for n in range(form.how_many)]
        others = [c for c in place.book.pens.values() if c.pen not in ids]
        rows = [card.described.row for card in others if card.described.in_use]
        pens = form.described(ids=ids, first_row=max(rows, default=0) + 1)
        try:
            place.write(*pens, entry=first)
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            messages.success(
                request,
                ngettext("%(n)s pen made.", "%(n)s pens made.", len(pens))
                % {"n": len(pens)},
            )
            return redirect(after_step(place, "pens:index"))
    return render(request, "pens/quick.html", {"form": form})


@open_to(OWNER)
def add(request: HttpRequest) -> HttpResponse:
    """One more pen."""
    form = PenForm(request.POST or None)
    return _saved(request, form, card=None)


@open_to(OWNER)
def change(request: HttpRequest, pen: str) -> HttpResponse:
    """Change a pen; who was in it when stays as it was."""
    card = here(request).book.pens.get(pen)
    if card is None:
        raise Http404
    known = dataclasses.asdict(card.described)
    return _saved(request, PenForm(request.POST or None, initial=known), card=card)


def _saved(request: HttpRequest, form: PenForm, card: PenCard | None) -> HttpResponse:
    place = here(request)
    if request.method == "POST" and form.is_valid():
        entry = form.cleaned_data["entry"]
        described = form.described(card.pen if card else entry)
        if card and card.dogs_now and not described.in_use:
            form.add_error("in_use", _("Dogs are in this pen: move them first."))
        else:
            try:
                place.write(described, entry=entry)
            except BadInput as refused:
                add_refusal(form, refused)
            else:
                messages.success(request, _("Written down."))
                return redirect("pens:index")
    return render(request, "pens/change.html", {"form": form, "card": card})


@open_to(OWNER)
@require_POST
def place_pen(request: HttpRequest) -> HttpResponse:
    """Put a pen at a free place of the sketch."""
    place = here(request)
    card = place.book.pens.get(request.POST.get("pen", ""))
    try:
        column, row = (int(part) for part in request.POST.get("spot", "").split(","))
    except ValueError as error:
        raise Http404 from error
    if card is None or not (1 <= column <= MOST_COLUMNS and 1 <= row <= MOST_ROWS):
        raise Http404
    described = dataclasses.replace(card.described, column=column, row=row)
    _write_pens(request, [described])
    return redirect("pens:index")


@open_to(OWNER)
@require_POST
def turn(request: HttpRequest) -> HttpResponse:
    """Let a pen be walked one turn earlier or later among pens of its group."""
    place = here(request)
    book = place.book
    card = book.pens.get(request.POST.get("pen", ""))
    step = {"earlier": -1, "later": 1}.get(request.POST.get("turn", ""))
    if card is None or step is None:
        raise Http404
    rank = round_rank(book, card)
    group = [
        pen.card
        for pen in yard_of(book=book, on=place.on)
        if round_rank(book, pen.card) == rank
    ]
    at = group.index(card)
    if 0 <= at + step < len(group):
        group[at], group[at + step] = group[at + step], group[at]
        changed = [
            dataclasses.replace(pen.described, order=number * ORDER_STEP)
            for number, pen in enumerate(group, start=1)
            if pen.described.order != number * ORDER_STEP
        ]
        _write_pens(request, changed)
    return redirect("pens:index")


def _write_pens(request: HttpRequest, pens: list[PenDescribed]) -> None:
    try:
        here(request).write(*pens, entry=request.POST.get("entry", ""))
    except (BadInput, ValueError) as refused:
        messages.error(request, str(refused))
