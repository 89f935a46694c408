"""A command loads what it needs and nothing else: seen in a process of its own."""

import json
import subprocess
import sys

import pytest

HEAVY = {"django", "scipy", "cv2", "PIL", "numba", "pandas", "cheroot", "cryptography"}
SHOW_LOADED = """
import json, sys
{code}
roots = {{name.split(".")[0] for name in sys.modules}}
print(json.dumps(sorted(roots)), file=sys.stderr)
"""


def loaded_by(code):
    """The heavy libraries in memory once `code` has run in a new process."""
    done = subprocess.run(
        [sys.executable, "-c", SHOW_LOADED.format(code=code)],
        capture_output=True,
        text=True,
        check=True,
    )
    return HEAVY & set(json.loads(done.stderr.strip().splitlines()[-1]))


def command(*arguments):
    """Code that runs one `kennelward` command and lives on."""
    return (
        "from kennelward.cli import main\n"
        "try:\n"
        f"    main({list(arguments)!r})\n"
        "except SystemExit as left:\n"
        "    assert left.code in (0, None), left.code\n"
    )


def test_the_look_works():
    """It does see a heavy library, also one that another brought in."""
    assert loaded_by("import scipy.stats") >= {"scipy"}
    assert loaded_by("import PIL.Image, cv2") == {"PIL", "cv2"}


@pytest.mark.parametrize("room", ["terms", "kennel", "evidence", "litters", "stock"])
def test_room_opens_lightly(room):
    """No computing room but reading loads a heavy library when it is imported."""
    assert loaded_by(f"import kennelward.{room}") == set()


def test_the_simulator_loads_its_compiler_only_when_it_runs():
    """Its door is light; the engine behind it is not."""
    assert loaded_by("import kennelward.spread.simulate") == set()


@pytest.mark.parametrize("room", ["programme", "handbook", "rounds", "desk"])
def test_upper_room_opens_without_django(room):
    """Rules, numbers and whole jobs are there without a database."""
    assert "django" not in loaded_by(f"import kennelward.{room}")


def test_help_is_light():
    """`kennelward --help` loads nothing heavy."""
    assert loaded_by(command("--help")) == set()


def test_interpret_loads_neither_database_nor_imaging():
    """One result, interpreted: no Django, no OpenCV."""
    asked = command(
        "interpret", "--kit", "giardia-antigen", "--result", "positive", "--age-weeks", "9",
        "--sign", "soft-stool", "--arrived-days", "3", "--json",
    )  # fmt: skip
    assert loaded_by(asked) & {"django", "cv2", "PIL", "cheroot"} == set()


def test_handbook_loads_neither_database_nor_imaging():
    """Looking a number up needs no database."""
    assert loaded_by(command("handbook", "--json")) & {"django", "cv2", "PIL"} == set()


def test_read_loads_no_database(tmp_path):
    """Reading photos needs imaging and no Django."""
    from kennelward.demo.scenes import draw_strip_photo
    from kennelward.terms import stream

    photo = tmp_path / "strip.jpg"
    photo.write_bytes(
        draw_strip_photo(test_od=0.3, control_od=0.5, rng=stream(7, "light.start"))
    )
    loaded = loaded_by(
        command("read", str(photo), "--kit", "giardia-antigen", "--json")
    )
    assert "django" not in loaded
    assert "cv2" in loaded
