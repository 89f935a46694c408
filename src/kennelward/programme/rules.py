"""Programme rules as data: what sets a rule going, what must hold, what ends it."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from types import MappingProxyType

from kennelward.terms import BadInput, RuleRef, Sourced

URGENCIES = ("now", "planned")
SUBJECTS = ("dog", "unit", "pen", "lot", "kennel")


@dataclass(frozen=True, slots=True, kw_only=True)
class DatedValue:
    """One number of the handbook and every value it has had, oldest first.

    A value in force is never edited: a later one follows it.
    """

    path: str  # "brucella.clearing_days"
    versions: tuple[Sourced, ...]

    def __post_init__(self) -> None:
        if not self.versions:
            raise BadInput(f"{self.path} has no value")
        days = [version.since for version in self.versions]
        if days != sorted(set(days)):
            raise BadInput(
                f"{self.path}: values must be in order of the day they take force, "
                "each day once"
            )

    def on(self, day: date) -> Sourced:
        """The value in force on `day`; before the first one, the first."""
        in_force = [v for v in self.versions if v.since <= day]
        return in_force[-1] if in_force else self.versions[0]

    @property
    def latest(self) -> Sourced:
        """The value that took force last."""
        return self.versions[-1]

    @property
    def value(self) -> float:
        """The number that took force last."""
        return self.latest.value


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueName:
    """A place in a rule that is filled with a value of the handbook, and days on top."""

    path: str
    plus: int = 0
    is_before: bool = False  # so many days before


Amount = int | ValueName
Parameter = int | str | bool | tuple[str, ...] | ValueName


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """One word of the engine's vocabulary, with what it is told."""

    name: str
    tells: Mapping[str, Parameter] = field(default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(self, "tells", MappingProxyType(dict(self.tells)))

    def number(self, name: str, default: int = 0) -> int:
        """A whole number it is told; `default` where it is not."""
        found = self.tells.get(name, default)
        if isinstance(found, ValueName) or not isinstance(found, int):
            raise BadInput(f"{self.name}: {name} is not a number yet: {found!r}")
        return found

    def text(self, name: str, default: str = "") -> str:
        """A word it is told."""
        return str(self.tells.get(name, default))

    def texts(self, name: str) -> tuple[str, ...]:
        """Several words it is told."""
        found = self.tells.get(name, ())
        return found if isinstance(found, tuple) else (str(found),)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule: "when this happened and that holds, do this by then".

    `first_day` and `last_day` count from the day of what set it going. An action
    lapses `lapses_days` after its last day; 0 or more.
    """

    ref: RuleRef
    trigger: Word
    conditions: tuple[Word, ...] = ()
    ends: tuple[Word, ...] = ()
    about: str = "dog"
    do: str
    says: str
    because: str
    first_day: Amount = 0
    last_day: Amount = 0
    every_days: Amount = 0  # 0: once
    times: Amount = 1
    lapses_days: Amount = 60
    urgency: str = "planned"
    cautions: tuple[str, ...] = ()
    kit: str = ""
    shows: Mapping[str, Amount] = field(default_factory=dict)  # numbers in the words
    until_anchor: bool = False  # its last day is the one that the occasion sets
    stands: bool = False  # holds as long as what set it going does
    figures: str = ""  # infection whose false alarms a year the words name
    retired_on: date | None = None

    @property
    def id(self) -> str:
        """Whole id, "arrivals.keep-apart"."""
        return self.ref.rule

    def is_in_force(self, on: date) -> bool:
        """True from the day it took force until the day it was retired."""
        return self.ref.since <= on and (
            self.retired_on is None or on < self.retired_on
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseSigns:
    """Signs that make a dog a case of one infection, before any test."""

    infection: str
    age_days_below: Amount  # dogs younger than this; a high number for any dog
    any_sign: tuple[str, ...]
    at_least: int = 1  # so many of them in one run of signs


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammeRules:
    """Every rule and every number that rules may name."""

    rules: tuple[Rule, ...]
    values: Mapping[str, DatedValue]
    case_signs: tuple[CaseSigns, ...] = ()
    clearing_methods: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    kits: Mapping[str, str] = field(default_factory=dict)  # kit -> infection
    chances: Mapping[str, float] = field(default_factory=dict)  # named means, 0 to 1

    def signs_of_cases(self, on: date) -> tuple[CaseSigns, ...]:
        """What makes a case by signs alone, with a day's numbers filled in."""
        return tuple(
            replace(found, age_days_below=self._amount(found.age_days_below, on))
            for found in self.case_signs
        )

    def in_force(self, on: date) -> tuple[Rule, ...]:
        """The rules of a day with their numbers filled in."""
        return tuple(self._filled(r, on) for r in self.rules if r.is_in_force(on))

    def number(self, path: str, on: date) -> float:
        """A number of the handbook on a day. Raises BadInput for an unknown one."""
        if path not in self.values:
            raise BadInput(f"the handbook has no value {path!r}")
        return self.values[path].on(on).value

    def find(self, rule: str) -> Rule | None:
        """The rule with this id, or None."""
        return next((found for found in self.rules if found.id == rule), None)

    def _amount(self, amount: Amount, on: date) -> int:
        if isinstance(amount, ValueName):
            sign = -1 if amount.is_before else 1
            return sign * round(self.number(amount.path, on)) + amount.plus
        return amount

    def _word(self, word: Word, on: date) -> Word:
        filled = {
            name: self._amount(told, on) if isinstance(told, ValueName) else told
            for name, told in word.tells.items()
        }
        return Word(name=word.name, tells=filled)

    def _filled(self, rule: Rule, on: date) -> Rule:
        return replace(
            rule,
            trigger=self._word(rule.trigger, on),
            conditions=tuple(self._word(word, on) for word in rule.conditions),
            ends=tuple(self._word(word, on) for word in rule.ends),
            first_day=self._amount(rule.first_day, on),
            last_day=self._amount(rule.last_day, on),
            every_days=self._amount(rule.every_days, on),
            times=self._amount(rule.times, on),
            lapses_days=self._amount(rule.lapses_days, on),
            shows={name: self._amount(told, on) for name, told in rule.shows.items()},
        )
