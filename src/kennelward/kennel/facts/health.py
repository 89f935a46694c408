"""Facts about health: rounds, signs, vet, weights, vaccines, courses, cleaning."""

from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from kennelward.kennel.facts.words import (
    DANGERS,
    LONGEST_NAME,
    LONGEST_NOTE,
    SIGNS,
    Fact,
    check_choice,
)
from kennelward.terms import BadInput, check_range, check_text


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundDone(Fact):
    """One walk through the pens. Dogs not named in an `Observed` were well."""

    kind: ClassVar[str] = "round-done"
    pens: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observed(Fact):
    """Signs seen on one dog. No signs means: well again."""

    kind: ClassVar[str] = "observed"
    dog: str
    signs: tuple[str, ...]
    note: str = ""

    def __post_init__(self) -> None:
        for sign in self.signs:
            check_choice("sign", sign, SIGNS)


@dataclass(frozen=True, slots=True, kw_only=True)
class DangerChecked(Fact):
    """The five-tap check before any test. Any danger: the vet comes first."""

    kind: ClassVar[str] = "danger-checked"
    dog: str
    dangers: tuple[str, ...]

    def __post_init__(self) -> None:
        for danger in self.dangers:
            check_choice("danger", danger, DANGERS)


@dataclass(frozen=True, slots=True, kw_only=True)
class VetCalled(Fact):
    """The vet was called about a dog; what they said, as they said it."""

    kind: ClassVar[str] = "vet-called"
    dog: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed(Fact):
    """A weight."""

    kind: ClassVar[str] = "weighed"
    dog: str
    weight_g: float

    def __post_init__(self) -> None:
        check_range("weight", self.weight_g, low=20, high=150_000, unit="g")


@dataclass(frozen=True, slots=True, kw_only=True)
class Vaccinated(Fact):
    """A vaccination. `is_live` matters: live parvovirus vaccine can show in tests."""

    kind: ClassVar[str] = "vaccinated"
    dog: str
    against: tuple[str, ...]
    is_live: bool = True
    note: str = ""  # batch and by whom, as on the card


@dataclass(frozen=True, slots=True, kw_only=True)
class Wormed(Fact):
    """Worming was done; what, as on the vet's or the pack's word."""

    kind: ClassVar[str] = "wormed"
    dog: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseWritten(Fact):
    """A treatment exactly as the vet wrote it, for one dog. Nothing is computed."""

    kind: ClassVar[str] = "course-written"
    course: str  # id
    dog: str
    text: str  # the vet's words
    prescribed_by: str
    starts_on: date
    ends_on: date
    times_a_day: int
    infection: str = ""  # what it is for, if said

    def __post_init__(self) -> None:
        check_text("the vet's words", self.text, longest=LONGEST_NOTE)
        check_text("prescribed by", self.prescribed_by, longest=LONGEST_NAME)
        check_range("times a day", self.times_a_day, low=1, high=24)
        if self.ends_on < self.starts_on:
            raise BadInput(
                f"the course ends on {self.ends_on}, before it starts on {self.starts_on}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenTicked(Fact):
    """One giving of a course was done: the `nth` of that day, from 1."""

    kind: ClassVar[str] = "given-ticked"
    course: str
    day: date
    nth: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Bathed(Fact):
    """A dog was bathed."""

    kind: ClassVar[str] = "bathed"
    dog: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cleaned(Fact):
    """A pen was cleaned."""

    kind: ClassVar[str] = "cleaned"
    pen: str
    product: str = ""  # class of product, such as "bleach", "peroxide", "steam", "soap"
    contact_minutes: float = 0.0
    note: str = ""
