"""The words a fact may use: sexes, pen kinds, signs, and what every fact shares."""

from dataclasses import dataclass
from typing import ClassVar

from kennelward.terms import BadInput

LONGEST_NAME = 200
LONGEST_NOTE = 4000

SEXES = ("bitch", "dog")
PEN_KINDS = (  # in the order a day's round visits them: cleanest first
    "whelping",
    "litter",
    "pregnant",
    "adults",
    "yard",
    "visitor",
    "quarantine",
    "isolation",
)
ORIGINS = ("born-here", "bought", "imported", "rescued", "returned", "visiting")
SIGNS = (
    "soft-stool",
    "diarrhoea",
    "bloody-stool",
    "vomiting",
    "off-food",
    "listless",
    "cough",
    "discharge",
    "fever",
    "scrotal-swelling",
    "back-pain",
    "retching-swollen-belly",
    "not-gaining",
)
DANGERS = (
    "dull",
    "cold",
    "bleeding",
    "vomiting-again",
    "not-eating",
    # pictures beside the five: the vet now, and no strip
    "retching-swollen-belly",
    "ill-after-season",
    "green-discharge",
)
MATING_METHODS = ("natural", "fresh", "chilled", "frozen")
VACCINES = (
    "parvovirus",
    "distemper",
    "hepatitis",
    "kennel-cough",
    "leptospirosis",
    "rabies",
)


def check_choice(name: str, value: str, allowed: tuple[str, ...]) -> None:
    """Raise `BadInput` unless `value` is one of `allowed`."""
    if value not in allowed:
        raise BadInput(f"{name} must be one of {', '.join(allowed)}; got {value!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """What every fact shares: nothing but its kind."""

    kind: ClassVar[str] = ""
