"""Range checks whose errors say what came, what is allowed and what to do."""

import math


class BadInput(ValueError):
    """Something a person or a file gave cannot be used; the message says what to do."""


class OutOfRange(BadInput):
    """A value lies outside what is allowed."""


def check_range(
    name: str,
    value: float,
    *,
    low: float = -math.inf,
    high: float = math.inf,
    unit: str = "",
) -> None:
    """Raise `OutOfRange` unless `low <= value <= high`; NaN is never in range."""
    if not (low <= value <= high):
        suffix = f" {unit}" if unit else ""
        raise OutOfRange(
            f"{name} must be {_allowed(low, high)}{suffix}, got {value}{suffix}"
        )


def _allowed(low: float, high: float) -> str:
    if math.isinf(high):
        return f"{low:g} or more"
    if math.isinf(low):
        return f"{high:g} or less"
    return f"from {low:g} to {high:g}"


def check_text(
    name: str, value: str, *, longest: int = 200, empty: bool = False
) -> None:
    """Raise `BadInput` for text that is empty, too long, or holds a null character.

    A null character is refused because PostgreSQL cannot store it (and SQLite can),
    so the two databases would otherwise differ.
    """
    if "\x00" in value:
        raise BadInput(f"{name} holds a null character; type it again")
    if not empty and not value.strip():
        raise BadInput(f"{name} is empty; write something")
    if len(value) > longest:
        raise BadInput(f"{name} has {len(value)} characters; {longest} is the most")
