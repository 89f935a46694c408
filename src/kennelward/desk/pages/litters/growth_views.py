"""A litter's growth, and weighing all its puppies in one go."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from kennelward.desk.pages.litters.closing import add_late, late_puppies
from kennelward.desk.pages.litters.pictures import growth_panels
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import LitterCard
from kennelward.kennel import facts as f
from kennelward.litters import check_weight_unit
from kennelward.rounds import PuppyGrowth, litter_growth, usual_weight_g
from kennelward.terms import BadInput

SURE = "sure"  # ticked by someone who has seen the warning about the unit


def litter_or_404(place: Here, litter: str) -> LitterCard:
    """The litter's card."""
    card = place.book.litters.get(litter)
    if card is None:
        raise Http404
    return card


@open_to(OWNER, HAND, VET)
def growth(request: HttpRequest, litter: str) -> HttpResponse:
    """Every puppy's line, what stands out, and the boxes for today's weights."""
    place = here(request)
    return _page(request, place, litter_or_404(place, litter))


def _page(
    request: HttpRequest,
    place: Here,
    card: LitterCard,
    *,
    typed: dict[str, str] | None = None,
    doubts: dict[str, str] | None = None,
    status: int = 200,
) -> HttpResponse:
    puppies = litter_growth(
        book=place.book, handbook=place.handbook, litter=card.litter
    )
    panels = growth_panels(
        [p.weights for p in puppies], born_at=card.whelped.happened_at
    )
    lines = [
        {
            "puppy": puppy,
            "panel": panel,
            "card": place.book.dogs[puppy.dog],
            "typed": (typed or {}).get(puppy.dog, ""),
            "doubt": (doubts or {}).get(puppy.dog, ""),
        }
        for puppy, panel in zip(puppies, panels, strict=True)
        if place.book.dogs[puppy.dog].is_here
    ]
    return render(
        request,
        "litters/growth.html",
        {
            "litter": card,
            "dam": place.book.name_of(card.dam),
            "born_on": place.book.happened_on(card.whelped),
            "lines": lines,
            "late": late_puppies(place, card),
            "asks": bool(doubts),
        },
        status=status,
    )


@open_to(OWNER, HAND, VET)
@require_POST
def weigh(request: HttpRequest, litter: str) -> HttpResponse:
    """Write the weights that were typed, all or none; ask where a unit looks wrong."""
    place = here(request)
    card = litter_or_404(place, litter)
    puppies = {
        p.dog: p
        for p in litter_growth(book=place.book, handbook=place.handbook, litter=litter)
    }
    typed = {dog: request.POST.get(f"weight-{dog}", "").strip()[:20] for dog in puppies}
    facts: list[f.Fact] = []
    doubts: dict[str, str] = {}
    for dog, text in typed.items():
        if not text:
            continue
        try:
            grams = _grams(text)
            doubt = _doubt(place, puppies[dog], card, grams)
            if doubt and not request.POST.get(SURE):
                doubts[dog] = doubt
            facts.append(f.Weighed(dog=dog, weight_g=grams))
        except BadInput as refused:
            doubts[dog] = str(refused)
    if doubts:
        return _page(request, place, card, typed=typed, doubts=doubts, status=422)
    if not facts:
        messages.warning(request, _("No weight was typed."))
        return redirect("litters:litter", litter)
    try:
        place.write(*facts, entry=request.POST.get("entry", ""))
    except (BadInput, ValueError) as refused:
        messages.error(request, str(refused))
        return redirect("litters:litter", litter)
    messages.success(
        request,
        ngettext("%(n)d weight written.", "%(n)d weights written.", len(facts))
        % {"n": len(facts)},
    )
    return redirect("litters:litter", litter)


def _grams(text: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError as error:
        raise BadInput(f"{text!r} is no weight; type grams, such as 412") from error


def _doubt(place: Here, puppy: PuppyGrowth, card: LitterCard, grams: float) -> str:
    """A question about the unit, or empty."""
    usual = usual_weight_g(
        growth=puppy,
        numbers=place.handbook.litters(place.on),
        born_at=card.whelped.happened_at,
        at=place.at,
    )
    return "" if usual is None else check_weight_unit(weight_g=grams, expected_g=usual)


@open_to(OWNER, HAND)
@require_POST
def late(request: HttpRequest, litter: str) -> HttpResponse:
    """Puppies of this birth that came to the book late join the litter."""
    place = here(request)
    card = litter_or_404(place, litter)
    try:
        add_late(place, card, said=request.POST)
    except (BadInput, ValueError) as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Written in the book."))
    return redirect("litters:litter", litter)
