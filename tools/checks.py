"""Every check and every test, one after another, with a line on each.

Run by `python3 start.py test`. All checks run even when one fails, so that one run
shows all there is to mend. The tests come last: their summary is the end of the output.
"""

import argparse
import os
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

HERE = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent
SETTINGS = "kennelward.desk.settings_test"
RECORDS = ("tests/desk/records",)  # what must hold on both databases


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="only the fast tests")
    parser.add_argument("--no-tests", action="store_true", help="checks alone")
    asked = parser.parse_args()
    os.chdir(HERE)
    failed = [name for name, command in checks() if not _passes(name, command)]
    if not _lock_names_no_host():
        failed.append("lock")
    if not asked.no_tests:
        failed += _tests(is_quick=asked.quick)
    if failed:
        print(f"\nNot in order: {', '.join(failed)}.", file=sys.stderr)
    return 1 if failed else 0


def checks() -> Sequence[tuple[str, Sequence[str]]]:
    """What is looked at without running our code, quickest first."""
    python = sys.executable
    return (
        ("lint", (_tool("ruff"), "check", "--quiet", ".")),
        ("format", (_tool("ruff"), "format", "--check", "--quiet", ".")),
        ("spelling", (_tool("typos"),)),
        ("storeys", (_tool("lint-imports"), "--no-logo")),
        ("types", (_tool("mypy"),)),
        (
            "migrations",
            (python, "-m", "django", "makemigrations", "--check", "--dry-run"),
        ),
    )


def _tool(name: str) -> str:
    return str(BIN / (f"{name}.exe" if os.name == "nt" else name))


def _passes(name: str, command: Sequence[str]) -> bool:
    """Run one check; say how it went, and what it said where it did not pass."""
    began = time.monotonic()
    done = subprocess.run(
        command,
        capture_output=True,
        text=True,
        errors="replace",
        env={**os.environ, "DJANGO_SETTINGS_MODULE": SETTINGS},
    )
    took = time.monotonic() - began
    print(
        f"  {'ok  ' if done.returncode == 0 else 'FAIL'} {name} ({took:.1f} s)",
        flush=True,
    )
    if done.returncode != 0:
        print(done.stdout + done.stderr, flush=True)
    return done.returncode == 0


def _lock_names_no_host() -> bool:
    """The locks hold names, versions and hashes: no address, no option."""
    wrong = [
        f"{path.relative_to(HERE)}:{number}: {line}"
        for path in sorted((HERE / "requirements").glob("*.txt"))
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if "://" in line or " @ " in line or line.lstrip().startswith(("-", "http"))
        if not line.lstrip().startswith("--hash=sha256:")
    ]
    print(f"  {'FAIL' if wrong else 'ok  '} lock names no host")
    print("".join(f"{line}\n" for line in wrong), end="")
    return not wrong


def _tests(*, is_quick: bool) -> list[str]:
    """The records on PostgreSQL, then everything on SQLite."""
    if is_quick:
        return _pytest("tests", ("-m", "not slow and not browser"), {})
    failed = _pytest(
        "records on PostgreSQL", RECORDS, {"KENNELWARD_TEST_DB": "postgres"}
    )
    return failed + _pytest("tests", _spread(), {})


def _spread() -> tuple[str, ...]:
    """Two processes where there are two cores: the browser mostly waits."""
    return ("-n", "2", "--dist", "loadfile") if (os.cpu_count() or 1) > 1 else ()


def _pytest(name: str, options: Sequence[str], extra: Mapping[str, str]) -> list[str]:
    print(f"\n{name}:", flush=True)
    done = subprocess.run(
        [sys.executable, "-m", "pytest", *options], env={**os.environ, **extra}
    )
    return [] if done.returncode == 0 else [name]


if __name__ == "__main__":
    sys.exit(main())
