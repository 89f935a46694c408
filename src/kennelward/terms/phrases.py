"""A sentence and the values in it, kept apart so that it can be translated."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Phrase:
    """`template` with `{names}`; `values` fill them.

    The template is the key that a translation is looked up by; nothing is filled in
    before that.
    """

    template: str
    values: Mapping[str, str | int | float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(self, "values", MappingProxyType(dict(self.values)))

    def __str__(self) -> str:
        return fill(self.template, self.values)

    def __hash__(self) -> int:
        return hash((self.template, tuple(sorted(self.values.items()))))


def fill(template: str, values: Mapping[str, str | int | float]) -> str:
    """Put `values` into `template`.

    Only whole `{name}` places are filled; a value that itself holds braces, such as
    a dog's odd name, is left as it is.
    """
    parts: list[str] = []
    rest = template
    while True:
        before, brace, after = rest.partition("{")
        parts.append(before)
        if not brace:
            return "".join(parts)
        name, closing, rest = after.partition("}")
        if not closing or name not in values:
            raise KeyError(f"nothing to fill {{{name}}} with in: {template}")
        parts.append(str(values[name]))
