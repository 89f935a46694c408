"""Reading the clock and making luck are bans of the linter, and it catches them."""

import ast
import re
import tomllib

import pytest

from tests.architecture.planting import HOUSE, copy_house, plant, run_tool

CORE = (
    "terms",
    "kennel",
    "evidence",
    "stock",
    "programme",
    "rounds",
    "demo",
    "handbook",
)
COMPUTING = (*CORE[:-2], "reading", "spread", "litters")

CLOCK = [
    "from datetime import datetime\nprint(datetime.now(tz=None))",
    "import datetime as dt\nprint(dt.date.today())",
    "import time\nprint(time.time())",
    "from time import time_ns\nprint(time_ns())",
    "from datetime import UTC, datetime\nprint(datetime.now(UTC))",
]
LUCK = [
    "import random\nprint(random.random())",
    "from random import choice\nprint(choice('ab'))",
    "import numpy as np\nprint(np.random.default_rng(1))",
    "from numpy.random import default_rng\nprint(default_rng())",
    "import os\nprint(os.urandom(4))",
    "import uuid\nprint(uuid.uuid4())",
    "import secrets\nprint(secrets.token_hex())",
]


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    """One copy for the module; what is planted is overwritten by the next."""
    return copy_house(tmp_path_factory.mktemp("house"))


def bans(house, planted):
    """Whether the linter reports a banned name in that file."""
    checked = run_tool(
        "ruff", "check", "--no-cache", "--output-format", "concise", planted, at=house
    )
    return "TID251" in checked.stdout


@pytest.mark.parametrize("line", [*CLOCK, *LUCK])
def test_core_may_neither_read_the_clock_nor_make_luck(house, line):
    """Caught in a core room, allowed in desk and cli."""
    assert bans(house, plant(house, "evidence", line))
    assert not bans(house, plant(house, "desk", line))
    assert not bans(house, plant(house, "cli", line))


@pytest.mark.parametrize("room", CORE)
def test_ban_holds_in_every_core_room(house, room):
    """No room has an exception of its own."""
    assert bans(house, plant(house, room, CLOCK[0]))


def test_exceptions_are_few_and_named():
    """Inside the package only desk, cli and the maker of named streams are free."""
    settings = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))
    free = settings["tool"]["ruff"]["lint"]["per-file-ignores"]
    inside = {
        path
        for path, codes in free.items()
        if path.startswith("src/") and "TID251" in codes
    }
    assert inside == {
        "src/kennelward/desk/**",
        "src/kennelward/cli/**",
        "src/kennelward/terms/streams.py",
    }


def modules(*rooms):
    """Every module of those rooms."""
    for room in rooms:
        yield from sorted((HOUSE / "src" / "kennelward" / room).rglob("*.py"))


def test_no_ban_is_switched_off_in_place():
    """No `noqa` of a ban stands in the core."""
    found = [
        f"{path.name}:{number}"
        for path in modules(*CORE, *COMPUTING)
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if re.search(r"noqa(?!: )|noqa:.*TID251", line)
    ]
    assert found == []


def calls_of(text):
    """Names of the built-in functions that touch the world, where `text` calls them."""
    return [
        node.func.id
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in {"open", "print", "input", "exec", "eval", "breakpoint"}
    ]


def test_computing_rooms_open_no_file_and_print_nothing():
    """The built-in ways out of a pure function, which no import shows."""
    assert calls_of("print(open('x'))") == ["print", "open"]
    found = {
        path.relative_to(HOUSE).as_posix(): calls
        for path in modules(*COMPUTING)
        if (calls := calls_of(path.read_text(encoding="utf-8")))
    }
    assert found == {}
