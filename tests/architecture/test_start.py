"""start.py: set up once, say clearly what is wrong, leave alone what is not its own."""

import importlib.util
import subprocess
import sys

import pytest

from tests.architecture.planting import HOUSE


@pytest.fixture
def start(tmp_path):
    """The file as a module."""
    spec = importlib.util.spec_from_file_location(
        "start_under_test", HOUSE / "start.py"
    )
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_needs_nothing_but_the_standard_library():
    """Isolated from every installed library, it still answers."""
    done = subprocess.run(
        [sys.executable, "-I", "-S", str(HOUSE / "start.py"), "--help"],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert "--data" in done.stdout


def test_wrong_python_is_told(start, monkeypatch):
    """An older Python gets the sentence that says what to do, not a traceback."""
    text = (HOUSE / "start.py").read_text(encoding="utf-8")
    old = text.replace("sys.version_info < (3, 11)", "sys.version_info < (9, 0)")
    assert old != text
    done = subprocess.run([sys.executable, "-c", old], capture_output=True, text=True)
    assert done.returncode == 1
    assert done.stderr.startswith(
        "Kennelward needs Python 3.11 or newer; this is Python 3."
    )
    assert "Traceback" not in done.stderr


def test_wrong_word_is_a_usage_error():
    """Status 2, and the words there are."""
    done = subprocess.run(
        [sys.executable, str(HOUSE / "start.py"), "dance"],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 2
    assert "shots" in done.stderr


def test_second_start_installs_nothing(start, tmp_path, monkeypatch):
    """With the stamp in place, no installer is asked."""
    env = tmp_path / "env"
    installs = []
    monkeypatch.setattr(start, "_install", lambda *asked: installs.append(asked))
    start.set_up(env, "run")
    assert len(installs) == 1
    start.set_up(env, "run")
    assert len(installs) == 1
    start.set_up(env, "dev")
    assert len(installs) == 2
    start.set_up(env, "run")
    assert len(installs) == 2, "dev holds all that run does"


def test_new_list_is_installed(start, tmp_path, monkeypatch):
    """A changed list of libraries is a reason to set up again."""
    installs = []
    monkeypatch.setattr(start, "_install", lambda *asked: installs.append(asked))
    start.set_up(tmp_path / "env", "run")
    monkeypatch.setattr(start, "_stamp", lambda which: f"{which} of another list")
    start.set_up(tmp_path / "env", "run")
    assert len(installs) == 2


def test_broken_install_is_done_again(start, tmp_path, monkeypatch):
    """Stopped half-way, the next start begins anew."""

    def stops(*_):
        raise start.SetUpFailed("no network")

    monkeypatch.setattr(start, "_install", stops)
    with pytest.raises(start.SetUpFailed):
        start.set_up(tmp_path / "env", "run")
    installs = []
    monkeypatch.setattr(start, "_install", lambda *asked: installs.append(asked))
    start.set_up(tmp_path / "env", "run")
    assert len(installs) == 1


def test_foreign_folder_is_left_alone(start, tmp_path, capsys):
    """A folder with someone's files is no environment; nothing in it changes."""
    (tmp_path / "letters.txt").write_text("mine")
    assert start.main(["setup", "--env", str(tmp_path)]) == 1
    assert "nothing in it was touched" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["letters.txt"]


def test_machine_without_any_pip_is_told(start, tmp_path, monkeypatch, capsys):
    """No uv, no pip, no ensurepip: the message names the package to install."""
    monkeypatch.setattr(start, "_runs", lambda command: False)
    assert start.main(["setup", "--env", str(tmp_path / "env")]) == 1
    assert "sudo apt install python3-pip" in capsys.readouterr().err


def test_way_that_fails_is_followed_by_the_next(start, tmp_path, monkeypatch):
    """Where uv cannot fetch, pip is tried."""
    ways = iter([("uv", ["uv"], []), ("pip", ["pip"], [])])
    monkeypatch.setattr(start, "_installers", lambda python: ways)
    asked = []

    def fetch(command, name, wanted):
        asked.append(name)
        return name == "pip"

    monkeypatch.setattr(start, "_fetch", fetch)
    start._install(tmp_path / "python", HOUSE / "requirements" / "run.txt")
    assert asked == ["uv", "pip", "pip"]


def test_hashes_are_required_and_no_compiler_runs(start, tmp_path, monkeypatch):
    """pip gets `--require-hashes` and wheels only."""
    monkeypatch.setattr(start, "_installers", lambda python: [("pip", ["pip"], [])])
    commands = []
    monkeypatch.setattr(
        start, "_fetch", lambda command, name, wanted: commands.append(command) or True
    )
    start._install(tmp_path / "python", HOUSE / "requirements" / "run.txt")
    libraries, house = commands
    assert "--require-hashes" in libraries
    assert libraries[libraries.index("--only-binary") + 1] == ":all:"
    assert "--no-deps" in house
