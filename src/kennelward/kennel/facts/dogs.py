"""Facts about dogs: who they are, where they come from, where they stay."""

from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from kennelward.kennel.facts.words import (
    LONGEST_NAME,
    ORIGINS,
    SEXES,
    Fact,
    check_choice,
)
from kennelward.terms import check_text


@dataclass(frozen=True, slots=True, kw_only=True)
class DogDescribed(Fact):
    """A dog, new or corrected. The latest one for a `dog` holds."""

    kind: ClassVar[str] = "dog-described"
    dog: str  # id
    name: str
    sex: str
    born_on: date
    born_on_is_guess: bool = False
    breed: str = ""
    chip: str = ""
    marking: str = ""
    is_neutered: bool = False
    is_breeding: bool = False
    origin: str = "born-here"
    dam: str = ""  # dog id, or empty
    sire: str = ""
    litter: str = ""  # litter id, or empty
    owner: str = ""  # of a visiting dog

    def __post_init__(self) -> None:
        check_text("dog name", self.name, longest=LONGEST_NAME)
        check_choice("sex", self.sex, SEXES)
        check_choice("origin", self.origin, ORIGINS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrived(Fact):
    """A dog comes in (or back), with what was seen at the gate."""

    kind: ClassVar[str] = "arrived"
    dog: str
    pen: str
    came_from: str = ""
    source: str = (
        "unknown"  # home | breeder | commercial | shelter | imported | unknown
    )
    last_outside_contact_on: date | None = None
    has_consent: bool = False  # visiting dog: owner's written consent to testing
    no_contact_statement: bool = False  # visiting stud: none since its laboratory test
    gums: str = ""
    stool: str = ""
    appetite: str = ""
    temperature_c: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Left(Fact):
    """A dog leaves: sold, home, died."""

    kind: ClassVar[str] = "left"
    dog: str
    why: str = "home"  # home | sold | died | other
    went_to: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved(Fact):
    """A dog goes to another pen or yard."""

    kind: ClassVar[str] = "moved"
    dog: str
    pen: str
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptApart(Fact):
    """A dog, or a litter as one, is kept apart from all others from now on."""

    kind: ClassVar[str] = "kept-apart"
    dog: str
    infection: str = ""  # suspected one, or empty
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ApartEnded(Fact):
    """Keeping apart ends. Says on whose word."""

    kind: ClassVar[str] = "apart-ended"
    dog: str
    on_whose_word: str  # the vet's name, or who decided
    why: str = ""
