"""Handbook values as the types that computing rooms declare: fields named as the values."""

from collections.abc import Callable
from dataclasses import fields
from typing import Any, TypeVar

Made = TypeVar("Made")
Number = Callable[[str], float]  # path -> number, such as "losses.limit"


def typed(
    kind: type[Made], *, owner: str, number: Number, prefix: str = "", **given: Any
) -> Made:
    """A `kind` whose fields are the values `<owner>.<prefix><field>`.

    Fields in `given` are taken as they are. Whole-number fields are rounded. Raises
    BadInput, from `number`, where the handbook has no such value.
    """
    values = dict(given)
    for field in fields(kind):  # type: ignore[arg-type]
        if field.name not in values:
            found = number(f"{owner}.{prefix}{field.name}")
            values[field.name] = round(found) if field.type is int else found
    return kind(**values)
