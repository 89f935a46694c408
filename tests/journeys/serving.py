"""The desk as a person starts it: a process of its own, with a data folder of its own."""

import os
import re
import shutil
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

ENVIRONMENT_OF_TESTS = re.compile(r"^(DJANGO_|KENNELWARD_|PYTEST_|COVERAGE_)")
PATIENCE_S = 60


@dataclass(kw_only=True)
class RunningDesk:
    """A desk that answers at `address`; `said` is what it has printed."""

    address: str
    port: int
    data: Path
    said: list[str] = field(default_factory=list)

    @property
    def password(self) -> str:
        """The password that a demo desk prints for its owner."""
        for line in self.said:
            if found := re.search(r"(?i)\bpassword\s+(\S+)", line):
                return found.group(1)
        raise AssertionError("the desk printed no password:\n" + "\n".join(self.said))


def free_port() -> int:
    """A port on which nothing listens."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def own_address() -> str:
    """The address of this machine that is not localhost; "" where it has none.

    Nothing is sent: connecting a datagram socket only asks which way it would go.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # TEST-NET-1, RFC 5737: no one's address
            found = str(probe.getsockname()[0])
        except OSError:
            found = ""
    if found in ("", "0.0.0.0"):
        found = socket.gethostbyname(socket.gethostname())
    return "" if found.startswith("127.") else found


def plain_environment() -> dict[str, str]:
    """The environment without what the tests have put in it."""
    return {k: v for k, v in os.environ.items() if not ENVIRONMENT_OF_TESTS.match(k)}


@contextmanager
def serve_desk(data: Path, *options: str) -> Iterator[RunningDesk]:
    """Run `kennelward desk` on `data`, wait until it answers, stop it afterwards."""
    port = free_port()
    command = [sys.executable, "-u", "-m", "kennelward.cli", "desk"]
    process = subprocess.Popen(
        [*command, "--data", str(data), "--port", str(port), *options],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env=plain_environment(),
    )
    desk = RunningDesk(address=f"http://127.0.0.1:{port}", port=port, data=data)
    listener = threading.Thread(target=_listen, args=(process, desk.said), daemon=True)
    listener.start()
    try:
        _wait_until_it_answers(process, desk)
        yield desk
    finally:
        process.terminate()
        try:
            process.wait(timeout=20)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        listener.join(timeout=5)
        if process.stdout:
            process.stdout.close()


def _listen(process: subprocess.Popen[str], said: list[str]) -> None:
    for line in process.stdout or ():
        said.append(line.rstrip())


def _wait_until_it_answers(process: subprocess.Popen[str], desk: RunningDesk) -> None:
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        if process.poll() is not None:
            raise AssertionError("the desk stopped:\n" + "\n".join(desk.said))
        try:
            urllib.request.urlopen(desk.address, timeout=5).close()
            return
        except urllib.error.HTTPError:
            return
        except OSError:
            time.sleep(0.1)
    raise AssertionError("the desk does not answer:\n" + "\n".join(desk.said))


def chromium() -> str:
    """Where the browser is; "" where there is none."""
    for name in ("chromium", "chromium-browser", "google-chrome"):
        if found := shutil.which(name):
            return found
    return ""
