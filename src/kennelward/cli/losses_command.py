"""`kennelward losses`: stillborn puppies and early deaths, judged as a run of litters."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kennelward.cli.due_command import the_book
from kennelward.cli.shared_options import (
    console,
    data_option,
    json_option,
    on_option,
    print_json,
)

if TYPE_CHECKING:
    from kennelward.handbook import Handbook
    from kennelward.kennel import Book


@click.command()
@on_option
@click.option("--kennel", default=None, help="Which kennel, where there are several.")
@data_option
@json_option
def command(
    on: date | None, kennel: str | None, data: Path | None, as_json: bool
) -> None:
    """How losses stand: the usual loss here, each litter beside it, the slow alarm.

    Uses the kennel's own book, or the made-up demo's where there is none.
    """
    book, handbook, day, is_demo = the_book(data, kennel=kennel, on=on)
    told = as_plain(book=book, handbook=handbook, on=day)
    if as_json:
        print_json(told)
        return
    out = console()
    if is_demo:
        out.print("A made-up kennel: nothing here is real.", style="dim")
    if told["alarm"] or told["whole_litters_lost"] > 1:
        out.print(
            "Call the vet about these losses. People first: gloves, eye and mouth "
            "cover; pregnant or immune-suppressed people and children stay away.",
            style="bold",
        )
    out.print(f"Usual loss a puppy here: {100 * told['baseline']:.1f} of 100")
    for one in told["litters"]:
        out.print(
            f"{one['litter']}: {one['lost']} of {one['born']} lost, as many or more in "
            f"{100 * one['chance']:.1f} of 100 such litters",
            markup=False,
        )
    out.print(
        "Slow alarm: " + ("signals" if told["alarm"] else "quiet; no proof of safety")
    )


def as_plain(*, book: "Book", handbook: "Handbook", on: date) -> dict[str, Any]:
    """The review as JSON; chances 0 to 1, lost means stillborn or dead by day 7."""
    from kennelward.rounds import dated_litters, kennel_losses

    judged = kennel_losses(book=book, handbook=handbook, on=on)
    losses = {
        one.litter: one.loss
        for one in dated_litters(book=book, handbook=handbook, on=on)
    }
    return {
        "baseline": judged.baseline,
        "year_chance": judged.year_chance,
        "alarm": judged.alarm,
        "whole_litters_lost": judged.whole_litters_lost,
        "litters": [
            {
                "litter": book.litters[litter].name,
                "born": losses[litter].born,
                "lost": losses[litter].lost,
                "chance": chance,
                "flag": flag.value,
            }
            for litter, chance, flag in judged.litters
        ],
    }
