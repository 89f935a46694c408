"""Facts about the kennel, its pens and whom to call."""

from dataclasses import dataclass
from typing import ClassVar

from kennelward.kennel.facts.words import LONGEST_NAME, PEN_KINDS, Fact, check_choice
from kennelward.terms import check_range, check_text


@dataclass(frozen=True, slots=True, kw_only=True)
class KennelDescribed(Fact):
    """The kennel's name, and whom to call. The latest one holds."""

    kind: ClassVar[str] = "kennel-described"
    name: str
    vet_name: str = ""
    vet_phone: str = ""
    out_of_hours_phone: str = ""
    country: str = ""
    time_zone: str = "UTC"
    currency: str = "EUR"
    clinic_visit_cents: int = 0  # user's price; 0 means not said
    laboratory_test_cents: int = 0

    def __post_init__(self) -> None:
        check_text("kennel name", self.name, longest=LONGEST_NAME)
        check_range("clinic visit price", self.clinic_visit_cents, low=0)
        check_range("laboratory price", self.laboratory_test_cents, low=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PenDescribed(Fact):
    """A pen or yard, new or changed. The latest one for a `pen` holds."""

    kind: ClassVar[str] = "pen-described"
    pen: str  # id
    name: str
    pen_kind: str
    order: int = 0  # within its kind, on the daily round
    column: int = 0  # place on the sketch of the yard, from the left
    row: int = 0  # from the top
    in_use: bool = True

    def __post_init__(self) -> None:
        check_text("pen name", self.name, longest=LONGEST_NAME)
        check_choice("pen kind", self.pen_kind, PEN_KINDS)
