"""Windows of days; both ends belong to the window."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.terms.ranges import BadInput


@dataclass(frozen=True, slots=True)
class DateWindow:
    """Days from `first` to `last`, both included."""

    first: date
    last: date

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise BadInput(
                f"a window cannot end on {self.last}, before it starts on {self.first}"
            )

    def __contains__(self, day: object) -> bool:
        return isinstance(day, date) and self.first <= day <= self.last

    def __iter__(self) -> Iterator[date]:
        return (self.first + timedelta(days=i) for i in range(self.days))

    @property
    def days(self) -> int:
        """How many days, counting both ends."""
        return (self.last - self.first).days + 1

    def overlap(self, other: "DateWindow") -> "DateWindow | None":
        """The days in both windows, or None where they do not meet."""
        first, last = max(self.first, other.first), min(self.last, other.last)
        return DateWindow(first, last) if first <= last else None
