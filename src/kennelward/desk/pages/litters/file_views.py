"""Before the puppies leave: chip, vaccination, worming, and the earliest day."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from kennelward.desk.pages.handbook_page.listing import NumberLine, number_line
from kennelward.desk.pages.litters.growth_views import litter_or_404
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import LitterCard
from kennelward.programme import DueItem
from kennelward.rounds import PuppyFile, puppy_file, ready_to_leave

PROGRAMME = "young."
LEAVE = "young.leave_days"


@dataclass(frozen=True, slots=True, kw_only=True)
class FileLine:
    """One puppy's file, and what is due for it."""

    file: PuppyFile
    due: tuple[DueItem, ...]


@open_to(OWNER, HAND, VET)
def before_they_leave(request: HttpRequest, litter: str) -> HttpResponse:
    """Each puppy's file, and from when it may go by the rule in force."""
    place = here(request)
    card = litter_or_404(place, litter)
    born_on = place.book.happened_on(card.whelped)
    leaves = ready_to_leave(handbook=place.handbook, born_on=born_on, on=place.on)
    return render(
        request,
        "litters/file.html",
        {
            "litter": card,
            "dam": place.book.name_of(card.dam),
            "born_on": born_on,
            "leaves": leaves,
            "may_leave": place.on >= leaves.on,
            "leave_numbers": [_leave_number(place)],
            "lines": _lines(place, card),
            "litter_due": _due(place, card.litter),
        },
    )


def _lines(place: Here, card: LitterCard) -> list[FileLine]:
    return [
        FileLine(
            file=puppy_file(
                book=place.book, handbook=place.handbook, dog=dog, on=place.on
            ),
            due=_due(place, dog),
        )
        for dog in card.dogs
        if place.book.dogs[dog].is_here
    ]


def _due(place: Here, subject: str) -> tuple[DueItem, ...]:
    return tuple(
        item
        for item in place.plan.due.items
        if item.action.subject == subject
        and item.action.rule.rule.startswith(PROGRAMME)
        and item.state not in ("done", "declined")
    )


def _leave_number(place: Here) -> NumberLine:
    return number_line(LEAVE, place.handbook.programmes.values[LEAVE].latest)
