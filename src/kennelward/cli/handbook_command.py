"""`kennelward handbook`: every number, its unit and where it comes from."""

from pathlib import Path
from typing import Any

import click

from kennelward.cli.shared_options import console, json_option, print_json
from kennelward.terms import BadInput, Sourced


@click.command()
@click.argument("words", nargs=-1)
@click.option(
    "--overlay",
    "overlays",
    multiple=True,
    type=click.Path(exists=True, path_type=Path),
    help="A folder or file with the kennel's or its vet's own values; may be repeated.",
)
@json_option
def command(words: tuple[str, ...], overlays: tuple[Path, ...], as_json: bool) -> None:
    """Every number in use: value, unit, source, and since when.

    WORDS narrow the list: only entries that hold them all.
    """
    from kennelward.handbook import load_handbook

    handbook = load_handbook(overlays=overlays)
    found = [
        (path, value)
        for path, value in handbook.values()
        if _matches(path, value, words=words)
    ]
    if not found:
        raise BadInput(
            f"nothing in the handbook holds {' '.join(words)!r}; try fewer words"
        )
    if as_json:
        print_json(
            {
                "handbook": handbook.hash,
                "values": [as_plain(path, value) for path, value in found],
            }
        )
        return
    _print(found, handbook_hash=handbook.hash)


def _matches(path: str, value: Sourced, *, words: tuple[str, ...]) -> bool:
    text = f"{path} {value.says} {value.source} {value.provenance}".casefold()
    return all(word.casefold() in text for word in words)


def as_plain(path: str, value: Sourced) -> dict[str, Any]:
    """One number as JSON."""
    return {
        "path": path,
        "value": value.value,
        "unit": value.unit,
        "says": value.says,
        "source": value.source,
        "provenance": value.provenance.value,
        "since": value.since.isoformat(),
        "low": value.low,
        "high": value.high,
        "overlaid_by": value.overlaid_by,
    }


def _print(found: list[tuple[str, Sourced]], *, handbook_hash: str) -> None:
    from kennelward.cli.words import hang

    out = console()
    for path, value in found:
        spread = ""
        if value.low is not None and value.high is not None:
            spread = f" ({value.low:g} to {value.high:g})"
        out.print(path, style="bold")
        out.print(hang("value", f"{value.value:g}{spread} {value.unit}"))
        out.print(hang("is", value.says))
        out.print(hang("source", f"{value.source} [{value.provenance.value}]"))
        if value.overlaid_by:
            out.print(hang("set by", value.overlaid_by))
    out.print(f"{len(found)} values; handbook {handbook_hash[:12]}", style="dim")
