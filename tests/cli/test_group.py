"""The command itself: names, exit status, one-line errors, a quick and light start."""

import subprocess
import sys

import click
import pytest
from click.testing import CliRunner

from kennelward.cli import main
from kennelward.cli.group import COMMANDS, _file_trouble
from kennelward.terms import BadInput

HEAVY = ("django", "cv2", "scipy", "numba", "numpy", "PIL", "rich", "icalendar")


def run(*args: str):
    return CliRunner().invoke(main, list(args), prog_name="kennelward")


def in_new_process(*args: str) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        [sys.executable, "-m", "kennelward.cli", *args],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def test_help_lists_every_command_without_loading_one():
    found = run("--help")
    assert found.exit_code == 0
    for name in COMMANDS:
        assert f"\n  {name}" in found.stdout


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_there_and_has_help(name):
    found = run(name, "--help")
    assert found.exit_code == 0, found.output
    assert found.stdout.startswith(f"Usage: kennelward {name}")


@pytest.mark.parametrize(
    "args",
    [
        ("no-such-command",),
        ("due", "--on", "yesterday"),
        ("due", "--on", "2026-02-30"),
        ("read",),
        ("read", "x.jpg", "--kit", "relaxin", "--corners", "1,2 3"),
        ("interpret", "--kit", "relaxin", "--no-such-option"),
    ],
)
def test_a_command_written_wrongly_ends_with_2_and_one_line(args):
    found = run(*args)
    assert found.exit_code == 2
    assert found.stdout == ""
    assert found.stderr.startswith("kennelward: ")
    assert found.stderr.count("\n") == 1


def test_bad_input_ends_with_1_and_one_line(monkeypatch):
    """A room's complaint reaches the person as one line, whatever it holds."""

    @click.command()
    def command() -> None:
        raise BadInput("the pen is unknown;\n add it first")

    monkeypatch.setattr(type(main), "get_command", lambda *_: command)
    found = run("due")
    assert found.exit_code == 1
    assert found.stderr == "kennelward: the pen is unknown; add it first\n"


def test_a_mistake_of_our_own_is_not_dressed_up_as_bad_input(monkeypatch):
    @click.command()
    def command() -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(type(main), "get_command", lambda *_: command)
    found = run("due")
    assert isinstance(found.exception, ZeroDivisionError)


def test_file_troubles_say_what_to_do(tmp_path):
    missing = FileNotFoundError(2, "No such file", str(tmp_path / "x"))
    assert _file_trouble(missing).endswith("is not there; look at the path again")
    folder = IsADirectoryError(21, "Is a directory", str(tmp_path))
    assert _file_trouble(folder).endswith("is a folder; name a file")


def test_a_stopped_reader_of_our_output_is_no_error():
    """`kennelward handbook | head -1` ends quietly."""
    found = subprocess.run(
        f"{sys.executable} -m kennelward.cli --help | head -c 1",
        shell=True,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert found.stderr == ""


def test_the_help_loads_nothing_heavy():
    """So that it is there at once; measured by what is loaded, not by a clock."""
    code = (
        "import sys\n"
        "from kennelward.cli import main\n"
        "try:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        f"loaded = [m for m in {HEAVY!r} if m in sys.modules]\n"
        "sys.exit(','.join(loaded) or 0)\n"
    )
    found = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert found.returncode == 0, found.stderr


def test_no_words_at_all_show_the_help():
    found = in_new_process()
    assert found.returncode == 2
    assert "Commands:" in found.stdout + found.stderr
