"""Weights from a list: pasted or as a file. First a report that writes nothing."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from kennelward import desk
from kennelward.desk.pages.litters.ask import growth_of
from kennelward.desk.pages.litters.growth_page import weight_doubt
from kennelward.desk.pages.litters.growth_views import litter_or_404
from kennelward.desk.pages.litters.weights_table import (
    COLUMNS,
    LARGEST_TEXT,
    WeightList,
    WeightRow,
    named_puppies,
    read_weights,
)
from kennelward.desk.pages.shell.here import Here, here, id_beside, new_id
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import LitterCard
from kennelward.kennel import facts as f
from kennelward.terms import BadInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Previewed:
    """One line of the report."""

    row: WeightRow
    name: str
    is_known: bool  # the same weight of that moment is in the book
    doubt: str  # a question about its unit, or empty


@open_to(OWNER, HAND, VET)
def import_weights(request: HttpRequest, litter: str) -> HttpResponse:
    """Report on a list, or write it; what was typed stays on the page."""
    place = here(request)
    card = litter_or_404(place, litter)
    text, trouble = _text(request)
    shown: list[Previewed] = []
    found: WeightList | None = None
    if request.method == "POST" and not trouble:
        try:
            found = read_weights(
                text, puppies=_puppies(place, card), zone=place.book.zone, now=place.at
            )
            shown = _previewed(place, card, found)
        except BadInput as refused:
            trouble = str(refused)
    if found is not None and "write" in request.POST:
        trouble = _write(request, place, found, shown)
        if not trouble:
            return redirect("litters:litter", litter)
    return render(
        request,
        "litters/import.html",
        {
            "litter": card,
            "text": text,
            "trouble": trouble,
            "found": found,
            "shown": shown,
            "new": sum(not one.is_known for one in shown),
            "doubts": sum(bool(one.doubt) and not one.is_known for one in shown),
            "columns": list(COLUMNS),
            "example": _example(place, card),
        },
        status=422 if trouble else 200,
    )


def _text(request: HttpRequest) -> tuple[str, str]:
    """What was pasted, or the letters of the file, and what is wrong with them."""
    file = request.FILES.get("file")
    if file is None:
        return request.POST.get("text", ""), ""
    if file.size is not None and file.size > 4 * LARGEST_TEXT:
        return "", _("This list is too long; send it in parts.")
    data = file.read()
    for letters in (
        ("utf-16",)
        if data[:2] in (b"\xff\xfe", b"\xfe\xff")
        else (
            "utf-8-sig",
            "cp1252",
        )
    ):
        try:
            text = data.decode(letters)
        except UnicodeDecodeError:
            continue
        if "\x00" not in text and not data.startswith(b"PK\x03\x04"):
            return text, ""
    return "", _("This is no text: save the sheet as CSV and choose that file.")


def _puppies(place: Here, card: LitterCard) -> dict[str, str]:
    return named_puppies(
        [
            (
                dog,
                (
                    place.book.dogs[dog].name,
                    place.book.dogs[dog].described.marking,
                    place.book.dogs[dog].described.chip,
                    str(number),
                ),
            )
            for number, dog in enumerate(card.dogs, 1)
        ]
    )


def _previewed(place: Here, card: LitterCard, found: WeightList) -> list[Previewed]:
    growths = {growth.dog: growth for growth in growth_of(place, card.litter)}
    known = {
        (growth.dog, weight.at, weight.weight_g)
        for growth in growths.values()
        for weight in growth.weights
    }
    shown = []
    for row in found.rows:
        is_known = (row.dog, row.at, row.weight_g) in known
        known.add((row.dog, row.at, row.weight_g))
        shown.append(
            Previewed(
                row=row,
                name=place.book.name_of(row.dog),
                is_known=is_known,
                doubt=weight_doubt(
                    place, growths[row.dog], card, weight_g=row.weight_g, at=row.at
                ),
            )
        )
    return shown


def _write(
    request: HttpRequest, place: Here, found: WeightList, shown: list[Previewed]
) -> str:
    """Write the lines that are new, all or none; a sentence where that cannot be."""
    fresh = [one for one in shown if not one.is_known]
    if (found.problems or any(one.doubt for one in fresh)) and not request.POST.get(
        "accept"
    ):
        return _("Look at the lines that are asked about, then tick that you did.")
    if not fresh:
        return _("Every line that could be read is in the book already.")
    first = request.POST.get("entry") or new_id()
    try:
        place.write_all(
            [
                desk.NewEntry(
                    entry=id_beside(first, steps=number),
                    fact=f.Weighed(dog=one.row.dog, weight_g=one.row.weight_g),
                    happened_at=one.row.at,
                )
                for number, one in enumerate(fresh)
            ]
        )
    except (BadInput, ValueError) as refused:
        return str(refused)
    messages.success(
        request,
        ngettext("%(n)d weight written.", "%(n)d weights written.", len(fresh))
        % {"n": len(fresh)},
    )
    return ""


def _example(place: Here, card: LitterCard) -> str:
    """Two lines with the names of this litter, to be copied."""
    names = [place.book.name_of(dog) for dog in card.dogs[:2]] or [_("Puppy 1")]
    day = place.on.isoformat()
    return "\n".join(
        ["puppy;when;weight", *(f"{name};{day} 07:30;412" for name in names)]
    )
