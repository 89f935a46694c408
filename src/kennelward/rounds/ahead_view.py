"""What a look ahead is made with: the book, the day, what the user set, what is assumed."""

import hashlib
from dataclasses import dataclass, field
from datetime import date

from kennelward.handbook import Handbook
from kennelward.kennel import Book, PenCard, round_order
from kennelward.spread.knowledge import Known
from kennelward.terms import Phrase, check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class AheadSettings:
    """What the user may set about the kennel; None: as the book has it."""

    days: int = 180
    arrivals_a_year: int | None = None
    visits_a_year: int | None = None
    floor: str = "floor"  # of pens: floor (hard) | porous
    clean_every_days: float | None = None
    product: str = ""
    isolation_room: int | None = None
    shares_yards: bool = True
    everyone_may_carry: bool = False  # also dogs without any suspicion, as priors say

    def __post_init__(self) -> None:
        check_range("days ahead", self.days, low=7, high=1100)
        for name in ("arrivals_a_year", "visits_a_year", "isolation_room"):
            value = getattr(self, name)
            if value is not None:
                check_range(name.replace("_", " "), value, low=0, high=500)


@dataclass(kw_only=True)
class View:
    """One look at a book."""

    book: Book
    handbook: Handbook
    infection: str
    on: date
    settings: AheadSettings
    assumed: list[Phrase] = field(default_factory=list)
    infected: list[Known] = field(default_factory=list)
    pens: tuple[PenCard, ...] = ()
    place_of: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.pens = round_order(self.book)
        self.place_of = {pen.pen: number for number, pen in enumerate(self.pens)}

    def day(self, day: date) -> float:
        """Days from the start; before it negative."""
        return float((day - self.on).days)

    def assume(self, says: Phrase) -> None:
        """Keep an assumption to be shown."""
        self.assumed.append(says)


def uid_of(dog: str) -> int:
    """A whole number for a dog's id, the same on every computer."""
    return int.from_bytes(hashlib.sha256(dog.encode()).digest()[:5], "big")
