"""The kennel as its book has it today, and what is likely to come: dogs, litters, visits.

The book says who is where. What is to come is carried on from the year behind, and each
such assumption is said in words.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from kennelward.handbook import Handbook
from kennelward.kennel import Book, DogCard, PenCard
from kennelward.rounds.ahead_chances import chances
from kennelward.rounds.ahead_plans import (
    PUPPIES_LEAVE_DAYS,
    VISIT_DAYS,
    assume_vaccines,
    clean_every,
    coming,
    litters,
    matings,
    product,
    room,
    vaccinations,
    yards,
)
from kennelward.rounds.ahead_view import AheadSettings, View, uid_of
from kennelward.rounds.case import is_vaccinated
from kennelward.rounds.suspects import suspects
from kennelward.spread.kennel_now import YOUNG_DAYS, KennelNow, PlaceNow, ResidentNow
from kennelward.spread.knowledge import Known
from kennelward.spread.model import NEVER, PlaceKind
from kennelward.terms import Phrase

APART_KINDS = ("quarantine", "isolation")


@dataclass(frozen=True, slots=True, kw_only=True)
class KennelAhead:
    """The kennel for the simulator, what is known of each suspect, what was assumed."""

    kennel: KennelNow
    infected: tuple[Known, ...]  # chance that a dog carries it today, one a number
    suspects: tuple[str, ...]  # dog ids
    assumed: tuple[Phrase, ...]
    names: Mapping[int, str]  # uid -> what the dog is called


def kennel_ahead(
    *,
    book: Book,
    handbook: Handbook,
    infection: str,
    on: date,
    settings: AheadSettings | None = None,
) -> KennelAhead:
    """The kennel on `on` and over the days ahead, from its book."""
    view = View(
        book=book,
        handbook=handbook,
        infection=infection,
        on=on,
        settings=settings or AheadSettings(),
    )
    places = [_place(view, pen) for pen in view.pens]
    places.append(PlaceNow(name="quarantine", kind=PlaceKind.QUARANTINE))
    places.append(PlaceNow(name="isolation", kind=PlaceKind.ISOLATION))
    unplaced = len(places)
    places.append(PlaceNow(name="no pen written down", kind=PlaceKind.HOME))
    cards = book.dogs_here
    view.assume(
        Phrase(
            "Dogs that are apart today go back when their days are over; those days are "
            "not counted as days apart."
        )
    )
    carried = chances(view, cards)
    assume_vaccines(view)
    residents = tuple(
        _resident(view, card, carried, unplaced=unplaced) for card in cards
    )
    kennel = KennelNow(
        days=view.settings.days,
        places=tuple(places),
        residents=residents,
        coming=coming(view),
        litters=litters(view, residents),
        yards=yards(view, residents),
        matings=matings(view, residents),
        clean_every_days=clean_every(view),
        product=product(view),
        isolation_room=room(view),
        quarantine_place=len(view.pens),
        isolation_place=len(view.pens) + 1,
    )
    held = suspects(book=book, handbook=handbook, infection=infection, on=on)
    return KennelAhead(
        kennel=kennel,
        infected=tuple(view.infected),
        suspects=tuple(s.dog for s in held),
        assumed=tuple(view.assumed),
        names={uid_of(card.dog): card.name for card in cards},
    )


def _place(view: View, pen: PenCard) -> PlaceNow:
    is_yard = pen.described.pen_kind == "yard"
    kind = PlaceKind.YARD if is_yard else PlaceKind.HOME
    return PlaceNow(
        name=pen.name, kind=kind, surface="soil" if is_yard else view.settings.floor
    )


def _resident(
    view: View, card: DogCard, chances: dict[str, str], *, unplaced: int
) -> ResidentNow:
    age = card.age_days(view.on)
    is_puppy = bool(card.described.litter) and age < PUPPIES_LEAVE_DAYS
    leaves = NEVER
    if is_puppy:
        leaves = float(PUPPIES_LEAVE_DAYS - age)
    elif card.is_visiting:
        leaves = VISIT_DAYS
    back_on, back_to = _back(view, card)
    young = age < YOUNG_DAYS
    vaccinated = bool(
        is_vaccinated(
            book=view.book, dog=card.dog, infection=view.infection, on=view.on
        )
    )
    return ResidentNow(
        uid=uid_of(card.dog),
        name=card.name,
        home=view.place_of.get(card.pen, unplaced),
        born=-float(age),
        is_vaccinated=vaccinated and not young,
        vaccinations=vaccinations(view, card) if not vaccinated or young else (),
        infected=chances.get(card.dog, ""),
        litter=_litter_number(view, card.described.litter),
        dam=_dam_of(view, card),
        leaves_on=leaves,
        back_on=back_on,
        back_to=back_to,
    )


def _back(view: View, card: DogCard) -> tuple[float, int]:
    """When a dog that is apart today goes back, and where; a lifelong carrier never."""
    pens = view.book.pens
    here = pens.get(card.pen)
    if here is None or here.described.pen_kind not in APART_KINDS:
        return NEVER, -1
    values = view.handbook.infections[view.infection].values
    if "spread_shedding_days" not in values:
        return NEVER, -1
    usual = [
        view.place_of[stay.pen]
        for stay in card.stays
        if stay.pen in view.place_of
        and pens[stay.pen].described.pen_kind not in (*APART_KINDS, "yard")
    ]
    adults = [
        view.place_of[pen.pen]
        for pen in view.pens
        if pen.described.pen_kind == "adults"
    ]
    to = (usual or adults)[-1:]
    if not to:
        return NEVER, -1
    since = view.book.day_of(card.stays[-1].since)
    days = values["contact_quarantine_days"].value
    return max(1.0, view.day(since) + days), to[0]


def _dam_of(view: View, card: DogCard) -> int:
    litter = view.book.litters.get(card.described.litter)
    return uid_of(litter.dam) if litter is not None and litter.dam else -1


def _litter_number(view: View, litter: str) -> int:
    if not litter or litter not in view.book.litters:
        return -1
    return list(view.book.litters).index(litter)
