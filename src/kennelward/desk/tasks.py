"""Long work: a row that a page makes, a worker of its own process, progress and a stop.

The desk starts a worker where there is work and none is at it; it does what waits and
ends. A worker that fell silent (the computer slept, the desk was closed) is seen by its
row, and the work can be asked for again.
"""

import contextlib
import json
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import OperationalError, connection

from kennelward.desk.clock import new_id, now
from kennelward.desk.records.models import TaskRow, TaskState
from kennelward.terms import BadInput

SILENT = timedelta(seconds=90)  # then its process is gone: it beats while it lives
BEAT = timedelta(seconds=10)  # whatever the work does, compiling too
KEPT = 12  # finished tasks of a kind and kennel; older ones are thrown away
EVERY = timedelta(milliseconds=400)  # between two looks at the row
LONGEST_SAID = 500

Told = Callable[[int, int], None]  # done, of how much; raises `Stopped`
Do = Callable[[str, Mapping[str, Any], Told], Mapping[str, Any]]  # kennel, asked, told


class Stopped(Exception):
    """Someone pressed stop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A task as pages see it."""

    task: str
    kind: str
    state: str
    asked: Mapping[str, Any]
    answer: Mapping[str, Any]  # empty until it is done
    says: str
    done: int
    total: int
    made_at: datetime
    made_by: str
    is_silent: bool  # it should be running and gives no sign of life

    @property
    def is_open(self) -> bool:
        """True while there is something to wait for."""
        return self.state in (TaskState.WAITING, TaskState.RUNNING)

    @property
    def in_hundred(self) -> int:
        """How far it is."""
        return min(100, 100 * self.done // self.total) if self.total else 0


def ask(kind: str, asked: Mapping[str, Any], *, kennel: str, by: str) -> str:
    """Put a task in the row of those that wait, and see to it that someone works."""
    row = TaskRow.objects.create(
        kennel_id=kennel,
        task=new_id(),
        kind=kind,
        asked=json.dumps(asked, sort_keys=True),
        made_at=now(),
        made_by=by[:200],
    )
    _throw_away_old(kind, kennel)
    start_worker()
    return str(row.task)


def task(name: str, *, kennel: str) -> Task | None:
    """A kennel's task by id, or None."""
    row = TaskRow.objects.filter(kennel_id=kennel, task=name).first()
    return _seen(row) if row is not None else None


def tasks(kind: str, *, kennel: str) -> list[Task]:
    """A kennel's tasks of a kind, newest first."""
    rows = TaskRow.objects.filter(kennel_id=kennel, kind=kind).order_by("-made_at")
    return [_seen(row) for row in rows]


def stop(name: str, *, kennel: str) -> None:
    """Ask the worker to stop; one that waits is stopped at once."""
    mine = TaskRow.objects.filter(kennel_id=kennel, task=name)
    mine.filter(state=TaskState.WAITING).update(state=TaskState.STOPPED)
    mine.filter(state=TaskState.RUNNING).update(wants_stop=True)
    mine.filter(state=TaskState.RUNNING, seen_at__lt=now() - SILENT).update(
        state=TaskState.STOPPED
    )


def start_worker() -> None:
    """Start a process that does what waits. It opens the same book."""
    around = {k: v for k, v in os.environ.items() if k != "DJANGO_SETTINGS_MODULE"}
    subprocess.Popen(
        [sys.executable, "-m", "kennelward.desk.task_worker"],
        env=around,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,  # a stop of the desk does not cut it mid-write
    )


def work(kinds: Mapping[str, Do]) -> int:
    """Do every task that waits, one after the other; gives how many were done.

    A task is taken by one worker alone: whoever changes its state first.
    """
    finished = 0
    while True:
        row = (
            TaskRow.objects.filter(state=TaskState.WAITING, kind__in=list(kinds))
            .order_by("made_at")
            .first()
        )
        if row is None:
            return finished
        taken = TaskRow.objects.filter(task=row.task, state=TaskState.WAITING).update(
            state=TaskState.RUNNING, seen_at=now()
        )
        if taken:
            _do(row, kinds[row.kind])
            finished += 1


@contextlib.contextmanager
def _beating(task: str) -> Iterator[None]:
    """Mark the row as alive every `BEAT`, so that silence means a process that is gone."""
    over = threading.Event()

    def beat() -> None:
        try:
            while not over.wait(BEAT.total_seconds()):
                with contextlib.suppress(OperationalError):  # busy: the next beat tells
                    TaskRow.objects.filter(task=task).update(seen_at=now())
        finally:
            connection.close()  # this thread's own

    heart = threading.Thread(target=beat, daemon=True)
    heart.start()
    try:
        yield
    finally:
        over.set()
        heart.join()


def _do(row: TaskRow, do: Do) -> None:
    mine = TaskRow.objects.filter(task=row.task)
    last = now()

    def told(done: int, total: int) -> None:
        nonlocal last
        if now() - last < EVERY:
            return
        last = now()
        mine.update(done=done, total=total, seen_at=last)
        if mine.filter(wants_stop=True).exists():
            raise Stopped

    try:
        with _beating(row.task):
            answer = do(row.kennel_id, json.loads(row.asked), told)
    except Stopped:
        mine.update(state=TaskState.STOPPED)
    except BadInput as refused:
        mine.update(state=TaskState.FAILED, says=str(refused)[:LONGEST_SAID])
    except Exception:
        mine.update(
            state=TaskState.FAILED,
            says="Something in the program went wrong. Ask again; if it stays, tell us.",
        )
        raise
    else:
        mine.update(state=TaskState.DONE, answer=json.dumps(answer), seen_at=now())


def _seen(row: TaskRow) -> Task:
    waits_since = row.seen_at or row.made_at
    return Task(
        task=str(row.task),
        kind=row.kind,
        state=str(row.state),
        asked=json.loads(row.asked),
        answer=json.loads(row.answer) if row.answer else {},
        says=row.says,
        done=row.done,
        total=row.total,
        made_at=row.made_at,
        made_by=row.made_by,
        is_silent=row.state in (TaskState.WAITING, TaskState.RUNNING)
        and now() - waits_since > SILENT,
    )


def _throw_away_old(kind: str, kennel: str) -> None:
    ended = TaskRow.objects.filter(kennel_id=kennel, kind=kind).exclude(
        state__in=(TaskState.WAITING, TaskState.RUNNING)
    )
    old = list(ended.order_by("-made_at").values_list("pk", flat=True)[KEPT:])
    TaskRow.objects.filter(pk__in=old).delete()
