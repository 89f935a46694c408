"""The words that rules are written in: what sets them going, what must hold, what ends them.

Each word says what it may be told, so that a handbook file with a slip is refused when
it is loaded and not when a dog is ill.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from kennelward.kennel.facts import (
    DANGERS,
    MATING_METHODS,
    ORIGINS,
    PEN_KINDS,
    SEXES,
    SIGNS,
    VACCINES,
)
from kennelward.kennel.voids import VOID_REASONS
from kennelward.programme.anchor import Anchor
from kennelward.programme.rules import Word
from kennelward.programme.view import View
from kennelward.terms import Call, DateWindow

# What a word may be told. A tuple allows those words only; "number" may be the name of
# a handbook value; kinds that only the handbook knows are checked by its loader.
CHOICES: Mapping[str, tuple[str, ...]] = {
    "signs": SIGNS,
    "dangers": DANGERS,
    "calls": tuple(call.value for call in Call),
    "origins": ORIGINS,
    "came-from": ("home", "breeder", "commercial", "shelter", "imported", "unknown"),
    "vaccine": VACCINES,
    "pen-kinds": PEN_KINDS,
    "sex": SEXES,
    "mating-methods": MATING_METHODS,
    "voids": VOID_REASONS,
    "counted-from": ("anchor", "window"),
    "result": ("positive", "negative"),
    "loss": ("any", "early", "work-up"),
    "loss-alarm-of": ("any", "kennel", "parents"),
    "attempt-day": ("countable", "due", "overdue", "last-mating", "lh"),
    "course-day": ("start", "end"),
    "last": ("tested", "vaccinated", "wormed"),
    "lacks": (
        "consent",
        "statement",
        "temperature",
        "gums",
        "stool",
        "appetite",
        "weight",
        "chip",
        "last-contact",
    ),
}
LISTS = (  # kinds that may be told several at once
    "signs",
    "dangers",
    "calls",
    "origins",
    "came-from",
    "pen-kinds",
    "mating-methods",
    "voids",
    "lacks",
    "methods",
)

Trigger = Callable[[View, Word], Iterable[Anchor]]
Condition = Callable[[View, Word, Anchor], bool]
Done = Callable[[View, Word, Anchor, DateWindow], bool]
Words = tuple[str, ...]
Run = TypeVar("Run")
ALWAYS_SHOWN = ("name", "dog", "first", "last", "since", "until")
FIGURES_SHOWN = ("real_in_100", "prior_percent", "tests_a_year", "false_a_year")


@dataclass(frozen=True, slots=True)
class Spec:
    """One word: what it may be told, what it must be told, and what it does."""

    run: Callable[..., object]
    kinds: Mapping[str, str]
    needs: tuple[str, ...]
    shows: tuple[str, ...]  # places in a rule's words that it fills


TRIGGERS: dict[str, Spec] = {}
CONDITIONS: dict[str, Spec] = {}
ENDS: dict[str, Spec] = {}


def _writing(into: dict[str, Spec]) -> Callable[..., Callable[[Run], Run]]:
    def word(
        name: str, needs: Words = (), shows: Words = (), **kinds: str
    ) -> Callable[[Run], Run]:
        def keep(run: Run) -> Run:
            into[name] = Spec(run, dict(kinds), needs, shows)  # type: ignore[arg-type]
            return run

        return keep

    return word


trigger = _writing(TRIGGERS)
condition = _writing(CONDITIONS)
end = _writing(ENDS)
