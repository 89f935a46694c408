"""verify, backup, restore, import-dogs and due on a real data folder, as new processes."""

import json
import os
import sqlite3
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from kennelward.demo import demo_book

IN_BOOK = len(demo_book(on=date(2026, 11, 24)))
FILL = """
import sys
from datetime import date
from kennelward import desk
from kennelward.demo import demo_book
desk.open_book(sys.argv[1])
desk.load_entries(demo_book(on=date(2026, 11, 24)))
"""


def run(*args: str, cwd: Path | None = None) -> "subprocess.CompletedProcess[str]":
    env = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("DJANGO", "KENNELWARD", "DATABASE", "PYTEST"))
    }
    return subprocess.run(
        [sys.executable, *args],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        env=env,
        cwd=cwd,
    )


def kennelward(*args: object, cwd: Path | None = None):
    return run("-m", "kennelward.cli", *map(str, args), cwd=cwd)


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A data folder with the made-up book in it, as if it were somebody's own."""
    data = tmp_path_factory.mktemp("kennel") / "data"
    made = run("-c", FILL, str(data))
    assert made.returncode == 0, made.stderr
    return data


def test_verify_counts_and_gives_the_head(folder):
    found = kennelward("verify", "--data", folder, "--json")
    assert found.returncode == 0, found.stderr
    told = json.loads(found.stdout)
    assert (told["ok"], told["entries"], len(told["head"])) == (True, IN_BOOK, 64)


def test_verify_finds_a_head_that_was_never_there(folder):
    found = kennelward("verify", "--data", folder, "--head", "a" * 64)
    assert found.returncode == 1
    assert "does not hold" in found.stdout


def test_a_backup_restores_to_the_same_head_and_never_over_something(folder, tmp_path):
    archive, copy = tmp_path / "book.zip", tmp_path / "copy"
    made = kennelward("backup", archive, "--data", folder, "--json")
    assert made.returncode == 0, made.stderr
    again = kennelward("backup", archive, "--data", folder)
    assert again.returncode == 1
    assert again.stderr.count("\n") == 1

    back = kennelward("restore", archive, "--data", copy, "--json")
    assert back.returncode == 0, back.stderr
    head = json.loads(made.stdout)["head"]
    assert json.loads(back.stdout)["head"] == head
    assert kennelward("verify", "--data", copy, "--head", head).returncode == 0

    over = kennelward("restore", archive, "--data", copy)
    assert over.returncode == 1
    assert "not empty" in over.stderr


def test_a_changed_entry_is_found(folder, tmp_path):
    """Somebody writes into the database file with another program."""
    archive, copy = tmp_path / "book.zip", tmp_path / "copy"
    kennelward("backup", archive, "--data", folder)
    kennelward("restore", archive, "--data", copy)
    (database,) = copy.glob("*.sqlite3")
    with sqlite3.connect(database) as connection:
        rows = connection.execute(
            "select name, sql from sqlite_master where type = 'trigger'"
        ).fetchall()
        for name, _ in rows:
            connection.execute(f'drop trigger "{name}"')
        table, column = next(
            (table, column)
            for (table,) in connection.execute(
                "select name from sqlite_master where type = 'table'"
            ).fetchall()
            for _, column, *_ in connection.execute(
                f'pragma table_info("{table}")'
            ).fetchall()
            if column == "body"
        )
        changed = connection.execute(
            f'update "{table}" set {column} = replace({column}, ?, ?) '
            f"where {column} like '%12600%'",
            ("12600", "12601"),
        ).rowcount
    assert changed > 0
    found = kennelward("verify", "--data", copy)
    assert found.returncode == 1
    assert "does not hold" in found.stdout


def test_an_archive_that_is_none_is_refused_in_one_line(tmp_path):
    text = tmp_path / "note.zip"
    text.write_text("not an archive")
    found = kennelward("restore", text, "--data", tmp_path / "new")
    assert found.returncode == 1
    assert found.stderr.startswith("kennelward: ")
    assert found.stderr.count("\n") == 1


def test_import_looks_first_and_writes_when_told(folder, tmp_path):
    table = tmp_path / "dogs.csv"
    table.write_text("name,sex,born_on\nBella,bitch,2024-01-01\nOdd,cat,2031-01-01\n")
    found = kennelward("import-dogs", table, "--data", folder)
    assert found.returncode == 1
    assert "row 3, sex:" in found.stdout
    assert "2 problems, 1 good rows" in found.stdout

    table.write_text("name,sex,born_on\nBella,bitch,2024-01-01\n")
    looked = kennelward("import-dogs", table, "--data", folder, "--json")
    assert json.loads(looked.stdout) == {"rows": 1, "written": 0, "problems": []}
    wrote = kennelward(
        "import-dogs", table, "--data", folder, "--write", "--by", "Mara"
    )
    assert "1 dogs written" in wrote.stdout
    told = json.loads(kennelward("verify", "--data", folder, "--json").stdout)
    assert (told["ok"], told["entries"]) == (True, IN_BOOK + 1)


@pytest.mark.parametrize(
    "args",
    [
        ("verify",),
        ("backup", "x.zip"),
        ("import-dogs", "dogs.csv"),
        ("due",),
    ],
)
def test_a_folder_without_a_book_is_said_in_one_line(args, tmp_path):
    (tmp_path / "dogs.csv").write_text("name,sex,born_on\n")
    found = kennelward(*args, "--data", tmp_path / "none", cwd=tmp_path)
    assert found.returncode == 1
    assert found.stderr.startswith("kennelward: no kennel book in ")
    assert found.stderr.count("\n") == 1
    assert not (tmp_path / "none").exists()
