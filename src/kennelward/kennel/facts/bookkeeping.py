"""Facts about due work, and entries struck through."""

from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from kennelward.kennel.facts.words import LONGEST_NOTE, Fact
from kennelward.terms import check_text


@dataclass(frozen=True, slots=True, kw_only=True)
class DueDone(Fact):
    """A due item was done."""

    kind: ClassVar[str] = "due-done"
    key: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DuePutOff(Fact):
    """A due item is put off until a later day; says why."""

    kind: ClassVar[str] = "due-put-off"
    key: str
    until: date
    why: str

    def __post_init__(self) -> None:
        check_text("the reason", self.why, longest=LONGEST_NOTE)


@dataclass(frozen=True, slots=True, kw_only=True)
class DueDeclined(Fact):
    """A due item will not be done; says why. It stays visible as declined."""

    kind: ClassVar[str] = "due-declined"
    key: str
    why: str

    def __post_init__(self) -> None:
        check_text("the reason", self.why, longest=LONGEST_NOTE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted(Fact):
    """Free words about a dog, a pen, a litter or the kennel."""

    kind: ClassVar[str] = "noted"
    about: str
    text: str

    def __post_init__(self) -> None:
        check_text("the note", self.text, longest=LONGEST_NOTE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Struck(Fact):
    """An earlier entry is struck through. It stays in the book, visible, and counts no more."""

    kind: ClassVar[str] = "struck"
    entry: str
    why: str

    def __post_init__(self) -> None:
        check_text("the reason", self.why, longest=LONGEST_NOTE)
