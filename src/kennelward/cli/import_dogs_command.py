"""`kennelward import-dogs`: a CSV table of dogs, looked through before it is written."""

from pathlib import Path

import click

from kennelward.cli.group import DONE, REFUSED
from kennelward.cli.open_data import open_data, the_kennel
from kennelward.cli.shared_options import data_option, json_option, now, print_json


@click.command()
@click.argument("table", type=click.Path(path_type=Path))
@click.option("--write", is_flag=True, help="Write the dogs; without it, only look.")
@click.option("--by", default="", help="Whose name stands beside the entries.")
@click.option("--kennel", default=None, help="Which kennel, where there are several.")
@data_option
@json_option
def command(
    table: Path,
    write: bool,
    by: str,
    kennel: str | None,
    data: Path | None,
    as_json: bool,
) -> int:
    """Bring in dogs from the CSV file TABLE.

    Looks first and names row and column of every problem; nothing is written while
    there is one, and nothing without --write.
    """
    content = table.read_bytes()
    open_data(data)
    from kennelward import desk

    found = desk.import_dogs(
        kennel=the_kennel(kennel),
        data=content,
        dry_run=not write,
        by=by or "terminal",
        at=now(),
    )
    count = len(found.rows)
    if as_json:
        print_json(
            {
                "rows": count,
                "written": found.written,
                "problems": [
                    {"row": p.row, "column": p.column, "says": p.says}
                    for p in found.problems
                ],
            }
        )
        return REFUSED if found.problems else DONE
    for problem in found.problems:
        click.echo(f"row {problem.row}, {problem.column}: {problem.says}")
    if found.problems:
        click.echo(
            f"{len(found.problems)} problems, {count} good rows; nothing written."
        )
        return REFUSED
    if write:
        click.echo(f"{found.written} dogs written.")
    else:
        click.echo(f"{count} dogs can be written; do it with --write --by NAME.")
    return DONE
