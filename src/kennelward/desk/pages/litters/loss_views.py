"""The kennel's losses judged as a run, and what points to an infection."""

from dataclasses import dataclass
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from kennelward.desk.pages.litters.ask import losses_of, numbers_of
from kennelward.desk.pages.litters.pictures import alarm_path
from kennelward.desk.pages.litters.pregnancy_page import sourced
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import LitterCard
from kennelward.litters import LitterLoss, ParentLoss
from kennelward.programme import DueItem
from kennelward.rounds import (
    dated_litters,
    loss_pattern,
    losses_delay,
    next_litter_to_alarm,
    parents_compared,
)

ALARM_RULES = ("loss-alarm.", "births.clustered")
FIRST = {"loss-alarm.people-first": 0, "loss-alarm.keep-cool": 1, "loss-alarm.vet": 2}
NEXT_LITTERS = (4, 6, 8)  # sizes for which it is said what would raise the alarm
NUMBERS = (  # of the handbook, behind this page
    "losses.chance",
    "losses.correlation",
    "losses.prior_puppies",
    "losses.odds_ratio",
    "losses.limit",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LossLine:
    """One litter of the table."""

    litter: LitterCard
    dam: str
    born_on: date
    loss: LitterLoss
    chance: float  # of as many or more lost, by chance
    flag: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NextLitter:
    """What a next litter would have to lose to raise the alarm."""

    born: int
    lost: int | None  # None: even all lost would not


@dataclass(frozen=True, slots=True, kw_only=True)
class Parent:
    """A dam or sire beside the kennel."""

    name: str
    url_id: str
    role: str
    found: ParentLoss


@open_to(OWNER, HAND, VET)
def losses(request: HttpRequest) -> HttpResponse:
    """Litter by litter, the last year, the alarm and how slow it is, dams and sires."""
    place = here(request)
    judged = losses_of(place)
    model = numbers_of(place).losses
    pattern = loss_pattern(book=place.book, handbook=place.handbook, on=place.on)
    return render(
        request,
        "litters/losses.html",
        {
            "lines": _lines(place),
            "judged": judged,
            "model": model,
            "pattern": pattern,
            "signs": [
                (sign, place.book.name_of(sign.dam)) for sign in reversed(pattern.signs)
            ],
            "delay": losses_delay(
                book=place.book, handbook=place.handbook, on=place.on
            ),
            "path": alarm_path(judged.cusum, limit=model.limit),
            "next_litters": [_next(place, born) for born in NEXT_LITTERS],
            "parents": _parents(place),
            "numbers": sourced(place, NUMBERS),
            "due_items": _asked(place),
        },
    )


def _asked(place: Here) -> list[DueItem]:
    """What the programme asks because of losses, what is for people first."""
    found = [
        item
        for item in place.plan.due.items
        if item.is_open and item.action.rule.rule.startswith(ALARM_RULES)
    ]
    return sorted(found, key=lambda item: FIRST.get(item.action.rule.rule, len(FIRST)))


def _lines(place: Here) -> list[LossLine]:
    judged = {
        litter: (chance, flag) for litter, chance, flag in losses_of(place).litters
    }
    return [
        LossLine(
            litter=place.book.litters[one.litter],
            dam=place.book.name_of(place.book.litters[one.litter].dam),
            born_on=one.born_on,
            loss=one.loss,
            chance=judged[one.litter][0],
            flag=judged[one.litter][1].value,
        )
        for one in sorted(
            dated_litters(book=place.book, handbook=place.handbook, on=place.on),
            key=lambda one: one.born_on,
            reverse=True,
        )
    ]


def _next(place: Here, born: int) -> NextLitter:
    lost = next_litter_to_alarm(
        book=place.book, handbook=place.handbook, on=place.on, born=born
    )
    return NextLitter(born=born, lost=lost)


def _parents(place: Here) -> list[Parent]:
    return [
        Parent(
            name=place.book.name_of(one.parent),
            url_id=one.parent if one.parent in place.book.dogs else "",
            role=word,
            found=one,
        )
        for role, word in (("dam", _("dam")), ("sire", _("sire")))
        for one in parents_compared(
            book=place.book, handbook=place.handbook, on=place.on, role=role
        )
    ]
