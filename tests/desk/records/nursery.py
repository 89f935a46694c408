"""Opens a book, then forks writers of it: four at once, or one after another to be killed.

Run as a program of its own: forking a test runner with its threads is asking for trouble.
Forking saves loading Django 200 times.
"""

import hashlib
import json
import os
import random
import select
import signal
import sys
import threading
import time
from datetime import UTC, datetime

from kennelward import desk
from kennelward.kennel import facts as f

AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def begin() -> str:
    """A kennel in the folder the environment names."""
    desk.open_book()
    from django.db import connections

    owner = desk.start_kennel(
        facts=f.KennelDescribed(name="Killed often"),
        username="mara",
        password="three-brown-buckets",
        at=AT,
    )
    kennel = owner.kennels.get().kennel_id
    connections.close_all()  # a child must not share its parent's connection
    return kennel


def note(text: str, entry: str = "") -> "desk.NewEntry":
    return desk.NewEntry(
        entry=entry or desk.new_id(), fact=f.Noted(about="kennel", text=text)
    )


def write_until_killed(kennel: str, acknowledge: int) -> None:
    """Save two entries at once, or a photo, and tell only after it was saved."""
    from kennelward.desk import photos

    for number in range(100_000):
        pair = [note(f"note {number}"), note(f"note {number}, second line")]
        desk.record(pair, kennel=kennel, by="mara", at=AT)
        os.write(acknowledge, "".join(f"e {one.entry}\n" for one in pair).encode())
        if number % 3 == 0:
            data = hashlib.sha256(os.urandom(8)).digest() * 2000
            sha256 = photos.keep(data, kennel=kennel, stored_by="mara", at=AT)
            os.write(acknowledge, f"p {sha256}\n".encode())


def kill_writers(kennel: str, *, times: int, seed: int) -> dict:
    """Fork a writer, kill it at a random moment, `times` times over."""
    rng = random.Random(seed)
    told: list[str] = []
    mute = 0
    for turn in range(times):
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            try:
                write_until_killed(kennel, writing)
            finally:
                os._exit(3)
        os.close(writing)
        if turn % 3:  # two of three are killed somewhere after their first save
            select.select([reading], [], [], 30)
        time.sleep(rng.uniform(0.0, 0.08))
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        assert os.WIFSIGNALED(status), f"the writer ended by itself: {status}"
        with os.fdopen(reading, "rb") as pipe:
            lines = pipe.read().decode().split("\n")[:-1]  # a half line was never told
        mute += not lines
        told += lines
    return {"told": told, "mute": mute}


def write_at_once(kennel: str, *, writers: int, each: int, shared: list[str]) -> None:
    """Each saves its own entries, and all save the same shared ones."""
    children = []
    for writer in range(writers):
        child = os.fork()
        if child == 0:
            status = 1
            try:
                write_own(kennel, writer=writer, each=each, shared=shared)
                status = 0
            finally:
                os._exit(status)
        children.append(child)
    for child in children:
        _, status = os.waitpid(child, 0)
        assert status == 0, "a writer failed"


def write_own(kennel: str, *, writer: int, each: int, shared: list[str]) -> None:
    for number in range(each):
        desk.record([note(f"{writer}:{number}")], kennel=kennel, by=f"p{writer}", at=AT)
        if number < len(shared):
            same = note("the same thing", shared[number])
            desk.record([same], kennel=kennel, by=f"p{writer}", at=AT)


def write_in_threads(kennel: str, *, writers: int, each: int) -> None:
    """The same in threads of one process, as the desk serves."""
    failed: list[BaseException] = []

    def work(writer: int) -> None:
        from django.db import connection

        try:
            write_own(kennel, writer=writer, each=each, shared=[])
        except BaseException as error:  # noqa: BLE001 - told to who waits for it
            failed.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=work, args=(one,)) for one in range(writers)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not failed, failed


def main(what: str, *numbers: str) -> None:
    """Do it, then say as JSON what stands in the book."""
    kennel = begin()
    told: dict = {}
    shared: list[str] = []
    if what == "kill":
        told = kill_writers(kennel, times=int(numbers[0]), seed=int(numbers[1]))
    else:
        writers, each = int(numbers[0]), int(numbers[1])
        if what == "processes":
            shared = [desk.new_id() for _ in range(5)]
            write_at_once(kennel, writers=writers, each=each, shared=shared)
        else:
            write_in_threads(kennel, writers=writers, each=each)
    from kennelward.desk.records import queries

    queries.forget()
    found = desk.verify(kennel)
    book = desk.snapshot(kennel)
    for line in told.get("told", []):
        if line.startswith("p "):
            desk.photo(kennel, line[2:])  # raises where it is lost or changed
    ids = {entry.entry for entry in book.entries}
    lost = [
        one
        for one in told.get("told", [])
        if one.startswith("e ") and one[2:] not in ids
    ]
    print(
        json.dumps(
            {
                "ok": found.ok,
                "problem": found.problem,
                "count": found.count,
                "in_book": len(book.entries),
                "told": len(told.get("told", [])),
                "mute": told.get("mute", 0),
                "lost": lost,
                "shared": sum(one in ids for one in shared),
                "texts": len({getattr(e.fact, "text", "") for e in book.entries}),
            }
        )
    )


if __name__ == "__main__":
    main(*sys.argv[1:])
