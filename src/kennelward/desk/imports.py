"""Dogs from a CSV table: every problem is named by row and column before a word is written."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from kennelward.desk.clock import new_id
from kennelward.desk.import_cells import (
    COLUMNS,
    Cells,
    ImportProblem,
    read_row,
)
from kennelward.desk.import_table import ReadTable, read_table
from kennelward.desk.records.new_entry import NewEntry
from kennelward.desk.records.queries import snapshot
from kennelward.desk.records.writes import Writer, record
from kennelward.kennel import Book, Entry, check_entry
from kennelward.kennel import facts as f
from kennelward.terms import BadInput

__all__ = ["COLUMNS", "ImportProblem", "ImportReport", "ImportedDog", "import_dogs"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportedDog:
    """A row that can be written."""

    row: int  # as a spreadsheet counts: the header is row 1
    described: f.DogDescribed
    pen: str = ""  # id, or empty
    arrived_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportReport:
    """What a table holds, what is wrong with it, and what was written."""

    rows: tuple[ImportedDog, ...]  # the good ones
    problems: tuple[ImportProblem, ...]
    notes: tuple[str, ...]  # how the file was read
    written: int  # dogs; 0 on a dry run


def import_dogs(
    *,
    kennel: str,
    data: bytes,
    by: Writer,
    at: datetime,
    dry_run: bool = True,
    accept_problems: bool = False,
) -> ImportReport:
    """Read a table of dogs and, unless it is a dry run, write its dogs: all or none.

    Where there are problems nothing is written, unless `accept_problems`: then the good
    rows are. Dogs of the table can be named as dam and sire by name. Raises `BadInput`
    for a file that is no table at all.
    """
    table = read_table(data)
    book = snapshot(kennel)
    rows, problems = _read_rows(table, book, on=book.day_of(at))
    rows, more = _with_parents(rows, table, book)
    problems += more
    rows, more = _that_can_be_true(rows, book, kennel=kennel, at=at)
    problems += more
    bad = {problem.row for problem in problems}
    good = [row for row in rows if row.row not in bad]
    written = 0
    if not dry_run and good and (accept_problems or not problems):
        record(_entries(good, book, at=at), kennel=kennel, by=by, at=at)
        written = len(good)
    return ImportReport(
        rows=tuple(good),
        problems=tuple(sorted(problems, key=lambda one: (one.row, one.column))),
        notes=table.notes,
        written=written,
    )


def _read_rows(
    table: ReadTable, book: Book, *, on: date
) -> tuple[list[ImportedDog], list[ImportProblem]]:
    """Each row by itself, then names and chips that come twice."""
    rows: list[ImportedDog] = []
    problems: list[ImportProblem] = []
    pens = {card.name.casefold(): pen for pen, card in book.pens.items()}
    chips = {
        card.described.chip: card.name
        for card in book.dogs.values()
        if card.described.chip
    }
    born = {
        (card.name.casefold(), card.described.born_on): "the book"
        for card in book.dogs.values()
    }
    for number, cells in table.rows:
        reader = Cells(row=number, values=cells)
        read = read_row(reader, pens=pens, on=on)
        problems += reader.problems
        if read is None:
            continue
        described, pen, arrived_on = read
        twice = _twice(described, number, chips=chips, born=born)
        problems += twice
        if not twice:
            rows.append(
                ImportedDog(
                    row=number, described=described, pen=pen, arrived_on=arrived_on
                )
            )
    return rows, problems


def _twice(
    dog: f.DogDescribed,
    row: int,
    *,
    chips: dict[str, str],
    born: dict[tuple[str, date], str],
) -> list[ImportProblem]:
    """Problems of a dog that is in the book, or higher up in the table, already."""
    found = []
    if dog.chip and dog.chip in chips:
        says = f"chip {dog.chip} belongs to {chips[dog.chip]} already"
        found.append(ImportProblem(row=row, column="chip", says=says))
    key = (dog.name.casefold(), dog.born_on)
    if key in born:
        says = f"a dog {dog.name!r} born {dog.born_on} is in {born[key]} already"
        found.append(ImportProblem(row=row, column="name", says=says))
    if dog.chip:
        chips.setdefault(dog.chip, dog.name)
    born.setdefault(key, f"row {row}")
    return found


def _with_parents(
    rows: list[ImportedDog], table: ReadTable, book: Book
) -> tuple[list[ImportedDog], list[ImportProblem]]:
    """Dams and sires, named in the table, as ids."""
    known: dict[str, list[tuple[str, str]]] = {}
    for card in book.dogs.values():
        known.setdefault(card.name.casefold(), []).append(
            (card.dog, card.described.sex)
        )
    for row in rows:
        dog = row.described
        known.setdefault(dog.name.casefold(), []).append((dog.dog, dog.sex))
    births = {card.dog: card.described.born_on for card in book.dogs.values()}
    births |= {row.described.dog: row.described.born_on for row in rows}
    cells = dict(table.rows)
    problems: list[ImportProblem] = []
    found: list[ImportedDog] = []
    for row in rows:
        parents: dict[str, Any] = {}
        for column, sex in (("dam", "bitch"), ("sire", "dog")):
            name = cells[row.row].get(column, "").strip()
            if not name:
                continue
            ids = [one for one, its in known.get(name.casefold(), []) if its == sex]
            if len(ids) == 1 and births[ids[0]] < row.described.born_on:
                parents[column] = ids[0]
            elif len(ids) == 1:
                says = f"{name!r} was not born before this dog; look at both days"
                problems.append(ImportProblem(row=row.row, column=column, says=says))
            else:
                says = (
                    f"no {sex} called {name!r} in the book or the table; leave it empty"
                    if not ids
                    else f"{len(ids)} of them are called {name!r}; leave it empty"
                )
                problems.append(ImportProblem(row=row.row, column=column, says=says))
        found.append(replace(row, described=replace(row.described, **parents)))
    return found, problems


def _that_can_be_true(
    rows: list[ImportedDog], book: Book, *, kennel: str, at: datetime
) -> tuple[list[ImportedDog], list[ImportProblem]]:
    """The book's own checks on each dog: an age of 30 years, text too long."""
    problems: list[ImportProblem] = []
    good: list[ImportedDog] = []
    for row in rows:
        alone = replace(row.described, dam="", sire="")  # parents may be in the table
        entry = Entry(
            entry=new_id(),
            kennel=kennel,
            fact=alone,
            happened_at=at,
            recorded_at=at,
            recorded_by="import",
        )
        try:
            check_entry(book, entry, now=at)
        except BadInput as error:
            column = "born" if "born on" in str(error) else "name"
            problems.append(ImportProblem(row=row.row, column=column, says=str(error)))
        else:
            good.append(row)
    return good, problems


