"""A process that does the tasks that wait and ends: `python -m kennelward.desk.task_worker`.

Started by the desk. It opens the book that KENNELWARD_DATA names.
"""

import contextlib
import os
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from typing import Any

FORESEE = "foresee"
TRACE = "trace"


def main() -> None:
    """Open the book, do what waits. Yields to the desk, which people wait for."""
    from kennelward import desk

    if hasattr(os, "nice"):
        with contextlib.suppress(OSError):
            os.nice(10)
    desk.open_book(None)
    from kennelward.desk.tasks import work

    work({FORESEE: foresee, TRACE: trace})


def foresee(kennel: str, asked: Mapping[str, Any], told: Any) -> Mapping[str, Any]:
    """What may happen, for what a form asked. Raises `BadInput` for what cannot be."""
    from kennelward import desk
    from kennelward.desk.pages.foresee.asked import asked_of
    from kennelward.rounds import answer_as_plain, plan_outbreak, prepare_outbreak

    book = desk.snapshot(kennel)
    prepared = prepare_outbreak(
        book=book,
        handbook=desk.handbook(kennel),
        on=desk.today(book),
        asked=asked_of(asked),
    )
    told(0, prepared.runs)
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        answer = plan_outbreak(prepared, workers=pool, said=told)
    return answer_as_plain(answer, name_of=book.name_of)


def trace(kennel: str, asked: Mapping[str, Any], told: Any) -> Mapping[str, Any]:
    """Where an infection may be, from one dog. Raises `BadInput` for what cannot be."""
    from kennelward import desk
    from kennelward.rounds.trace_and_contain import trace_and_contain
    from kennelward.rounds.trace_json import tracing_as_plain

    book = desk.snapshot(kennel)
    told(0, 1)
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        traced = trace_and_contain(
            book=book,
            handbook=desk.handbook(kennel),
            dog=asked["dog"],
            infection=asked["infection"],
            on=desk.today(book),
            seed=1,
            workers=pool,
        )
    told(1, 1)
    return tracing_as_plain(traced, book=book)


if __name__ == "__main__":
    main()
