"""Pages of entries, newest first, filtered by kind, dog and words."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from itertools import groupby, islice

from kennelward.desk.pages.shell.entry_words import EntryLine, entry_line, strikes
from kennelward.kennel import Book, Entry
from kennelward.kennel.facts import KINDS

PAGE = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What of the book is looked for; empty means everything."""

    kind: str = ""
    dog: str = ""
    words: str = ""
    only_struck: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BookPage:
    """One page of the book; `older` is the place to go on from, or None at the end."""

    lines: tuple[EntryLine, ...]
    first: int
    older: int | None
    newer: int | None


def book_page(*, book: Book, wanted: Wanted, skip: int) -> BookPage:
    """Entries from the `skip`th match on. Words are made only as far as needed."""
    found = list(islice(matches(book, wanted), skip, skip + PAGE + 1))
    return BookPage(
        lines=tuple(found[:PAGE]),
        first=skip + 1,
        older=skip + PAGE if len(found) > PAGE else None,
        newer=max(0, skip - PAGE) if skip else None,
    )


def by_day(
    *, book: Book, lines: Iterable[EntryLine]
) -> list[tuple[date, list[EntryLine]]]:
    """Lines under the day on which they were written down, in their order."""
    return [
        (day, list(found))
        for day, found in groupby(
            lines, key=lambda line: book.day_of(line.entry.recorded_at)
        )
    ]


def matches(book: Book, wanted: Wanted) -> Iterator[EntryLine]:
    """Lines of matching entries, by order of receipt, the latest first."""
    why = strikes(book)
    about = {entry.entry for entry in book.about(wanted.dog)} if wanted.dog else None
    words = wanted.words.casefold().split()
    for entry in reversed(book.entries):
        if not _is_wanted(entry, wanted, book, about):
            continue
        line = entry_line(entry=entry, book=book, why=why)
        if words:
            text = f"{line.heading} {line.says} {entry.recorded_by}".casefold()
            if not all(word in text for word in words):
                continue
        yield line


def _is_wanted(
    entry: Entry, wanted: Wanted, book: Book, about: set[str] | None
) -> bool:
    if wanted.kind and entry.fact.kind != wanted.kind:
        return False
    if wanted.only_struck and entry.entry not in book.struck:
        return False
    if about is None:
        return True
    return entry.entry in about or getattr(entry.fact, "dog", None) == wanted.dog


def kinds_in(book: Book) -> list[str]:
    """Kinds of entries the book holds, in the order of the book's words."""
    held = {entry.fact.kind for entry in book.entries}
    return [kind for kind in KINDS if kind in held]
