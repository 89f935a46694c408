"""What is known of how an infection spreads, number by number, and draws from it.

A number has a middle, a range that holds about 90 % of what is thought possible, and a
grade. A *world* is one draw of all of them: every policy is tried in the same worlds, so
that what we do not know is told apart from luck.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import exp, log
from types import MappingProxyType

from kennelward.spread.keyed import uniform
from kennelward.spread.tables import normal
from kennelward.terms import BadInput, check_range

WORLD_STREAM = 40  # of `keyed`; draws of numbers, never of a run
NINETY = 1.6448536269514722  # standard normal quantile of 0.95
NEARLY = 1e-6  # chances of 0 and 1 have no log-odds


class Grade(StrEnum):
    """What a number rests on."""

    PUBLISHED = "published"
    RECORDS = "your records"
    GUESS = "our guess"


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """One number, how sure it is, and what it rests on."""

    name: str
    value: float
    low: float  # low to high hold about 90 %
    high: float
    says: str
    source: str
    grade: Grade
    is_chance: bool = False
    unit: str = ""

    def __post_init__(self) -> None:
        if not 0 <= self.low <= self.value <= self.high:
            raise BadInput(
                f"{self.name} needs 0 <= low <= value <= high, got {self.low:g}, "
                f"{self.value:g}, {self.high:g}"
            )
        if self.is_chance:
            check_range(self.name, self.high, low=0, high=1)

    @property
    def is_fixed(self) -> bool:
        """True where there is no range."""
        return self.low == self.high

    def at(self, share: float) -> float:
        """The number's quantile at `share`, 0 to 1.

        Two half normals joined at the middle, on the scale of logarithms (chances: of
        log-odds), with the 5 % and 95 % points at `low` and `high`. A shape of our own
        choice: a range says no more than three points.
        """
        if self.is_fixed:
            return self.value
        z = normal(share) / NINETY
        middle, side = self._up(self.value), self._up(self.high if z > 0 else self.low)
        return self._down(middle + abs(z) * (side - middle))

    def _up(self, value: float) -> float:
        if self.is_chance:
            inside = min(max(value, NEARLY), 1 - NEARLY)
            return log(inside / (1 - inside))
        return log(max(value, NEARLY))

    def _down(self, value: float) -> float:
        if self.is_chance:
            return 1 / (1 + exp(-value))
        return exp(value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Knowledge:
    """Everything that is known of one infection's spread."""

    infection: str
    name: str
    is_zoonotic: bool
    numbers: Mapping[str, Known]

    def value(self, name: str, default: float | None = None) -> float:
        """The middle of a number; `default` where nothing is known of it."""
        return _of({k: n.value for k, n in self.numbers.items()}, name, default)

    @property
    def is_chronic(self) -> bool:
        """True where a dog, once infected, carries it for as long as we look ahead."""
        return "shedding_days" not in self.numbers

    @property
    def kills(self) -> bool:
        """True where dogs die of it often enough to count."""
        return self.value("death", 0.0) > 0

    @property
    def guesses(self) -> tuple[Known, ...]:
        """What is our guess, the widest first."""
        found = [
            n
            for n in self.numbers.values()
            if n.grade is Grade.GUESS and not n.is_fixed
        ]
        return tuple(sorted(found, key=lambda n: (-_width(n), n.name)))


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """One draw of every number. Number -1 is the middle of each."""

    number: int
    values: Mapping[str, float]

    def value(self, name: str, default: float | None = None) -> float:
        """One number in this world; `default` where nothing is known of it."""
        return _of(self.values, name, default)


def middle_world(knowledge: Knowledge) -> World:
    """Every number at its middle."""
    return World(
        number=-1,
        values=MappingProxyType({k: n.value for k, n in knowledge.numbers.items()}),
    )


def drawn_world(knowledge: Knowledge, *, seed: int, number: int) -> World:
    """The world of this number: each value keyed by its name, so order never matters."""
    return World(
        number=number,
        values=MappingProxyType(
            {
                name: known.at(_share(seed=seed, number=number, name=name))
                for name, known in knowledge.numbers.items()
            }
        ),
    )


def name_key(name: str) -> int:
    """A whole number for a name, the same on every computer."""
    return int.from_bytes(hashlib.sha256(name.encode()).digest()[:7], "big")


def _share(*, seed: int, number: int, name: str) -> float:
    return uniform(
        seed=seed, replicate=number, stream=WORLD_STREAM, who=name_key(name), which=0
    )


def _of(values: Mapping[str, float], name: str, default: float | None) -> float:
    if name in values:
        return values[name]
    if default is None:
        raise BadInput(f"nothing is known of {name!r} for this infection")
    return default


def _width(known: Known) -> float:
    return known._up(known.high) - known._up(known.low)
