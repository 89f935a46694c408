"""Set Kennelward up and start it, with nothing but Python 3.11 or newer.

    python3 start.py            the main job on a demo kennel, then the desk
    python3 start.py test       every check and every test

On Windows: `py start.py`. Standard library only: this file runs before anything is
installed. It makes an environment in `.venv`, fills it from the hashed list in
`requirements/`, and does nothing where that is already done.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036 - older ones do get here
    sys.exit(
        f"Kennelward needs Python 3.11 or newer; this is Python {sys.version.split()[0]}.\n"
        "Install a newer one, then start with it, for example: python3.11 start.py"
    )

import argparse
import hashlib
import json
import os
import shutil
import subprocess
import venv
from collections.abc import Iterator, Sequence
from pathlib import Path

HERE = Path(__file__).resolve().parent
STAMP = "kennelward-stamp.json"
NO_PIP = """\
This Python has no pip, and none of the other ways to fetch libraries is here either.
Install one of them, then run the same command again:
  Debian, Ubuntu:   sudo apt install python3-pip     (or python3-venv)
  Fedora:           sudo dnf install python3-pip
  elsewhere:        uv, or a Python from its makers, which brings pip with it
Tried: """
DEVELOPERS_WORDS = {
    "setup": ("-c", "print('The environment for developers is in place.')"),
    "test": ("tools/checks.py",),
    "check": ("tools/checks.py", "--no-tests"),
    "bench": ("tools/bench.py",),
    "shots": ("tools/shots.py",),
    "messages": ("tools/messages.py",),
}


class SetUpFailed(Exception):
    """Setting up stopped; the message says where and what to do."""


def main(arguments: Sequence[str]) -> int:
    """Read the command line, set up, do what was asked; the exit status."""
    try:
        if arguments[:1] == ["tool"] and len(arguments) > 1:
            python = set_up(HERE / ".venv", "dev")
            return _call([_tool(python, arguments[1]), *arguments[2:]])
        asked = _parse(arguments)
        env = Path(asked.env).resolve()
        if asked.what == "run":
            return run(env, asked)
        python = set_up(env, "dev")
        return _call([str(python), *DEVELOPERS_WORDS[asked.what], *_quick(asked)])
    except SetUpFailed as stopped:
        print(f"\nstart.py: {stopped}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.")
        return 130


def run(env: Path, asked: argparse.Namespace) -> int:
    """The main job on the demo kennel in the terminal, then the desk."""
    python = set_up(env, "run")
    kennelward = [str(python), "-m", "kennelward.cli"]
    done = _call([*kennelward, "demo"])
    if done != 0 or asked.once:
        return done
    data = Path(asked.data).expanduser().resolve()
    serve = [*kennelward, "desk", "--data", str(data)]
    if asked.port:
        serve += ["--port", str(asked.port)]
    if asked.tls:
        serve += ["--tls"]
    return _call(serve)


def set_up(env: Path, which: str) -> Path:
    """Make `env` hold the libraries of `requirements/{which}.txt`; its Python.

    `dev` holds all that `run` does. Nothing is fetched when the stamp in `env` says
    that this very list is in place.
    """
    python = _python_of(env)
    stamps = {name: _stamp(name) for name in ("run", "dev")}
    known = _read_stamp(env)
    good = known in ({stamps["dev"]} if which == "dev" else set(stamps.values()))
    if good and _answers(python):
        return python
    print(f"Setting up in {env} (once; again only when the list of libraries changes).")
    _make(env, python)
    (env / STAMP).unlink(missing_ok=True)
    _install(python, HERE / "requirements" / f"{which}.txt")
    (env / STAMP).write_text(json.dumps({"stamp": stamps[which]}), encoding="utf-8")
    print("Set up.\n")
    return python


def _quick(asked: argparse.Namespace) -> list[str]:
    return ["--quick"] if asked.quick and asked.what in ("test", "bench") else []


def _stamp(which: str) -> str:
    """What is to be installed, as one hash: the list, our own needs, this Python."""
    digest = hashlib.sha256(f"{sys.version_info[:2]} {HERE}".encode())
    for name in (f"requirements/{which}.txt", "pyproject.toml"):
        digest.update((HERE / name).read_bytes())
    return f"{which} {digest.hexdigest()}"


def _read_stamp(env: Path) -> str:
    try:
        found = json.loads((env / STAMP).read_text(encoding="utf-8"))
        return str(found["stamp"])
    except (OSError, ValueError, KeyError):
        return ""


def _python_of(env: Path) -> Path:
    return env / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def _tool(python: Path, name: str) -> str:
    return str(python.parent / (f"{name}.exe" if os.name == "nt" else name))


def _answers(python: Path) -> bool:
    """Whether that interpreter is there and runs this version."""
    try:
        says = subprocess.run(
            [str(python), "-c", "import sys; print(*sys.version_info[:2])"],
            capture_output=True,
            text=True,
            timeout=60,
            check=True,
        ).stdout
    except (OSError, subprocess.SubprocessError):
        return False
    return says.split() == [str(part) for part in sys.version_info[:2]]


def _make(env: Path, python: Path) -> None:
    """An environment without pip: Debian's Python cannot always put one in."""
    if env.exists() and any(env.iterdir()) and not (env / "pyvenv.cfg").exists():
        raise SetUpFailed(
            f"{env} is there already and is no Python environment; name another "
            "folder with --env, nothing in it was touched"
        )
    if _answers(python):
        return
    try:
        venv.EnvBuilder(with_pip=False, clear=True, symlinks=os.name != "nt").create(
            env
        )
    except OSError as error:
        raise SetUpFailed(
            f"could not make an environment in {env}: {error.strerror or error}; "
            "name a folder that you may write to with --env"
        ) from error


