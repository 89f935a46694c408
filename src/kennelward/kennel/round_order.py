"""The order in which pens are done: from the most vulnerable to the most infectious."""

from kennelward.kennel.book import Book
from kennelward.kennel.cards import PenCard
from kennelward.kennel.facts import PEN_KINDS

LAST_KINDS = (
    "visitor",
    "quarantine",
    "isolation",
)  # shoes and gloves change before each


def round_order(book: Book) -> tuple[PenCard, ...]:
    """Pens in use, in walking order.

    Whelping and youngest first, then pregnant, healthy adults and yards, visitors,
    quarantine, and isolation last. A pen that holds a dog kept apart is done with the
    isolation pens, whatever it was built for; one whose dogs show signs goes just
    before quarantine.
    """
    pens = [card for card in book.pens.values() if card.described.in_use]
    return tuple(
        sorted(
            pens,
            key=lambda card: (
                round_rank(book, card),
                card.described.order,
                card.name.casefold(),
                card.pen,
            ),
        )
    )


def round_rank(book: Book, card: PenCard) -> int:
    """Place of a pen's group on the round: 0 is first, 100 is isolation."""
    dogs = [book.dogs[dog] for dog in card.dogs_now]
    kind = card.described.pen_kind
    if kind == "isolation" or any(dog.apart is not None for dog in dogs):
        return 100
    if any(dog.signs for dog in dogs) and kind != "quarantine":
        return 89
    if kind == "quarantine":
        return 90
    return PEN_KINDS.index(kind) * 10
