"""The sketch of the yard: where each pen stands, who is in it, what state it is in."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from kennelward.desk.pages.shell.dog_lines import DogLine, dog_line
from kennelward.kennel import Book, PenCard, round_order

MOST_COLUMNS, MOST_ROWS = 12, 24  # as the style sheet has places for
COLUMNS_UNSAID = 4  # pens nobody placed stand in rows of so many


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place on the sketch, counted from 1."""

    column: int
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class YardPen:
    """One pen as the sketch shows it."""

    card: PenCard
    place: Place
    state: str
    says: str
    dogs: tuple[DogLine, ...]
    step: int  # its turn on the round, from 1


def yard_of(*, book: Book, on: date) -> list[YardPen]:
    """Every pen in use, by its turn on the round."""
    pens = round_order(book)
    places = places_of(list(pens))
    found = []
    for step, card in enumerate(pens, start=1):
        dogs = tuple(
            dog_line(card=book.dogs[dog], book=book, on=on) for dog in card.dogs_now
        )
        state, says = pen_state(card=card, book=book, lines=dogs)
        found.append(
            YardPen(
                card=card,
                place=places[card.pen],
                state=state,
                says=says,
                dogs=dogs,
                step=step,
            )
        )
    return found


def places_of(pens: list[PenCard]) -> dict[str, Place]:
    """Where each pen stands.

    Two pens at one place, or one beyond the sketch, can be a slip of the hand: the
    first keeps the place, the others stand in the next free places below.
    """
    taken: dict[Place, str] = {}
    waiting: list[PenCard] = []
    for card in pens:
        place = Place(column=card.described.column, row=card.described.row)
        on_sketch = 1 <= place.column <= MOST_COLUMNS and 1 <= place.row <= MOST_ROWS
        if on_sketch and place not in taken:
            taken[place] = card.pen
        else:
            waiting.append(card)
    row = max((place.row for place in taken), default=0) + 1
    for index, card in enumerate(waiting):
        below, column = divmod(index, COLUMNS_UNSAID)
        taken[Place(column=column + 1, row=row + below)] = card.pen
    return {pen: place for place, pen in taken.items()}


def free_places(yard: list[YardPen]) -> list[Place]:
    """Empty places within and one beyond the sketch, row by row."""
    taken = {pen.place for pen in yard}
    columns = max((place.column for place in taken), default=0) + 1
    rows = max((place.row for place in taken), default=0) + 1
    return [
        Place(column=column, row=row)
        for row in range(1, min(rows, MOST_ROWS) + 1)
        for column in range(1, min(columns, MOST_COLUMNS) + 1)
        if Place(column=column, row=row) not in taken
    ]


def pen_state(
    *, card: PenCard, book: Book, lines: Sequence[DogLine]
) -> tuple[str, str]:
    """The mark of a pen and its words; what is most pressing comes first.

    `lines` are those of its dogs. Nobody having looked is never shown as well.
    """
    dogs = [book.dogs[dog] for dog in card.dogs_now]
    count = ngettext("%(n)s dog", "%(n)s dogs", len(dogs)) % {"n": len(dogs)}
    apart = [dog for dog in dogs if dog.apart is not None]
    ill = [dog for dog in dogs if dog.signs]
    kind = card.described.pen_kind
    if not dogs:
        return "empty", _("empty")
    if any(dog.apart and dog.apart.infection for dog in apart):
        return "suspect", _("%(count)s, suspect") % {"count": count}
    if apart or kind == "isolation":
        return "apart", _("%(count)s, apart") % {"count": count}
    if ill:
        seen = ngettext("%(n)s with signs", "%(n)s with signs", len(ill))
        return "watch", f"{count}, {seen % {'n': len(ill)}}"
    if kind == "quarantine":
        return "quarantine", _("%(count)s, quarantine") % {"count": count}
    if kind == "visitor":
        return "visiting", _("%(count)s, visiting") % {"count": count}
    unseen = sum(line.state == "unknown" for line in lines)
    if unseen:
        said = ngettext("%(n)s not looked at", "%(n)s not looked at", unseen)
        return "unknown", f"{count}, {said % {'n': unseen}}"
    return "well", count
