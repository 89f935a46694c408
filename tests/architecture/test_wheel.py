"""The wheel is whole: another environment could serve the desk from it."""

import subprocess
import sys
import zipfile

import pytest

from tests.architecture.planting import HOUSE

CARRIED = ("*.onnx", "*.toml", "*.html", "*.css", "*.js", "*.svg", "*.mo", "py.typed")


@pytest.mark.slow
def test_wheel_carries_data_templates_and_static_files(tmp_path):
    """Every data file that lies in the package lies in the wheel, too."""
    subprocess.run(
        [
            sys.executable,
            "-m",
            "hatchling",
            "build",
            "-t",
            "wheel",
            "-d",
            str(tmp_path),
        ],
        cwd=HOUSE,
        check=True,
        capture_output=True,
    )
    (wheel,) = tmp_path.glob("kennelward-*.whl")
    names = set(zipfile.ZipFile(wheel).namelist())
    expected = {
        path.relative_to(HOUSE / "src").as_posix()
        for pattern in CARRIED
        for path in (HOUSE / "src" / "kennelward").rglob(pattern)
    }
    kinds = {name.rsplit(".", 1)[-1] for name in expected}
    assert {"toml", "html", "css", "js", "svg", "typed"} <= kinds
    assert expected <= names
    assert any(name.endswith("/migrations/0001_initial.py") for name in names)
    assert not [
        name for name in names if "/tests/" in name or name.endswith(".sqlite3")
    ]
