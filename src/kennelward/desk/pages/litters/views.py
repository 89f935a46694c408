"""Which bitches are due, which litters there are, and one pregnancy in full."""

from dataclasses import dataclass
from datetime import date

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward.desk.pages.litters.ask import night_of, pregnancy_of
from kennelward.desk.pages.litters.forms import PregnancyNoteForm
from kennelward.desk.pages.litters.pictures import due_bars
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import DogCard, LitterCard
from kennelward.rounds import (
    PregnancyPlan,
    kennel_losses,
    litter_growth,
)
from kennelward.terms import BadInput

YOUNG_DAYS = 100  # a litter stays on the list until its puppies are about 14 weeks


@dataclass(frozen=True, slots=True, kw_only=True)
class Expecting:
    """One bitch that may be pregnant."""

    card: DogCard
    plan: PregnancyPlan
    is_whelping: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LitterLine:
    """One litter on the list."""

    card: LitterCard
    dam: str
    born_on: date
    alive: int
    flags: tuple[str, ...]  # worst growth flags, red first


def expecting(place: Here) -> list[Expecting]:
    """Bitches with a pregnancy that may be under way, soonest due first."""
    found = []
    for card in place.book.dogs_here:
        if card.described.sex != "bitch":
            continue
        plan = pregnancy_of(place, card.dog)
        if plan is not None and plan.standing.is_expecting:
            night = night_of(place, card.dog)
            found.append(Expecting(card=card, plan=plan, is_whelping=night is not None))
    return sorted(found, key=lambda one: (not one.is_whelping, one.plan.due.median))


def litter_lines(place: Here) -> list[LitterLine]:
    """Young litters, newest first."""
    found = []
    for card in place.book.litters.values():
        born_on = place.book.happened_on(card.whelped)
        if (place.on - born_on).days > YOUNG_DAYS:
            continue
        flags = {
            p.flag.value
            for p in litter_growth(
                book=place.book, handbook=place.handbook, litter=card.litter
            )
            if place.book.dogs[p.dog].is_here
        }
        alive = sum(place.book.dogs[dog].is_here for dog in card.dogs)
        found.append(
            LitterLine(
                card=card,
                dam=place.book.name_of(card.dam),
                born_on=born_on,
                alive=alive or max(0, card.born_alive - len(card.deaths)),
                flags=tuple(
                    flag for flag in ("call the vet", "look at it") if flag in flags
                ),
            )
        )
    return sorted(found, key=lambda line: line.born_on, reverse=True)


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """Who is due, the young litters, and how the kennel's losses stand."""
    place = here(request)
    return render(
        request,
        "litters/index.html",
        {
            "expecting": expecting(place),
            "litters": litter_lines(place),
            "losses": kennel_losses(
                book=place.book, handbook=place.handbook, on=place.on
            ),
        },
    )


def bitch_or_404(place: Here, dam: str) -> DogCard:
    """The bitch's card; 404 for anything else."""
    card = place.book.dogs.get(dam)
    if card is None or card.described.sex != "bitch":
        raise Http404
    return card


@open_to(OWNER, HAND, VET)
def pregnancy(request: HttpRequest, dam: str) -> HttpResponse:
    """One pregnancy: due date as a picture, test days, what is known, what to add."""
    place = here(request)
    card = bitch_or_404(place, dam)
    plan = pregnancy_of(place, dam)
    return render(
        request,
        "litters/pregnancy.html",
        {
            "card": card,
            "plan": plan,
            "bars": due_bars(plan.due) if plan else None,
            "form": PregnancyNoteForm(),
            "night": night_of(place, dam),
        },
    )


@open_to(OWNER, HAND, VET)
@require_POST
def note(request: HttpRequest, dam: str) -> HttpResponse:
    """Write one fact about the cycle or pregnancy."""
    place = here(request)
    card = bitch_or_404(place, dam)
    form = PregnancyNoteForm(request.POST)
    if form.is_valid():
        try:
            place.write(
                form.fact(dam),
                entry=form.cleaned_data["entry"],
                happened_at=form.cleaned_data["when"],
            )
        except BadInput as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _("Written in the book."))
            return redirect("litters:pregnancy", dam)
    plan = pregnancy_of(place, dam)
    return render(
        request,
        "litters/pregnancy.html",
        {
            "card": card,
            "plan": plan,
            "bars": due_bars(plan.due) if plan else None,
            "form": form,
            "night": night_of(place, dam),
        },
        status=422,
    )
