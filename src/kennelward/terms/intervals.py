"""A value with its 90 % interval."""

from dataclasses import dataclass

from kennelward.terms.ranges import BadInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A median and the interval that holds it with chance `level`."""

    low: float
    median: float
    high: float
    level: float = 0.90

    def __post_init__(self) -> None:
        if not self.low <= self.median <= self.high:
            raise BadInput(
                "an interval needs low <= median <= high, got "
                f"{self.low}, {self.median}, {self.high}"
            )

    def as_json(self) -> dict[str, float]:
        """The three numbers by name, for a program to read."""
        return {"median": self.median, "low": self.low, "high": self.high}
