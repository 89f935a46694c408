"""From an empty book to a first test: the steps, and which are done."""

from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _

from kennelward.desk.pages.shell.here import Here
from kennelward.desk.pages.shell.roles import OWNER


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step on the way to a first test."""

    word: str
    says: str
    url: str
    icon: str
    is_done: bool
    is_next: bool = False


def after_step(place: Here, otherwise: str) -> str:
    """Where to go after a step: on to the next one until the first test has run."""
    is_beginning = place.role == OWNER and not place.book.tests
    return "setup:index" if is_beginning else otherwise


StepSaid = tuple[str, str, str, str, bool]  # word, sentence, address, icon, done


def first_steps(place: Here) -> list[Step]:
    """The steps in order. The first one not done is the next."""
    is_next_found = False
    found = []
    for word, says, url, icon, is_done in _said(place):
        is_next = not is_done and not is_next_found
        is_next_found = is_next_found or is_next
        found.append(
            Step(
                word=word,
                says=says,
                url=url,
                icon=icon,
                is_done=is_done,
                is_next=is_next,
            )
        )
    return found


def _said(place: Here) -> list[StepSaid]:
    book = place.book
    card = book.kennel
    on_shelf = {lot.kit for lot in book.lots.values()}
    return [
        (
            _("Whom to call"),
            _("Your vet's number and the out-of-hours number, for the red screens."),
            reverse("setup:kennel"),
            "phone",
            bool(card and (card.vet_phone or card.out_of_hours_phone)),
        ),
        (
            _("Pens"),
            _("How many of each kind. One minute."),
            reverse("pens:quick"),
            "pens",
            bool(book.pens),
        ),
        (
            _("A dog"),
            _("A name, a birthday, a pen. The others can come from a list later."),
            reverse("dogs:add"),
            "dogs",
            bool(book.dogs),
        ),
        (
            _("A box of strips"),
            _("Lot and date as printed on it."),
            reverse("shelf:add"),
            "box",
            bool(book.lots),
        ),
        (
            _("Its leaflet"),
            _("Drops, minutes, samples: typed off the leaflet once for each kind."),
            reverse("setup:leaflet", args=[next(iter(on_shelf), "giardia-antigen")]),
            "leaflet",
            bool(book.leaflets),
        ),
        (
            _("The first test"),
            _("Five taps that no danger is there, then the strip."),
            reverse("bench:index"),
            "bench",
            bool(book.tests),
        ),
    ]
