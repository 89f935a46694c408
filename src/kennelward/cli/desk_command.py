"""`kennelward desk`: open the desk, say where it is, and wait until it is stopped."""

import io
import secrets
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from kennelward.cli.shared_options import data_option, now, progress, today_utc

if TYPE_CHECKING:
    from kennelward.desk import Ready

DEMO_FOLDER = "demo"  # inside the data folder; never holds a real book
DEMO_USER = "demo"
PASSWORD_BYTES = 9  # 12 letters in the password of the demo's owner


@click.command()
@data_option
@click.option("--port", type=click.IntRange(0, 65535), default=8765, show_default=True)
@click.option(
    "--host",
    default="0.0.0.0",  # noqa: S104 - phones on the same network are to reach it
    show_default=True,
    help="127.0.0.1 keeps phones out.",
)
@click.option("--tls", is_flag=True, help="Encrypted, with a certificate of our own.")
@click.option("--demo", is_flag=True, help="Open the made-up kennel, kept apart.")
@click.option("--fresh", is_flag=True, help="With --demo: begin it anew, as of today.")
def command(
    data: Path | None, port: int, host: str, tls: bool, demo: bool, fresh: bool
) -> None:
    """Open the desk in a browser, here and on phones of the same network.

    The book and its photos live in one folder (--data); the next start finds them.
    """
    from kennelward import desk

    if fresh and not demo:
        raise click.UsageError(
            "--fresh goes with --demo; a real book is never begun anew"
        )
    folder = desk.data_folder(data)
    if demo:
        folder = folder / DEMO_FOLDER
        password = open_demo(folder, fresh=fresh)
        click.echo(
            "\n This is the made-up demo kennel. Nothing in it is real, and your"
        )
        click.echo(" own book is not touched.")
        click.echo(f" Sign in as  {DEMO_USER}")
        click.echo(f" Password    {password}   (a new one at every start)")
    else:
        desk.open_book(folder)
    desk.serve(
        host=host, port=port, tls=tls, on_ready=lambda ready: show(ready, folder=folder)
    )
    click.echo("\n The desk is closed. Everything is saved.")


def open_demo(folder: Path, *, fresh: bool = False) -> str:
    """Open the demo's own folder, filled at the first time; gives a new password."""
    from kennelward import desk

    if fresh and folder.exists():
        aside = folder.with_name(f"{folder.name}-until-{now():%Y-%m-%d-%H%M%S}")
        shutil.move(folder, aside)
    is_new = not desk.has_book(folder)
    desk.open_book(folder)
    if is_new:
        _fill()
    kennel = next(kennel for kennel, _ in desk.kennels() if desk.is_demo(kennel))
    password = secrets.token_urlsafe(PASSWORD_BYTES)
    known = {person.username: person for person in desk.people(kennel)}
    if DEMO_USER in known:
        desk.change_person(
            kennel=kennel,
            person=known[DEMO_USER].user,
            role="owner",
            is_active=True,
            password=password,
        )
    else:
        desk.add_person(
            kennel=kennel, username=DEMO_USER, password=password, role="owner"
        )
    return password


def _fill() -> None:
    """The made-up book with its photos read, into the empty folder."""
    from kennelward import desk
    from kennelward.demo import demo_jobs
    from kennelward.demo.main_job import do_main_job
    from kennelward.handbook import load_handbook

    on = today_utc()
    with progress(unit="photos") as bar:
        task = bar.add_task("making the demo", total=len(demo_jobs(on=on)))
        done = do_main_job(
            on=on, handbook=load_handbook(), each_read=lambda: bar.advance(task)
        )
    desk.load_entries(done.entries, photos=list(done.photos.values()), is_demo=True)


def show(ready: "Ready", *, folder: Path) -> None:
    """Where the desk is, for this computer and for a phone, and how to stop it."""
    lines = ["", f" The desk is open:  {ready.local}"]
    for address in ready.network:
        lines.append(f" On a phone of the same network:  {address}")
    for address in ready.authority:
        lines.append(f" First trust our certificate on that phone:  {address}")
    click.echo("\n".join(lines))
    if ready.network:
        click.echo(square_code(ready.network[0]))
    click.echo(f" The book is kept in {folder}")
    click.echo(" Stop with Ctrl+C.")
    sys.stdout.flush()


def square_code(address: str) -> str:
    """A QR code of an address in text, or nothing where the terminal cannot show it."""
    import segno

    out = io.StringIO()
    segno.make(address, error="m").terminal(out=out, compact=True, border=2)
    text = out.getvalue()
    try:
        text.encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return ""
    return text.rstrip("\n")
