"""What `kennelward desk` prints: addresses, a QR code that reads back, how to stop."""

from pathlib import Path
from types import SimpleNamespace

import cv2
import numpy as np
import pytest
from click.testing import CliRunner

from kennelward.cli import main
from kennelward.cli.desk_command import show, square_code

ADDRESS = "http://192.168.178.23:8765/"


def pixels(text: str) -> "np.ndarray":
    """The half-block letters of a terminal as a picture, light on dark."""
    rows = []
    for line in text.splitlines():
        upper = [letter in "█▀" for letter in line]
        lower = [letter in "█▄" for letter in line]
        rows += [upper, lower]
    picture = np.array(rows, dtype=np.uint8) * 255
    return np.kron(picture, np.ones((8, 8), dtype=np.uint8))


def test_the_square_code_holds_the_address(monkeypatch):
    """Drawn as letters, seen as a picture, read by another library."""
    monkeypatch.setattr("sys.stdout", SimpleNamespace(encoding="utf-8"))
    text = square_code(ADDRESS)
    found, *_ = cv2.QRCodeDetector().detectAndDecode(pixels(text))
    assert found == ADDRESS


def test_a_terminal_that_cannot_show_it_gets_none(monkeypatch):
    monkeypatch.setattr("sys.stdout", SimpleNamespace(encoding="ascii"))
    assert square_code(ADDRESS) == ""


def test_it_says_where_the_desk_is_and_how_to_stop_it(capsys):
    ready = SimpleNamespace(
        local="http://127.0.0.1:8765/", network=(ADDRESS,), authority=()
    )
    show(ready, folder=Path("kennel-data"))
    out = capsys.readouterr().out
    assert "http://127.0.0.1:8765/" in out
    assert ADDRESS in out
    assert "kept in kennel-data" in out
    assert "Stop with Ctrl+C" in out


@pytest.mark.parametrize("port", ["-1", "70000", "eight"])
def test_a_port_that_cannot_be_is_a_usage_error(port):
    found = CliRunner().invoke(main, ["desk", "--port", port])
    assert found.exit_code == 2
    assert "port" in found.stderr


def test_a_real_book_is_never_begun_anew():
    found = CliRunner().invoke(main, ["desk", "--fresh"])
    assert found.exit_code == 2
    assert "--fresh goes with --demo" in found.stderr
