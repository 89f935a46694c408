"""The kennel's losses judged as a run."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from kennelward.desk.pages.shell.here import here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.rounds import (
    dated_litters,
    kennel_losses,
    losses_delay,
    parents_compared,
)


@open_to(OWNER, HAND, VET)
def losses(request: HttpRequest) -> HttpResponse:
    """Litter by litter, the last year, the alarm and how slow it is, dams and sires."""
    place = here(request)
    litters = dated_litters(book=place.book, handbook=place.handbook, on=place.on)
    judged = kennel_losses(book=place.book, handbook=place.handbook, on=place.on)
    by_id = {litter: (chance, flag) for litter, chance, flag in judged.litters}
    lines = [
        {
            "litter": place.book.litters[one.litter],
            "dam": place.book.name_of(place.book.litters[one.litter].dam),
            "born_on": one.born_on,
            "loss": one.loss,
            "chance": by_id[one.litter][0],
            "flag": by_id[one.litter][1].value,
        }
        for one in sorted(litters, key=lambda one: one.born_on, reverse=True)
    ]
    delay = losses_delay(book=place.book, handbook=place.handbook, on=place.on)
    return render(
        request,
        "litters/losses.html",
        {
            "lines": lines,
            "judged": judged,
            "delay": delay,
            "parents": [
                (place.book.name_of(one.parent), one)
                for role in ("dam", "sire")
                for one in parents_compared(
                    book=place.book, handbook=place.handbook, on=place.on, role=role
                )
            ],
        },
    )
