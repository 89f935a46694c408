"""`kennelward verify`: is every entry of the book there, unchanged, in order?"""

from pathlib import Path

import click

from kennelward.cli.group import DONE, REFUSED
from kennelward.cli.open_data import open_data, the_kennel
from kennelward.cli.shared_options import data_option, json_option, print_json


@click.command()
@data_option
@click.option("--kennel", default=None, help="Which kennel, where there are several.")
@click.option(
    "--head",
    default="",
    help="Last hash noted on a backup or a report: shows a cut-off tail.",
)
@json_option
def command(data: Path | None, kennel: str | None, head: str, as_json: bool) -> int:
    """Look whether every entry is there, unchanged and in order.

    Status 1 where an entry was changed, lost or moved; says which.
    """
    open_data(data)
    from kennelward import desk

    found = desk.verify(the_kennel(kennel), head=head)
    if as_json:
        print_json(
            {
                "ok": found.ok,
                "entries": found.count,
                "head": found.head,
                "problem": found.problem,
            }
        )
    elif found.ok:
        click.echo(f"{found.count} entries, all there and unchanged.")
        click.echo(f"Head: {found.head}")
    else:
        click.echo(f"The book does not hold: {found.problem}")
        click.echo("Keep this folder as it is, and restore the last good backup.")
    return DONE if found.ok else REFUSED
