"""Several people saving at once, and a desk killed while saving."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
WRITERS, EACH = 4, 40


@pytest.fixture
def apart(tmp_path):
    """Environment of a book of its own, on the database this run is about."""
    env = dict(os.environ)
    for name in ("DJANGO_SETTINGS_MODULE", "KENNELWARD_DATABASE"):
        env.pop(name, None)
    env["KENNELWARD_DATA"] = str(tmp_path / "data")
    server = os.environ.get("KENNELWARD_DATABASE")
    if not server:
        yield env
        return
    import psycopg

    name = f"apart_{os.getpid()}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
        connection.execute(f"CREATE DATABASE {name}")
    env["KENNELWARD_DATABASE"] = server.replace("/postgres?", f"/{name}?")
    assert env["KENNELWARD_DATABASE"] != server
    yield env
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")


def nursery(env, *words, timeout=120):
    done = subprocess.run(
        [sys.executable, "-m", "tests.desk.records.nursery", *map(str, words)],
        env=env,
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=timeout,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return json.loads(done.stdout.splitlines()[-1])


def test_four_processes_at_once_lose_nothing(apart):
    """All land, in one chain that does not fork; the same thing saved by all is one entry."""
    found = nursery(apart, "processes", WRITERS, EACH)
    assert found["ok"], found["problem"]
    assert found["count"] == 1 + WRITERS * EACH + 5
    assert found["shared"] == 5
    assert found["texts"] == 2 + WRITERS * EACH  # each note once


def test_four_threads_at_once_lose_nothing(apart):
    """As the desk serves."""
    found = nursery(apart, "threads", WRITERS, EACH)
    assert found["ok"], found["problem"]
    assert found["count"] == 1 + WRITERS * EACH


def check_killed(found, times):
    assert found["ok"], found["problem"]
    assert found["lost"] == []
    assert found["count"] == found["in_book"]
    assert found["told"] > times, "too few saves between kills to mean anything"
    assert found["mute"] <= times / 3 + 1, "too many were killed before they wrote"


def test_killed_twelve_times(apart):
    """A short form of the test below, for every run."""
    check_killed(nursery(apart, "kill", 12, 7), 12)


@pytest.mark.slow
def test_killed_two_hundred_and_twenty_times(apart):
    """No acknowledged entry or photo is lost, and the chain verifies."""
    check_killed(nursery(apart, "kill", 220, 11, timeout=300), 220)
