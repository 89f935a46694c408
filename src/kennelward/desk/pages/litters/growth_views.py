"""A litter's growth, and weighing all its puppies in one go."""

from datetime import datetime

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from kennelward.desk.pages.litters.ask import growth_of
from kennelward.desk.pages.litters.closing import add_late, late_puppies
from kennelward.desk.pages.litters.growth_page import puppy_lines, weight_doubt
from kennelward.desk.pages.litters.weights import LONGEST, UNITS, grams_of
from kennelward.desk.pages.shell.forms import WhenForm
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import LitterCard
from kennelward.kennel import facts as f
from kennelward.terms import BadInput

SURE = "sure"  # ticked by someone who has seen the warning about the unit
WHOLE_KILOS_FROM_DAYS = 56  # older puppies are weighed in kilograms


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
    when: WhenForm | None = None,
    status: int = 200,
) -> HttpResponse:
    born_on = place.book.happened_on(card.whelped)
    age = (place.on - born_on).days
    unit = request.POST.get("unit") or ("kg" if age > WHOLE_KILOS_FROM_DAYS else "g")
    lines = puppy_lines(place, card, typed=typed or {}, doubts=doubts or {})
    return render(
        request,
        "litters/growth.html",
        {
            "litter": card,
            "dam": place.book.name_of(card.dam),
            "born_on": born_on,
            "age": age,
            "lines": lines,
            "worst_first": sorted(lines, key=_rank),
            "late": late_puppies(place, card),
            "asks": bool(doubts),
            "units": UNITS,
            "unit": unit,
            "when": when or WhenForm(),
            "expected": lines[0].growth.expected if lines else None,
        },
        status=status,
    )


def _rank(line: object) -> int:
    flag = line.growth.flag.value  # type: ignore[attr-defined]
    return {"call the vet": 0, "look at it": 1}.get(flag, 2)


@open_to(OWNER, HAND, VET)
@require_POST
def weigh(request: HttpRequest, litter: str) -> HttpResponse:
    """Write the weights that were typed, all or none; ask where a unit looks wrong."""
    place = here(request)
    card = litter_or_404(place, litter)
    puppies = {growth.dog: growth for growth in growth_of(place, litter)}
    typed = {
        dog: request.POST.get(f"weight-{dog}", "").strip()[: LONGEST + 1]
        for dog in puppies
    }
    when = WhenForm(request.POST)
    unit = request.POST.get("unit", "g")
    at: datetime | None = when.cleaned_data["when"] if when.is_valid() else None
    facts: list[f.Fact] = []
    doubts: dict[str, str] = {}
    for dog, text in typed.items():
        if not text:
            continue
        try:
            weight_g = grams_of(text, unit=unit if unit in UNITS else "g")
            doubt = weight_doubt(
                place, puppies[dog], card, weight_g=weight_g, at=at or place.at
            )
            if doubt and not request.POST.get(SURE):
                doubts[dog] = doubt
            facts.append(f.Weighed(dog=dog, weight_g=weight_g))
        except BadInput as refused:
            doubts[dog] = str(refused)
    if doubts or not when.is_valid():
        return _page(
            request, place, card, typed=typed, doubts=doubts, when=when, status=422
        )
    if not facts:
        messages.warning(request, _("No weight was typed."))
        return redirect("litters:litter", litter)
    try:
        place.write(*facts, entry=request.POST.get("entry", ""), happened_at=at)
    except (BadInput, ValueError) as refused:
        messages.error(request, str(refused))
        return redirect("litters:litter", litter)
    messages.success(
        request,
        ngettext("%(n)d weight written.", "%(n)d weights written.", len(facts))
        % {"n": len(facts)},
    )
    return redirect("litters:litter", litter)


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
