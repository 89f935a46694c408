"""`kennelward due-date`: when a bitch is due, from what is known. Opens no book."""

from datetime import date
from typing import TYPE_CHECKING, Any

import click

from kennelward.cli.shared_options import Day, console, json_option, print_json
from kennelward.kennel.facts import MATING_METHODS

if TYPE_CHECKING:
    from kennelward.litters import DueDate, PregnancyWindows


@click.command()
@click.option("--ovulation", type=Day(), help="The day of ovulation, as the vet says.")
@click.option("--lh", type=Day(), help="The day of the LH surge.")
@click.option("--mated", type=Day(), multiple=True, help="A mating; may be repeated.")
@click.option(
    "--method",
    type=click.Choice(MATING_METHODS),
    default="natural",
    help="How the semen came in, for all matings.",
)
@click.option(
    "--litter-size", type=click.IntRange(1, 25), help="Puppies counted on an X-ray."
)
@json_option
def command(
    ovulation: date | None,
    lh: date | None,
    mated: tuple[date, ...],
    method: str,
    litter_size: int | None,
    as_json: bool,
) -> None:
    """The likeliest day of birth, and the days that hold it in 8 of 10 pregnancies."""
    from kennelward.litters import (
        BreedingFacts,
        Mating,
        MatingMethod,
        due_date,
        pregnancy_windows,
    )

    if not (ovulation or lh or mated):
        raise click.UsageError("give --ovulation, --lh or --mated")
    facts = BreedingFacts(
        ovulation_on=ovulation,
        lh_on=lh,
        matings=tuple(Mating(on=day, method=MatingMethod(method)) for day in mated),
        litter_size=litter_size,
    )
    due, windows = due_date(facts), pregnancy_windows(facts)
    if as_json:
        print_json(as_plain(due, windows))
        return
    out = console()
    out.print(f"[bold]Due {due.median:%a %d %b %Y}[/bold]", markup=True)
    out.print(f"8 of 10 such pregnancies: {due.low} to {due.high}")
    out.print(f"Known from: {', '.join(due.because)}")
    out.print(f"A negative pregnancy strip counts from {windows.negative_counts_from}")
    out.print("A sick bitch, or one past her days, goes to the vet whatever this says.")


def as_plain(due: "DueDate", windows: "PregnancyWindows") -> dict[str, Any]:
    """The answer as JSON; `low` to `high` hold 80 %."""
    return {
        "median": due.median.isoformat(),
        "low": due.low.isoformat(),
        "high": due.high.isoformat(),
        "interval": 0.80,
        "because": list(due.because),
        "strip_negative_counts_from": windows.negative_counts_from.isoformat(),
    }
