"""Rules and the book in, actions out."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from kennelward.kennel import Book
from kennelward.programme.action import Action
from kennelward.programme.rules import ProgrammeRules

NO_INTERPRETATIONS: Mapping[tuple[str, str], Any] = {}


def decide(
    *,
    book: Book,
    rules: ProgrammeRules,
    on: date,
    interpretations: Mapping[tuple[str, str], Any] = NO_INTERPRETATIONS,
) -> tuple[Action, ...]:
    """All actions that the rules ask for on a day."""
    return ()
