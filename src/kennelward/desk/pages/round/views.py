"""The round: the walk as one form, and what to do now after it."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward.desk.pages.due.lines import DueLine, due_lines
from kennelward.desk.pages.round.walk import (
    LOOK_NOW,
    dog_on_round,
    facts_of_round,
    legs,
    signs_sent,
)
from kennelward.desk.pages.shell.forms import EntryForm, note_field
from kennelward.desk.pages.shell.here import Here, here, new_id
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import DogCard, Entry
from kennelward.kennel import facts as f
from kennelward.terms import BadInput


class NoteForm(EntryForm):
    """A word about the round as a whole, or about one dog."""

    note = note_field(_("A word about it"))


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """The walk, pen by pen."""
    place = here(request)
    walk = legs(place)
    return render(
        request,
        "round/index.html",
        {
            "legs": walk,
            "pen_count": sum(len(leg.pens) for leg in walk),
            "form": NoteForm(),
            "last": last_round(place),
            "has_pens": bool(place.book.pens),
        },
    )


def last_round(place: Here) -> Entry | None:
    """The latest round in the book."""
    rounds = place.book.of(f.RoundDone)
    return rounds[-1] if rounds else None


@open_to(OWNER, HAND)
@require_POST
def save(request: HttpRequest) -> HttpResponse:
    """One entry for the round, and one for each dog with signs."""
    place = here(request)
    form = NoteForm(request.POST)
    if not form.is_valid():
        for errors in form.errors.values():
            messages.error(request, " ".join(str(error) for error in errors))
        return redirect("round:index")
    try:
        facts = facts_of_round(request.POST, book=place.book)
        place.write(*facts, entry=form.cleaned_data["entry"])
    except BadInput as refused:
        messages.error(request, str(refused))
        return redirect("round:index")
    pens = len(facts[0].pens) if isinstance(facts[0], f.RoundDone) else 0
    with_signs = sum(isinstance(x, f.Observed) and bool(x.signs) for x in facts)
    messages.success(
        request,
        _("Round written down: %(pens)s pens, %(dogs)s with signs.")
        % {"pens": pens, "dogs": with_signs},
    )
    return redirect("round:after")


@open_to(OWNER, HAND, VET)
def after(request: HttpRequest) -> HttpResponse:
    """What to do now, from what was noted today."""
    place = here(request)
    first = new_id()
    cards = [
        card
        for card in place.book.dogs_here
        if card.signs and card.last_observed_on == place.on
    ]
    items = [
        item
        for item in place.plan.due.items
        if item.is_open and item.action.urgency == "now"
    ]
    lines = due_lines(items, place=place, first=first)
    return render(
        request,
        "round/after.html",
        {
            "dogs": [dog_now(place, card, lines) for card in cards],
            "others": others(lines, cards),
            "last": last_round(place),
            "here_again": request.get_full_path(),
        },
    )


def dog_now(
    place: Here, card: DogCard, lines: list[DueLine]
) -> tuple[DogCard, bool, list[DueLine]]:
    """A dog with signs, whether the five questions come first, and what to do."""
    checked_today = (
        card.danger is not None and place.book.happened_on(card.danger) == place.on
    )
    look_now = bool(LOOK_NOW & set(card.signs)) and not checked_today
    subjects = {card.dog, card.described.litter} - {""}
    return card, look_now, [line for line in lines if line.subject in subjects]


def others(lines: list[DueLine], cards: list[DogCard]) -> list[DueLine]:
    """What is urgent and about none of these dogs."""
    told = {card.dog for card in cards} | {card.described.litter for card in cards}
    return [line for line in lines if line.subject not in told]


@open_to(OWNER, HAND, VET)
def dog(request: HttpRequest, dog: str) -> HttpResponse:
    """Signs of one dog, outside a round."""
    place = here(request)
    card = place.book.dogs.get(dog)
    if card is None:
        raise Http404
    form = NoteForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            signs = signs_sent(request.POST, card)
            place.write(
                f.Observed(dog=dog, signs=signs or (), note=form.cleaned_data["note"]),
                entry=form.cleaned_data["entry"],
            )
        except BadInput as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, _("Written down."))
            if LOOK_NOW & set(signs or ()):
                return redirect("danger:check", dog)
            return redirect("round:after")
    return render(
        request,
        "round/dog.html",
        {"card": card, "one": dog_on_round(place, card), "form": form},
    )
