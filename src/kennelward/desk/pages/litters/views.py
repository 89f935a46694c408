"""Which bitches are due, which young litters there are, how losses stand."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from kennelward.desk.pages.litters.ask import (
    growth_of,
    night_of,
    numbers_of,
    pregnancy_of,
)
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import DogCard, LitterCard
from kennelward.kennel import facts as f
from kennelward.rounds import PregnancyPlan, loss_pattern
from kennelward.terms import Call

YOUNG_DAYS = 100  # a litter stays on the list until its puppies are about 14 weeks


@dataclass(frozen=True, slots=True, kw_only=True)
class Expecting:
    """One bitch that may be pregnant."""

    card: DogCard
    plan: PregnancyPlan
    is_whelping: bool

    @property
    def said_on(self) -> date | None:
        """The day of the latest test, where there was one."""
        tests = self.plan.standing.tests
        return tests[-1].on if tests else None


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
        if plan is not None:
            night = night_of(place, card.dog)
            found.append(Expecting(card=card, plan=plan, is_whelping=night is not None))
    return sorted(found, key=lambda one: (not one.is_whelping, one.plan.due.median))


def day_unknown(place: Here, *, dated: set[str]) -> list[DogCard]:
    """Bitches said to be pregnant of whom no day is known that a due date needs."""
    since = place.on - timedelta(days=numbers_of(place).reach_days)
    return [
        card
        for card in place.book.dogs_here
        if card.described.sex == "bitch"
        and card.dog not in dated
        and _is_said_pregnant(place, card.dog, since=since)
    ]


def _is_said_pregnant(place: Here, dam: str, *, since: date) -> bool:
    said = False
    for entry in place.book.about(dam):
        if place.book.happened_on(entry) < since:
            continue
        match entry.fact:
            case f.OtherResult(infection="pregnancy", call="positive"):
                said = True
            case f.PuppiesCounted(count=count) if count > 0:
                said = True
            case f.TestStarted(test=test, kit="relaxin"):
                card = place.book.tests[test]
                said = said or (card.call is Call.POSITIVE and not card.void_reasons)
            case f.Whelped(dam=who) | f.PregnancyLost(dam=who) if who == dam:
                said = False
    return said


def litter_lines(place: Here) -> list[LitterLine]:
    """Young litters, newest first."""
    found = []
    for card in place.book.litters.values():
        born_on = place.book.happened_on(card.whelped)
        if (place.on - born_on).days > YOUNG_DAYS:
            continue
        flags = {
            p.flag.value
            for p in growth_of(place, card.litter)
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
    carrying = expecting(place)
    return render(
        request,
        "litters/index.html",
        {
            "expecting": [
                one
                for one in carrying
                if one.is_whelping or one.plan.standing.is_expecting
            ],
            "said_empty": [
                one
                for one in carrying
                if not one.is_whelping and not one.plan.standing.is_expecting
            ],
            "undated": day_unknown(place, dated={one.card.dog for one in carrying}),
            "litters": litter_lines(place),
            "pattern": loss_pattern(
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
