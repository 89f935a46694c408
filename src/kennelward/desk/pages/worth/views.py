"""Our own results, the figures of a kit, the prices of a mistake."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from kennelward.desk.pages.shell.forms import add_refusal
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.desk.pages.worth.forms import FiguresForm, PricesForm
from kennelward.desk.pages.worth.panel import (
    FigureLine,
    entries_of_figures,
    figure_line,
    test_name,
)
from kennelward.evidence import CannotTell, Summary, in_hundred
from kennelward.handbook import Kit
from kennelward.rounds import (
    OwnResults,
    harms_of,
    leaflet_figures,
    own_results,
    prices_of,
)
from kennelward.rounds.figures import replaced
from kennelward.rounds.prices import HARM_NAMES
from kennelward.terms import BadInput

FIGURE_NAMES = (
    ("sensitivity_1", 0, True),
    ("specificity_1", 0, False),
    ("sensitivity_2", 1, True),
    ("specificity_2", 1, False),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PairLine:
    """Two tests on the same dogs, as the page shows them."""

    names: tuple[str, str]
    counts: tuple[int, int, int, int]
    dogs: int
    prevalence: str
    learnt: tuple[str, ...]
    cannot: Any
    cautions: tuple[Any, ...]


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """What the kennel's own results say, infection by infection."""
    place = here(request)
    found = [
        own_results(
            book=place.book, handbook=place.handbook, infection=name, on=place.on
        )
        for name, card in place.handbook.infections.items()
        if "own_record_days" in card.values
    ]
    return render(
        request,
        "worth/index.html",
        {
            "groups": [(one, shown_pairs(one), shown_three(one)) for one in found],
            "is_empty": not any(one.tests for one in found),
            "kits": list(place.handbook.kits),
        },
    )


def summary_words(found: Summary) -> str:
    """`83 in 100 (71 to 92)`, 95 %."""
    return _("%(mid)s in 100 (%(low)s to %(high)s)") % {
        "mid": in_hundred(found.median),
        "low": in_hundred(found.q025),
        "high": in_hundred(found.q975),
    }


def shown_pairs(found: OwnResults) -> list[PairLine]:
    """The pairs of tests in words."""
    lines = []
    for pair in found.pairs:
        names = (test_name(pair.first), test_name(pair.second))
        learnt = []
        for key, which, is_finding in FIGURE_NAMES:
            if key in pair.figures:
                said = summary_words(pair.figures[key])
                text = (
                    _("%(test)s is positive in %(n)s that have it")
                    if is_finding
                    else _("%(test)s is negative in %(n)s that do not have it")
                )
                learnt.append(text % {"test": names[which], "n": said})
        lines.append(
            PairLine(
                names=names,
                counts=pair.counts,
                dogs=pair.dogs,
                prevalence=summary_words(pair.prevalence) if pair.prevalence else "",
                learnt=tuple(learnt),
                cannot=pair.cannot,
                cautions=pair.cautions,
            )
        )
    return lines


def shown_three(found: OwnResults) -> dict[str, Any] | None:
    """Three tests on the same dogs in words, or why they cannot tell."""
    three = found.three
    if three is None:
        return None
    names = [test_name(test) for test in three.tests]
    shown: dict[str, Any] = {"names": ", ".join(names), "dogs": three.dogs}
    if isinstance(three.answer, CannotTell):
        return shown | {"cannot": three.answer}
    answer = three.answer
    return shown | {
        "prevalence": in_hundred(answer.prevalence[0]),
        "tests": [
            (name, in_hundred(finds), in_hundred(clears))
            for name, finds, clears in zip(
                names, answer.sensitivity, answer.specificity, strict=True
            )
        ],
    }


@open_to(OWNER, VET)
def figures(request: HttpRequest, kit: str) -> HttpResponse:
    """Type the figures of the kit in use off its leaflet; both are shown."""
    place = here(request)
    held = place.handbook.kits.get(kit)
    if held is None:
        raise Http404
    form = FiguresForm(request.POST or None, kit=held)
    if request.method == "POST" and form.is_valid():
        try:
            place.write(form.figures(), entry=form.cleaned_data["entry"])
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            messages.success(
                request, _("Written down. Chances are worked out with it from now on.")
            )
            return redirect("worth:figures", kit)
    return render(
        request,
        "worth/figures.html",
        {
            "form": form,
            "kit": kit,
            "lines": both_figures(place, held),
            "own": entries_of_figures(place.book, kit),
        },
    )


def both_figures(place: Here, kit: Kit) -> list[tuple[FigureLine, FigureLine | None]]:
    """The handbook's figures by situation, and the leaflet's where there are some."""
    own = leaflet_figures(place.book)
    lines = []
    for each in kit.performances:
        said = own.get((kit.kit, each.situation.says))
        ours = figure_line(replaced(each, said), is_own=True) if said else None
        lines.append((figure_line(each, is_own=False), ours))
    return lines


@open_to(OWNER)
def prices(request: HttpRequest, infection: str) -> HttpResponse:
    """What each way of going on costs this kennel."""
    place = here(request)
    card = place.handbook.infections.get(infection)
    if card is None or "harm_missed" not in card.values:
        raise Http404
    known = prices_of(place.book, card)
    harms, are_assumed = harms_of(place.book, card, prices=known)
    initial = {name: f"{getattr(harms, name) / 100:.2f}" for name, _value in HARM_NAMES}
    form = PricesForm(request.POST or None, initial=initial if known.is_money else {})
    if request.method == "POST" and known.is_money and form.is_valid():
        try:
            place.write(form.said(infection), entry=form.cleaned_data["entry"])
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            messages.success(request, _("Written down."))
            return redirect("worth:prices", infection)
    return render(
        request,
        "worth/prices.html",
        {
            "form": form,
            "infection": infection,
            "is_money": known.is_money,
            "are_assumed": are_assumed,
        },
    )
