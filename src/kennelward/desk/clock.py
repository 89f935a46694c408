"""The clock and the luck of the desk, in one place."""

import os
from datetime import UTC, date, datetime

from kennelward.kennel import Book, uuid7
from kennelward.kennel.ids import RANDOM_BYTES


def now() -> datetime:
    """This moment, in UTC."""
    return datetime.now(UTC)


def today(book: Book) -> date:
    """Today, by the kennel's own calendar."""
    return book.day_of(now())


def new_id() -> str:
    """A fresh UUIDv7, as text."""
    return uuid7(at=now(), noise=os.urandom(RANDOM_BYTES))
