"""The minutes in which a strip is read: the leaflet's, or common practice without one."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from kennelward.handbook import Kit

Command = TypeVar("Command", bound=Callable[..., Any])
LONGEST = 240.0


@dataclass(frozen=True, slots=True)
class Minutes:
    """From `first` to `last` minutes after the drops, both included."""

    first: float
    last: float

    def __str__(self) -> str:
        return f"{self.first:g} to {self.last:g} minutes"


class MinutesText(click.ParamType[Minutes]):
    """Two numbers of minutes, written 5-10."""

    name = "FROM-UNTIL"

    def convert(
        self,
        value: Any,
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> Minutes:
        """The minutes, or a usage error that shows the form."""
        if isinstance(value, Minutes):
            return value
        try:
            first, last = (float(part) for part in value.split("-"))
        except ValueError:
            first, last = 1.0, 0.0
        if not 0 <= first <= last <= LONGEST:
            self.fail(
                f"{value!r} is no span of minutes; write it as 5-10, from the leaflet",
                param,
                ctx,
            )
        return Minutes(first, last)


def leaflet_option(command: Command) -> Command:
    """`--leaflet 5-10`: what the leaflet of this very kit says."""
    return click.option(
        "--leaflet",
        type=MinutesText(),
        default=None,
        help="Minutes in which your leaflet has the strip read, such as 5-10; without "
        "it, common practice.",
    )(command)


def handbook_minutes(kit: "Kit") -> Minutes:
    """Common practice for such a kit, which no leaflet has confirmed."""
    return Minutes(kit.read_from_minutes, kit.read_until_minutes)
