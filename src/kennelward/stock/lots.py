"""Lots on the shelf: until when they may be used, and which one to take first."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from kennelward.kennel import Book
from kennelward.terms import check_range, check_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """So many kits of one lot, usable up to and on the printed date."""

    lot: str  # id
    kit: str  # handbook id
    lot_code: str  # as printed on the box
    expires_on: date  # the printed date: last day of use
    count: int  # kits left
    cents_each: int = 0  # hundredths of the kennel's currency; 0: price not said

    def __post_init__(self) -> None:
        check_text("lot id", self.lot)
        check_text("kit", self.kit)
        check_range("number of kits", self.count, low=0)
        check_range("price each", self.cents_each, low=0)

    def is_usable(self, on: date) -> bool:
        """True where a kit is left and the printed date has not passed."""
        return self.count > 0 and not is_expired(expires_on=self.expires_on, on=on)


def is_expired(*, expires_on: date, on: date) -> bool:
    """True from the day after the printed date.

    The result of a kit used on such a day does not count; `on` is the day the sample
    went on the strip, not the day somebody asks.
    """
    return on > expires_on


def lots_of(book: Book) -> tuple[Lot, ...]:
    """Every lot in the book, also used-up and expired ones, by printed date."""
    found = (
        Lot(
            lot=card.lot,
            kit=card.kit,
            lot_code=card.lot_code,
            expires_on=card.expires_on,
            count=card.count_left,
            cents_each=card.cents_each,
        )
        for card in book.lots.values()
    )
    return tuple(sorted(found, key=first_expired_first))


def first_expired_first(lot: Lot) -> tuple[date, str, str]:
    """Sort key: the printed date, then the code, so that the order is always the same."""
    return (lot.expires_on, lot.lot_code, lot.lot)


def usable(lots: Iterable[Lot], *, kit: str, on: date) -> tuple[Lot, ...]:
    """Lots of `kit` that may be used on a day, the first to expire first."""
    found = (lot for lot in lots if lot.kit == kit and lot.is_usable(on))
    return tuple(sorted(found, key=first_expired_first))


def pick(lots: Iterable[Lot], *, kit: str, on: date) -> Lot | None:
    """The lot to take a kit from: of those usable, the first to expire. None: none left."""
    return next(iter(usable(lots, kit=kit, on=on)), None)