def _entries(
    rows: Sequence[ImportedDog], book: Book, *, at: datetime
) -> list[NewEntry]:
    """Parents before their young, descriptions before moves."""
    known = {row.described.dog for row in rows} | set(book.dogs)
    waiting = sorted(rows, key=lambda row: row.described.born_on)
    described = [
        NewEntry(entry=new_id(), fact=_without_lost_parents(row, known))
        for row in waiting
    ]
    moves = []
    for row in waiting:
        dog = row.described.dog
        if row.arrived_on is not None and row.pen:
            moment = datetime.combine(row.arrived_on, at.timetz()).astimezone(at.tzinfo)
            fact: f.Fact = f.Arrived(dog=dog, pen=row.pen)
            moves.append(
                NewEntry(entry=new_id(), fact=fact, happened_at=min(moment, at))
            )
        elif row.pen:  # at home here already: no arrival, so nothing of one falls due
            fact = f.Moved(dog=dog, pen=row.pen, why="the book begins")
            moves.append(NewEntry(entry=new_id(), fact=fact))
    return described + moves


def _without_lost_parents(row: ImportedDog, known: set[str]) -> f.DogDescribed:
    """The dog; a parent whose own row has a problem, and so is not written, is left out."""
    dog = row.described
    return replace(
        dog,
        dam=dog.dam if dog.dam in known else "",
        sire=dog.sire if dog.sire in known else "",
    )
