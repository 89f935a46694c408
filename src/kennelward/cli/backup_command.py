"""`kennelward backup`: the whole book and its photos in one file, checked after writing."""

from pathlib import Path

import click

from kennelward.cli.open_data import open_data
from kennelward.cli.shared_options import (
    data_option,
    json_option,
    now,
    print_json,
    progress,
)


@click.command()
@click.argument("target", type=click.Path(path_type=Path))
@data_option
@json_option
def command(target: Path, data: Path | None, as_json: bool) -> None:
    """Write the whole book and its photos into the file TARGET, and check it.

    Note the head that is printed: `verify --head` compares with it.
    """
    open_data(data)
    from kennelward import desk

    with progress(unit="parts") as bar:
        task = bar.add_task("writing", total=None)
        made = desk.backup(
            target,
            at=now(),
            progress=lambda done, all_: bar.update(task, completed=done, total=all_),
        )
    if as_json:
        print_json({"file": str(made.path), "entries": made.count, "head": made.head})
        return
    click.echo(f"{made.count} entries written to {made.path}, read back and checked.")
    click.echo(f"Head: {made.head}")
