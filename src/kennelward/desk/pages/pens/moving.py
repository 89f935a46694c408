"""What to know before a dog is put into a pen, and who goes with it."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from kennelward.desk.pages.shell.labels import INFECTIONS, label
from kennelward.kennel import Book, DogCard, PenCard

APART_KINDS = ("quarantine", "isolation")


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveTo:
    """One pen a dog could be put into, with what speaks against it."""

    pen: str
    name: str
    is_here: bool  # it is there already
    against: str  # empty: nothing speaks against it


def who_goes_together(*, book: Book, card: DogCard) -> list[DogCard]:
    """The dog's litter and dam in the same pen: a litter is moved as a unit.

    Source: isolation is of the litter, never of unweaned puppies from their dam
    (the kennel's clinical rules; common practice, no source).
    """
    if not card.pen:
        return []
    found = []
    for other_id in book.pens[card.pen].dogs_now if card.pen in book.pens else ():
        other = book.dogs[other_id]
        same_litter = (
            card.described.litter and other.described.litter == card.described.litter
        )
        is_dam = other.dog == litter_dam(book, card)
        is_pup = litter_dam(book, other) == card.dog
        if other.dog != card.dog and (same_litter or is_dam or is_pup):
            found.append(other)
    return found


def litter_dam(book: Book, card: DogCard) -> str:
    """The dam of a dog's litter in this book, or empty."""
    litter = book.litters.get(card.described.litter)
    return litter.dam if litter else card.described.dam


def moves_for(*, book: Book, card: DogCard, pens: list[PenCard]) -> dict[str, MoveTo]:
    """Every pen, with what speaks against putting this dog there."""
    return {
        pen.pen: MoveTo(
            pen=pen.pen,
            name=pen.name,
            is_here=pen.pen == card.pen,
            against=speaks_against(book=book, card=card, pen=pen),
        )
        for pen in pens
    }


def speaks_against(*, book: Book, card: DogCard, pen: PenCard) -> str:
    """Why a dog had better not go into a pen; empty where nothing is known."""
    others = [book.dogs[dog] for dog in pen.dogs_now if dog != card.dog]
    family = {other.dog for other in who_goes_together(book=book, card=card)}
    others = [other for other in others if other.dog not in family]
    suspected = {o.apart.infection for o in others if o.apart and o.apart.infection}
    if card.apart and card.apart.infection and suspected - {card.apart.infection}:
        names = ", ".join(label(name, INFECTIONS) for name in sorted(suspected))
        return _("kept for another suspicion: %(names)s") % {"names": names}
    if card.apart and others:
        return _("this dog is kept apart; others are in there")
    if not card.apart and any(other.apart for other in others):
        return _("a dog kept apart is in there")
    now = book.pens.get(card.pen)
    if (
        now
        and now.described.pen_kind in APART_KINDS
        and pen.described.pen_kind not in APART_KINDS
    ):
        return _("straight from %(kind)s to the others") % {
            "kind": label(now.described.pen_kind)
        }
    if pen.described.pen_kind in APART_KINDS and others and not card.apart:
        return _("dogs that came on another day are in there")
    return ""
