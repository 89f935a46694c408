"""`kennelward restore`: a data folder out of a backup, checked before it is used."""

from pathlib import Path

import click

from kennelward.cli.shared_options import data_option, json_option, print_json, progress


@click.command()
@click.argument("archive", type=click.Path(path_type=Path))
@data_option
@json_option
def command(archive: Path, data: Path | None, as_json: bool) -> None:
    """Make a data folder out of the backup file ARCHIVE, and check it.

    The folder must be empty or new: nothing is written over.
    """
    from kennelward import desk

    into = desk.data_folder(data)
    with progress(unit="parts") as bar:
        task = bar.add_task("restoring", total=None)
        made = desk.restore(
            archive,
            into=into,
            progress=lambda done, all_: bar.update(task, completed=done, total=all_),
        )
    if as_json:
        print_json(
            {
                "data": str(into),
                "entries": made.count,
                "head": made.head,
                "passwords": dict(made.passwords),
            }
        )
        return
    click.echo(f"{made.count} entries restored into {into} and checked.")
    click.echo(f"Head: {made.head}")
    for username, password in made.passwords.items():
        click.echo(f"A backup holds no passwords. New one for {username}: {password}")