def _install(python: Path, wanted: Path) -> None:
    """Fill the environment by the first way that works; the reasons where none does."""
    tried = []
    for name, installer, compiles in _installers(python):
        libraries = [*installer, "--require-hashes", *compiles, "-r", str(wanted)]
        if "pip" in name and "uv" not in name:
            libraries += ["--only-binary", ":all:"]
        house = [*installer, "--no-deps", "--no-build-isolation", "-e", str(HERE)]
        if _fetch(libraries, name, wanted) and _fetch(house, name, wanted):
            return
        tried.append(name)
    if tried:
        raise SetUpFailed(
            f"the libraries could not be installed (tried {', '.join(tried)}; what they "
            "said stands above). Is the machine on the network? Then run this again"
        )
    raise SetUpFailed(NO_PIP + "uv, pip, ensurepip, pip beside this file")


def _installers(python: Path) -> Iterator[tuple[str, list[str], list[str]]]:
    """Every way to install into `python` that this machine has, quickest first."""
    into = ["--python", str(python)]
    uv = shutil.which("uv")
    if uv and _runs([uv, "--version"]):
        yield "uv", [uv, "pip", "install", *into], ["--compile-bytecode"]
    options = ["install", "--no-input", "--progress-bar", "off"]
    quiet = ["--disable-pip-version-check"]
    ours = [sys.executable, "-m", "pip"]
    if _runs([*ours, *into, "--version"]):
        yield "pip", [*ours, *quiet, *into, *options], []
    theirs = [str(python), "-m", "pip"]
    if _runs([*theirs, "--version"]) or _runs([str(python), "-m", "ensurepip"]):
        yield "pip of the environment", [*theirs, *quiet, *options], []
    for found in (shutil.which("pip3"), shutil.which("pip"), HERE / "pip.pyz"):
        if found and Path(found).exists():
            command = (
                [found] if Path(found).suffix != ".pyz" else [sys.executable, found]
            )
            text = [str(part) for part in command]
            if _runs([*text, *into, "--version"]):
                yield f"pip at {found}", [*text, *quiet, *into, *options], []


def _runs(command: Sequence[str]) -> bool:
    try:
        return subprocess.run(command, capture_output=True, timeout=120).returncode == 0
    except (OSError, subprocess.SubprocessError):
        return False


def _fetch(command: Sequence[str], name: str, wanted: Path) -> bool:
    """Run one installer, counting what it has got; its last words where it fails."""
    total = sum(
        1 for line in wanted.read_text(encoding="utf-8").splitlines() if "==" in line
    )
    said: list[str] = []
    is_terminal = sys.stdout.isatty()
    started = subprocess.Popen(
        command,
        cwd=HERE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        env={**os.environ, "UV_LINK_MODE": "copy", "PIP_ROOT_USER_ACTION": "ignore"},
    )
    count = 0
    for line in started.stdout or ():
        said.append(line.rstrip())
        if line.startswith("Collecting "):
            count += 1
            if is_terminal:
                print(f"\r  {name}: {count} of about {total} ", end="", flush=True)
    if is_terminal and count:
        print("\r" + " " * 60, end="\r")
    if started.wait() == 0:
        return True
    print(f"  {name} did not manage it:")
    print("\n".join(f"    {line}" for line in said[-12:]))
    return False


def _call(command: Sequence[str]) -> int:
    """Run in the foreground from the checkout; the exit status."""
    environment = {**os.environ, "PYTHONUTF8": "1"}
    with subprocess.Popen(command, cwd=HERE, env=environment) as started:
        try:
            return started.wait()
        except KeyboardInterrupt:  # it has had the same key; let it close its book
            return started.wait(timeout=30)


def _parse(arguments: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="start.py",
        description="Set Kennelward up, do the main job on a demo kennel, serve the desk.",
        epilog="Other words: test (every check and test), check (no tests), bench, "
        "shots (pictures of the desk), messages (the texts to translate), setup (only "
        "set up), tool NAME … (a checker).",
    )
    words = ("run", "test", "check", "bench", "shots", "messages", "setup")
    parser.add_argument("what", nargs="?", default="run", choices=words, metavar="WORD")
    parser.add_argument(
        "--data",
        metavar="FOLDER",
        default=os.environ.get("KENNELWARD_DATA", str(HERE / "kennel-data")),
        help="where the kennel's book and photos live (kennel-data beside this file)",
    )
    parser.add_argument("--port", type=int, help="the desk's port")
    parser.add_argument(
        "--tls", action="store_true", help="serve over https, so that a phone may ring"
    )
    parser.add_argument("--once", action="store_true", help="stop after the main job")
    parser.add_argument(
        "--quick", action="store_true", help="test: only the fast tests"
    )
    parser.add_argument(
        "--env",
        metavar="FOLDER",
        default=str(HERE / ".venv"),
        help="where the environment is made (.venv beside this file)",
    )
    return parser.parse_args(arguments)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
