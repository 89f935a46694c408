"""The data folder: where it is, whether it holds a book, and opening it."""

import os
import sqlite3
from pathlib import Path

from kennelward.terms import BadInput

FOLDER_VARIABLE = "KENNELWARD_DATA"
DATABASE_VARIABLE = "KENNELWARD_DATABASE"
DEFAULT_FOLDER = "kennel-data"
DATABASE_FILE = "kennel-book.sqlite3"
SETTINGS = "kennelward.desk.settings"


def data_folder(named: str | Path | None = None) -> Path:
    """The folder named, else the one in KENNELWARD_DATA, else `kennel-data` here.

    Creates nothing.
    """
    chosen = named or os.environ.get(FOLDER_VARIABLE) or DEFAULT_FOLDER
    return Path(chosen).expanduser().resolve()


def has_book(folder: str | Path | None = None) -> bool:
    """True where the folder (or the named PostgreSQL) holds a kennel. Creates nothing."""
    server = os.environ.get(DATABASE_VARIABLE, "")
    if server:
        return _server_has_kennel(server)
    file = data_folder(folder) / DATABASE_FILE
    if not file.is_file():
        return False
    connection = sqlite3.connect(f"{file.as_uri()}?mode=ro", uri=True)
    try:
        found = connection.execute("SELECT 1 FROM records_kennel LIMIT 1").fetchone()
    except sqlite3.DatabaseError:  # a file of another program, or one not yet filled
        return False
    finally:
        connection.close()
    return found is not None


def _server_has_kennel(address: str) -> bool:
    """Asked without Django, which would make the data folder."""
    import psycopg

    try:
        with psycopg.connect(address) as connection:
            found = connection.execute("SELECT 1 FROM records_kennel LIMIT 1")
            return found.fetchone() is not None
    except psycopg.errors.UndefinedTable:  # an empty database
        return False
    except psycopg.OperationalError as error:
        raise BadInput(
            "the server named in KENNELWARD_DATABASE does not answer; look whether it "
            "runs and whether the address is right"
        ) from error


def open_book(folder: str | Path | None = None) -> Path:
    """Open the book in a folder, made where it is not there yet; gives the folder.

    One process opens one folder. Raises `BadInput` for another one, or for a folder
    that cannot be used.
    """
    where = data_folder(folder)
    _set_up_django(where)
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)
    return where


def _set_up_django(where: Path) -> None:
    import django
    from django.conf import settings

    if settings.configured:
        opened = Path(settings.DATA_FOLDER)
        if opened != where:
            raise BadInput(
                f"this process has opened {opened} already; open {where} in a new one"
            )
        return
    try:
        where.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(
            f"{where} cannot be used as the data folder ({error.strerror}); "
            "name another with --data"
        ) from error
    os.environ[FOLDER_VARIABLE] = str(where)
    os.environ["DJANGO_SETTINGS_MODULE"] = SETTINGS
    django.setup()
