"""Each import contract holds, and catches what it is there for."""

import re
import shutil
import subprocess
import tomllib

import pytest

from tests.architecture.planting import HOUSE, copy_house, plant, run_tool

STOREYS = "A room imports only from storeys below"
DJANGO = "Only desk knows Django"
IMAGING = "Only reading, and the demo's strip scenes, know imaging libraries"
PURE = (
    "Only cli, desk, papers, demo and handbook touch disk, network, processes or logs"
)

# where it is planted, the line, the contract that must catch it
PLANTED = [
    ("terms", "import kennelward.kennel", STOREYS),
    ("kennel", "from kennelward.stock import planted_elsewhere", STOREYS),
    ("reading", "import kennelward.evidence", STOREYS),
    ("evidence", "import kennelward.spread", STOREYS),
    ("stock", "import kennelward.litters", STOREYS),
    ("stock", "import kennelward.programme", STOREYS),
    ("programme", "import kennelward.handbook", STOREYS),
    ("handbook", "import kennelward.rounds", STOREYS),
    ("rounds", "import kennelward.demo", STOREYS),
    ("rounds", "import kennelward.desk", STOREYS),
    ("papers", "import kennelward.demo", STOREYS),
    ("demo", "import kennelward.desk", STOREYS),
    ("desk", "import kennelward.cli", STOREYS),
    ("attic", "import kennelward.terms", STOREYS),
    ("kennel", "from django.utils import timezone", DJANGO),
    ("rounds", "import django", DJANGO),
    ("cli", "from django.conf import settings", DJANGO),
    ("demo", "import psycopg", DJANGO),
    ("evidence", "import cv2", IMAGING),
    ("desk", "from PIL import Image", IMAGING),
    ("cli", "import PIL.Image", IMAGING),
    ("terms", "from pathlib import Path", PURE),
    ("evidence", "import os", PURE),
    ("reading", "import urllib.request", PURE),
    ("programme", "import tomllib", PURE),
    ("rounds", "import logging", PURE),
]


def contracts_broken(checked: subprocess.CompletedProcess[str]) -> set[str]:
    """The names of the contracts that the tool reports as broken."""
    return set(re.findall(r"^(.+?) *BROKEN(?: \(.*\))?$", checked.stdout, re.MULTILINE))


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    """One copy for the module, every room of the plan in it; tests tidy up."""
    house = copy_house(tmp_path_factory.mktemp("house"))
    for room in {room for room, _, _ in PLANTED} - {"attic"} | {"spread", "litters"}:
        plant(house, room, "").unlink()
    return house


def check(house):
    """Run the import contracts on the copy."""
    return run_tool(
        "lint-imports",
        "--no-logo",
        "--no-cache",
        house / "pyproject.toml",
        at=house / "src",
    )


def test_house_keeps_its_contracts(house):
    """As it stands, no contract is broken."""
    checked = check(house)
    assert checked.returncode == 0, checked.stdout
    assert contracts_broken(checked) == set()


@pytest.mark.parametrize(("room", "line", "contract"), PLANTED)
def test_planted_import_is_caught(house, room, line, contract):
    """The line breaks just the contract that bans it."""
    was_there = (house / "src" / "kennelward" / room).exists()
    planted = plant(house, room, line)
    try:
        checked = check(house)
    finally:
        planted.unlink()
        if not was_there:
            shutil.rmtree(planted.parent)
    assert checked.returncode == 1, checked.stdout
    assert contracts_broken(checked) == {contract}, checked.stdout


def test_every_contract_has_a_planted_violation():
    """A contract added later is not left unproven."""
    settings = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))
    names = {c["name"] for c in settings["tool"]["importlinter"]["contracts"]}
    assert names == {contract for _, _, contract in PLANTED}
