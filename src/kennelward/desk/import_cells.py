"""One row of a table of dogs: each cell read, or its problem named."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from kennelward.desk.clock import new_id
from kennelward.kennel import facts as f
from kennelward.terms import BadInput, check_text

COLUMNS = {  # our name -> further ways to write it in the header
    "name": ("dog", "dog name", "called"),
    "sex": (),
    "born": ("born on", "birth date", "date of birth", "birthday"),
    "breed": (),
    "chip": ("chip number", "microchip"),
    "marking": ("colour", "color", "markings"),
    "neutered": (),
    "breeding": ("for breeding",),
    "origin": (),
    "dam": ("mother",),
    "sire": ("father",),
    "pen": (),
    "arrived": ("arrived on", "arrival"),
    "owner": (),
}
_SEXES = {
    "bitch": "bitch",
    "female": "bitch",
    "f": "bitch",
    "dog": "dog",
    "male": "dog",
    "m": "dog",
}
_YES_NO = {
    "yes": True,
    "y": True,
    "1": True,
    "x": True,
    "no": False,
    "n": False,
    "0": False,
}
_CHIP = re.compile(r"[0-9A-Za-z]{1,20}")
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}")
_DOTTED = re.compile(
    r"(\d{1,2})\.(\d{1,2})\.(\d{4})"
)  # day first wherever dots are used

Read = tuple[f.DogDescribed, str, date | None]  # the dog, pen id, day of arrival


def column_of(header: str) -> str | None:
    """Our name of a column, however it is written; None for one we do not know."""
    written = " ".join(header.replace("_", " ").split()).casefold()
    for name, others in COLUMNS.items():
        if written == name or written in others:
            return name
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportProblem:
    """What keeps a row from being written."""

    row: int  # as a spreadsheet counts: the header is row 1
    column: str
    says: str


@dataclass(slots=True, kw_only=True)
class Cells:
    """The cells of a row, collecting problems while they are read."""

    row: int
    values: Mapping[str, str]
    problems: list[ImportProblem] = field(default_factory=list)

    def text(self, column: str) -> str:
        """The cell without space around it."""
        return self.values.get(column, "").strip()

    def wrong(self, column: str, says: str) -> None:
        """Name a problem."""
        self.problems.append(ImportProblem(row=self.row, column=column, says=says))

    def choice(
        self, column: str, allowed: Mapping[str, str], *, empty: str = ""
    ) -> str:
        """One of `allowed`, capitals or not; `empty` for an empty cell."""
        written = self.text(column).casefold()
        if not written and empty:
            return empty
        if written not in allowed:
            self.wrong(
                column,
                f"{self.text(column)!r} is none of {', '.join(sorted(allowed))}",
            )
            return ""
        return allowed[written]

    def yes(self, column: str) -> bool:
        """Yes or no; an empty cell is no."""
        written = self.text(column).casefold()
        if written and written not in _YES_NO:
            self.wrong(column, f"{self.text(column)!r} is neither yes nor no")
        return _YES_NO.get(written, False)

    def day(self, column: str, *, on: date) -> date | None:
        """A day up to `on`; None for an empty cell or a problem."""
        written = self.text(column)
        if not written:
            return None
        try:
            found = _day(written)
        except ValueError:
            self.wrong(column, f"{written!r} is no day; write it as 2024-03-31")
            return None
        if found > on:
            self.wrong(column, f"{found} is in the future")
            return None
        return found


def _day(written: str) -> date:
    """`2024-03-31` or `31.03.2024`; with strokes nobody knows which is the month."""
    if _ISO.fullmatch(written):
        return date.fromisoformat(written)
    dotted = _DOTTED.fullmatch(written)
    if dotted is None:
        raise ValueError(written)
    day, month, year = (int(part) for part in dotted.groups())
    return date(year, month, day)


def read_row(cells: Cells, *, pens: Mapping[str, str], on: date) -> Read | None:
    """The dog of a row, or None where `cells` holds problems. Parents come later."""
    born = cells.day("born", on=on)
    if not cells.text("born"):
        cells.wrong("born", "empty; write the day, or a guess, as 2024-03-31")
    sex = cells.choice("sex", _SEXES)
    origin = cells.choice(
        "origin", {name: name for name in f.ORIGINS}, empty="born-here"
    )
    for column in ("name", "breed", "marking", "owner"):
        try:
            check_text(column, cells.text(column), empty=column != "name")
        except BadInput as error:
            cells.wrong(column, str(error))
    chip = re.sub(r"[\s.-]", "", cells.text("chip"))
    if chip and not _CHIP.fullmatch(chip):
        cells.wrong("chip", f"{cells.text('chip')!r} is no chip number")
    if re.fullmatch(r"[0-9.,]+[eE]\+?[0-9]+", cells.text("chip")):
        cells.wrong("chip", "a spreadsheet rounded this number; make the column text")
    pen = pens.get(cells.text("pen").casefold(), "")
    if cells.text("pen") and not pen:
        cells.wrong("pen", f"no pen called {cells.text('pen')!r}; add it under Set-up")
    arrived_on = cells.day("arrived", on=on)
    if cells.text("arrived") and not cells.text("pen"):
        cells.wrong("pen", "a dog that arrived needs the pen it went to")
    if born is not None and arrived_on is not None and arrived_on < born:
        cells.wrong("arrived", f"{arrived_on} is before the birth on {born}")
    is_neutered, is_breeding = cells.yes("neutered"), cells.yes("breeding")
    if cells.problems or born is None:
        return None
    described = f.DogDescribed(
        dog=new_id(),
        name=cells.text("name"),
        sex=sex,
        born_on=born,
        breed=cells.text("breed"),
        chip=chip,
        marking=cells.text("marking"),
        is_neutered=is_neutered,
        is_breeding=is_breeding,
        origin=origin,
        owner=cells.text("owner"),
    )
    return described, pen, arrived_on
