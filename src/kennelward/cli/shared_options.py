"""Options that several commands take, and how answers are printed."""

import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from rich.console import Console
    from rich.progress import Progress

Command = TypeVar("Command", bound=Callable[..., Any])

WIDEST = 80  # columns: fits a plain terminal window


class Day(click.ParamType[date]):
    """A calendar day, written 2026-03-31."""

    name = "DATE"

    def convert(
        self,
        value: Any,
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> date:
        """The day, or a usage error that shows the form."""
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail(f"{value!r} is no day; write it as 2026-03-31", param, ctx)


def on_option(command: Command) -> Command:
    """`--on DATE`: the day that counts as today."""
    return click.option(
        "--on", type=Day(), default=None, help="The day that counts as today."
    )(command)


def json_option(command: Command) -> Command:
    """`--json`: for a program to read."""
    return click.option(
        "--json", "as_json", is_flag=True, help="Answer as JSON, for a program."
    )(command)


def data_option(command: Command) -> Command:
    """`--data FOLDER`: where the book and its photos live."""
    return click.option(
        "--data",
        type=click.Path(file_okay=False, path_type=Path),
        default=None,
        envvar="KENNELWARD_DATA",
        help="Folder that holds the book and its photos.",
    )(command)


def now() -> datetime:
    """This moment, in UTC."""
    return datetime.now(UTC)


def today_utc() -> date:
    """The day it is, in UTC: what the made-up kennel lives by."""
    return now().date()


def print_json(value: Any, *, indent: int | None = 2) -> None:
    """JSON on stdout; `indent=None` gives one line."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=indent))


def console(*, stderr: bool = False, file: IO[str] | None = None) -> "Console":
    """A calm console of at most 80 columns; plain text where it is no terminal."""
    from rich.console import Console

    found = Console(stderr=stderr, file=file, highlight=False, soft_wrap=False)
    if found.width > WIDEST or not found.is_terminal:
        found.width = WIDEST
    return found


def progress(*, unit: str) -> "Progress":
    """A progress bar on stderr, shown only where stderr is a terminal."""
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    bar_console = console(stderr=True)
    return Progress(
        TextColumn("{task.description}"),
        BarColumn(bar_width=30),
        MofNCompleteColumn(),
        TextColumn(unit),
        console=bar_console,
        transient=True,
        disable=not bar_console.is_terminal,
    )
