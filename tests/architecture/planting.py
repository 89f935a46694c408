"""A copy of the house in which a test may plant what must not stand there."""

import shutil
import subprocess
import sys
from pathlib import Path

HOUSE = Path(__file__).resolve().parents[2]
BIN = Path(sys.executable).parent


def copy_house(to: Path) -> Path:
    """The package and its configuration, without pictures and other weight."""
    shutil.copytree(
        HOUSE / "src" / "kennelward",
        to / "src" / "kennelward",
        ignore=shutil.ignore_patterns("__pycache__", "static", "templates", "*.toml"),
    )
    shutil.copy(HOUSE / "pyproject.toml", to)
    return to


def plant(house: Path, room: str, line: str) -> Path:
    """A new module in `room` that holds `line`; makes the room where there is none."""
    folder = house / "src" / "kennelward" / room
    folder.mkdir(exist_ok=True)
    (folder / "__init__.py").touch()
    planted = folder / "planted.py"
    planted.write_text(f'"""Planted."""\n\n{line}\n', encoding="utf-8")
    return planted


def run_tool(*command: str | Path, at: Path) -> subprocess.CompletedProcess[str]:
    """One of our checkers, as `start.py check` runs it, in the folder `at`."""
    name, *rest = command
    return subprocess.run(
        [str(BIN / str(name)), *map(str, rest)], cwd=at, capture_output=True, text=True
    )
