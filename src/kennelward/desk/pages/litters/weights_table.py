"""A litter's weights from a list: every line read, or its problem named."""

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from kennelward.desk.pages.litters.weights import UNITS, grams_of
from kennelward.terms import BadInput

COLUMNS = {  # our name -> further ways to write it in the header
    "puppy": ("name", "dog", "pup", "marking", "collar", "chip"),
    "when": ("date", "day", "time", "weighed", "weighed on", "date and time"),
    "weight": ("weight g", "weight (g)", "grams", "g", "weighs"),
    "unit": (),
}
NEEDED = ("puppy", "when", "weight")
SEPARATORS = ",;\t|"
MOST_LINES = 2_000
LARGEST_TEXT = 200_000  # letters; 14 puppies twice a day for 8 weeks are about 60 000
NOON = time(12)
_ISO = re.compile(
    r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[ T]+(\d{1,2})[:.](\d{2})(?::\d{2})?)?"
)
_DOTTED = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})(?:[ T]+(\d{1,2})[:.](\d{2}))?")


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightRow:
    """One line that could be read."""

    line: int  # as a spreadsheet counts: the header is line 1
    dog: str
    at: datetime  # aware
    weight_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightProblem:
    """One line that could not, and why."""

    line: int
    text: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightList:
    """A whole list."""

    rows: tuple[WeightRow, ...]
    problems: tuple[WeightProblem, ...]


def read_weights(
    text: str, *, puppies: Mapping[str, str], zone: ZoneInfo, now: datetime
) -> WeightList:
    """Every line of `text`; `puppies` gives the dog for a name, marking, chip or number.

    Days without a time count as noon by the kennel's clock. Raises BadInput where it is
    no table of weights at all.
    """
    if len(text) > LARGEST_TEXT:
        raise BadInput(_("This list is too long; send it in parts."))
    lines = [(n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip()]
    if not lines:
        raise BadInput(_("The list is empty."))
    separator, header = _header(lines[0][1])
    if len(lines) - 1 > MOST_LINES:
        raise BadInput(_("This list is too long; send it in parts."))
    rows: list[WeightRow] = []
    problems: list[WeightProblem] = []
    for number, line in lines[1:]:
        try:
            cells = _cells(line, separator)
            if len(cells) > len(header):
                raise BadInput(_("more cells than the header has columns"))
            said = dict(zip(header, cells, strict=False))
            rows.append(_row(number, said, puppies=puppies, zone=zone, now=now))
        except BadInput as wrong:
            problems.append(
                WeightProblem(line=number, text=line[:120], says=str(wrong))
            )
    return WeightList(rows=tuple(rows), problems=tuple(problems))


def _cells(line: str, separator: str) -> list[str]:
    try:
        return [
            cell.strip()
            for cell in next(csv.reader(io.StringIO(line), delimiter=separator), [])
        ]
    except csv.Error as error:
        raise BadInput(_("this line cannot be read as a table")) from error


def _header(line: str) -> tuple[str, list[str]]:
    """The separator under which the first line names our columns, and their names."""
    best: tuple[str, list[str]] = ("", [])
    for separator in SEPARATORS:
        names = [_column(cell) for cell in _cells(line, separator)]
        if len(set(NEEDED) & set(names)) > len(set(NEEDED) & set(best[1])):
            best = (separator, names)
    missing = [name for name in NEEDED if name not in best[1]]
    if missing:
        raise BadInput(
            _("The first line must name the columns puppy, when and weight; missing: "
              "%(m)s.") % {"m": ", ".join(missing)}
        )  # fmt: skip
    return best


def _column(cell: str) -> str:
    written = " ".join(cell.replace("_", " ").split()).casefold().strip("\ufeff")
    return next(
        (name for name, others in COLUMNS.items() if written in (name, *others)), ""
    )


def _row(
    number: int,
    said: Mapping[str, str],
    *,
    puppies: Mapping[str, str],
    zone: ZoneInfo,
    now: datetime,
) -> WeightRow:
    puppy = " ".join(said.get("puppy", "").split()).casefold()
    if puppy not in puppies:
        raise BadInput(
            _("no puppy %(p)s in this litter") % {"p": repr(said.get("puppy", "")[:60])}
        )
    if not puppies[puppy]:
        raise BadInput(
            _("several puppies are called %(p)s; use the number in the litter")
            % {"p": repr(said["puppy"][:60])}
        )
    at = moment_of(said.get("when", ""), zone=zone)
    if at > now:
        raise BadInput(_("%(d)s lies in the future") % {"d": said["when"]})
    unit = said.get("unit", "").strip().lower() or "g"
    if unit not in UNITS:
        raise BadInput(_("unit %(u)s; use g, kg, oz or lb") % {"u": repr(unit[:20])})
    weight_g = grams_of(said.get("weight", ""), unit=unit)
    return WeightRow(line=number, dog=puppies[puppy], at=at, weight_g=weight_g)


def moment_of(written: str, *, zone: ZoneInfo) -> datetime:
    """A day, with or without a time. Raises BadInput: with strokes nobody knows."""
    iso = _ISO.fullmatch(written.strip())
    dotted = _DOTTED.fullmatch(written.strip())
    try:
        if iso:
            year, month, day, hour, minute = iso.groups()
        elif dotted:
            day, month, year, hour, minute = dotted.groups()
        else:
            raise ValueError(written)
        found = datetime(int(year), int(month), int(day), tzinfo=zone)
        at = time(int(hour), int(minute)) if hour else NOON
    except ValueError as error:
        raise BadInput(
            _("%(w)s is no day; write it as 2026-11-25 or 2026-11-25 07:30")
            % {"w": repr(written[:40])}
        ) from error
    return datetime.combine(found.date(), at, tzinfo=zone)


def named_puppies(lines: Sequence[tuple[str, Sequence[str]]]) -> dict[str, str]:
    """A dog for each way to name it; "" where two puppies share a name."""
    found: dict[str, str] = {}
    for dog, names in lines:
        for name in names:
            key = " ".join(name.split()).casefold()
            if key:
                found[key] = dog if found.get(key, dog) == dog else ""
    return found
