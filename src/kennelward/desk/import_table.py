"""A CSV file as rows: its letters, its separator and its header found out."""

import csv
import io
from dataclasses import dataclass

from kennelward.desk.import_cells import COLUMNS, column_of
from kennelward.terms import BadInput

LARGEST_FILE = 2 * 1024 * 1024  # bytes
MOST_ROWS = 2_000
MOST_COLUMNS = 100
SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadTable:
    """Rows by number, as a spreadsheet counts, with the cells of known columns."""

    rows: tuple[tuple[int, dict[str, str]], ...]
    notes: tuple[str, ...]


def read_table(data: bytes) -> ReadTable:
    """Rows of a CSV file. Raises `BadInput` for what is no table of dogs."""
    if not data.strip():
        raise BadInput("the file is empty")
    if len(data) > LARGEST_FILE:
        raise BadInput(
            f"the file has {len(data)} bytes; {LARGEST_FILE} is the most. Split it"
        )
    text, notes = _text(data)
    separator = _separator(text)
    notes.append(f"read as separated by {SEPARATORS[separator]}")
    lines = _lines(text, separator)
    header = [column_of(cell) for cell in lines[0][1]]
    unknown = [
        cell.strip()
        for cell, name in zip(lines[0][1], header, strict=True)
        if name is None and cell.strip()
    ]
    if unknown:
        notes.append(f"columns left out: {', '.join(unknown)}")
    _check_header(header)
    rows = []
    for number, cells in lines[1:]:
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) > len(header):
            raise BadInput(
                f"row {number} has {len(cells)} cells and the header {len(header)}; "
                "put text that holds the separator in quotes"
            )
        held = zip(header, cells, strict=False)
        rows.append((number, {name: cell for name, cell in held if name}))
    if not rows:
        raise BadInput("the file has a header and no dogs under it")
    if len(rows) > MOST_ROWS:
        raise BadInput(
            f"the file has {len(rows)} dogs; {MOST_ROWS} at once is the most"
        )
    return ReadTable(rows=tuple(rows), notes=tuple(notes))


def _text(data: bytes) -> tuple[str, list[str]]:
    """Letters of the file, whatever a spreadsheet program saved it as."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return data.decode("utf-16"), ["read as UTF-16"]
        except UnicodeDecodeError as error:
            raise BadInput(
                "the file's letters are damaged; save it as UTF-8"
            ) from error
    try:
        return _without_null(data.decode("utf-8-sig")), []
    except UnicodeDecodeError:
        pass
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise BadInput("this is a spreadsheet file; save the sheet as CSV and use that")
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError as error:
        raise BadInput("this is no text; save the table as CSV in UTF-8") from error
    return _without_null(text), [
        "not UTF-8: read as Western European; look whether names with accents are right"
    ]


def _without_null(text: str) -> str:
    if "\x00" in text:
        raise BadInput("the file holds null characters; save the table as CSV in UTF-8")
    return text


def _separator(text: str) -> str:
    """The separator under which the header names most of our columns."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    known = {
        separator: sum(
            column_of(cell) is not None
            for cell in next(csv.reader([first], delimiter=separator), [])
        )
        for separator in SEPARATORS
    }
    best = max(known, key=lambda separator: known[separator])
    if known[best] < 2:
        raise BadInput(
            f"the first row names no columns we know: {first[:80]!r}. Name them in row 1, "
            f"separated by comma, semicolon or tab: {', '.join(COLUMNS)}"
        )
    return best


def _lines(text: str, separator: str) -> list[tuple[int, list[str]]]:
    """Rows numbered as a spreadsheet does: a cell may hold line breaks."""
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
        lines = [(number, cells) for number, cells in enumerate(reader, start=1)]
    except csv.Error as error:
        raise BadInput(f"the table cannot be read: {error}") from error
    while lines and not any(cell.strip() for cell in lines[0][1]):
        lines.pop(0)
    if len(lines[0][1]) > MOST_COLUMNS:
        raise BadInput(f"row {lines[0][0]} has over {MOST_COLUMNS} columns")
    return lines


def _check_header(header: list[str | None]) -> None:
    named = [name for name in header if name]
    twice = sorted({name for name in named if named.count(name) > 1})
    if twice:
        raise BadInput(f"two columns mean the same: {', '.join(twice)}")
    missing = [name for name in ("name", "sex", "born") if name not in named]
    if missing:
        raise BadInput(
            f"the table has no column {', '.join(missing)}; columns are "
            f"{', '.join(COLUMNS)}"
        )
