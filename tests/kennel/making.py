"""Short ways to make entries for tests: dates and names in, entries out."""

from datetime import UTC, date, datetime, timedelta

from kennelward.kennel import Book, Entry
from kennelward.kennel import facts as f

DAY_ZERO = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)  # a Monday


def moment(day: float) -> datetime:
    """Eight in the morning, `day` days after day 0."""
    return DAY_ZERO + timedelta(days=day)


class Story:
    """Entries in the order they are told."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []

    def tell(
        self, day: float, fact: f.Fact, *, id: str = "", supersedes: str = ""
    ) -> str:
        """Add one entry; gives its id."""
        entry = Entry(
            entry=id or f"entry-{len(self.entries)}",
            kennel="kennel-1",
            fact=fact,
            happened_at=moment(day),
            recorded_at=moment(day),
            recorded_by="Ada",
            supersedes=supersedes,
        )
        self.entries.append(entry)
        return entry.entry

    def dog(self, dog: str, day: float = 0, **facts: object) -> str:
        """A grown bitch, unless told otherwise."""
        values = {
            "sex": "bitch",
            "born_on": date(2022, 5, 1),
            "name": dog.title(),
        } | facts
        return self.tell(day, f.DogDescribed(dog=dog, **values))

    def pen(
        self, pen: str, kind: str = "adults", day: float = 0, **facts: object
    ) -> str:
        """A pen for adults, unless told otherwise."""
        return self.tell(day, f.PenDescribed(pen=pen, name=pen, pen_kind=kind, **facts))

    @property
    def book(self) -> Book:
        """The book so far."""
        return Book.from_entries(self.entries)
