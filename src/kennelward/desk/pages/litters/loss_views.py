"""The kennel's losses judged as a run."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from kennelward.desk.pages.shell.here import here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.litters import LossModel, alarm_delay
from kennelward.rounds import dated_litters, kennel_losses, parents_compared

YEARS_LOOKED_BACK = 3
DAYS_A_YEAR = 365.25


@open_to(OWNER, HAND, VET)
def losses(request: HttpRequest) -> HttpResponse:
    """Litter by litter, the last year, the alarm and how slow it is, dams and sires."""
    place = here(request)
    litters = dated_litters(book=place.book, on=place.on)
    judged = kennel_losses(book=place.book, on=place.on)
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
    recent = [
        one
        for one in litters
        if (place.on - one.born_on).days < YEARS_LOOKED_BACK * DAYS_A_YEAR
    ]
    delay = None
    if recent:
        delay = alarm_delay(
            litters_a_year=len(recent) / YEARS_LOOKED_BACK,
            sizes=[one.loss.born for one in recent],
            chance=judged.baseline,
            model=LossModel(),
        )
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
                for one in parents_compared(book=place.book, on=place.on, role=role)
            ],
        },
    )
