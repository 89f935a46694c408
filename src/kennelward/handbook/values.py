"""Dated values with unit, words, source and range, read from TOML."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from kennelward.handbook.check import HandbookError, Table
from kennelward.programme import DatedValue
from kennelward.terms import Provenance, Sourced

UNITS = {  # unit -> lowest and highest number that makes sense in it
    "day": (0, 3700),
    "week": (0, 520),
    "month": (0, 300),
    "minute": (0, 1440),
    "hour": (0, 240),
    "drop": (1, 20),
    "degree Celsius": (-40, 60),
    "chance": (0, 1),
    "times a day": (1, 24),
    "percent NaOCl": (0.01, 15),
    "count": (0, 10_000),
    "gram": (0, 200_000),
    "kilogram": (0, 150),
    "ng/mL": (0, 200),
    "share": (0, 10),
    "log unit": (0, 20),
    "per day": (0, 1),
    "per day squared": (0, 1),
    "optical density, linear green": (0.001, 1),
    "share of window length": (0.01, 1),
    "ratio": (0, 1000),
    "decimal log": (0, 12),
    "titre": (1, 100_000),
}
UNSOURCED = (Provenance.COMMON_PRACTICE, Provenance.FROM_MEMORY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Who stands behind what a file says: our handbook, or somebody's overlay."""

    sources: Mapping[str, str]  # source id -> citation
    overlaid_by: str = ""

    def read(self, table: Table) -> tuple[str, Provenance]:
        """The source and its provenance that a table names.

        Ours names the id of a source, or one of the two honest phrases for having
        none. An overlay may write its source in words; it is then the user's.
        """
        named = table.text("source")
        if named in (p.value for p in UNSOURCED):
            return named, Provenance(named)
        if named in self.sources:
            # A source may be remembered rather than read again.
            given = table.choice(
                "provenance",
                [Provenance.PUBLISHED.value, Provenance.FROM_MEMORY.value],
                default=Provenance.PUBLISHED.value,
            )
            detail = table.text("detail", default="")
            cited = self.sources[named]
            return (f"{cited} {detail}".strip(), Provenance(given))
        if self.overlaid_by:
            return named, Provenance.USER
        raise table.fail(
            "source",
            f"unknown source {named!r}",
            "Name an id from sources.toml, or write exactly "
            f'"{Provenance.COMMON_PRACTICE.value}" or "{Provenance.FROM_MEMORY.value}".',
        )


def read_values(table: Table, *, owner: str, origin: Origin) -> dict[str, DatedValue]:
    """Every `[values.<name>]` of a file."""
    if "values" not in table:
        table.table("values", may_lack=True)
        return {}
    return {
        name: _dated(inner, path=f"{owner}.{name}", origin=origin)
        for name, inner in table.table("values").each()
    }


def _dated(table: Table, *, path: str, origin: Origin) -> DatedValue:
    unit = table.choice("unit", list(UNITS))
    least, most = UNITS[unit]
    low = table.number("low", low=least, high=most, default=math.nan)
    high = table.number("high", low=least, high=most, default=math.nan)
    if "low" in table and "high" in table and low > high:
        raise table.fail("low", f"{low:g} is above high, {high:g}", "Swap them.")
    says = table.text("says")
    source, provenance = origin.read(table)
    versions = []
    for dated in table.tables("values", may_lack=False):
        value = dated.number("value", low=least, high=most)
        for limit, wrong in ((low, value < low), (high, value > high)):
            if wrong:
                raise dated.fail(
                    "value",
                    f"got {value:g}",
                    f"Its own range ends at {limit:g}; correct the value or the range.",
                )
        versions.append(
            Sourced(
                value=value,
                unit=unit,
                says=says,
                source=source,
                provenance=provenance,
                since=dated.day("from"),
                low=None if math.isnan(low) else low,
                high=None if math.isnan(high) else high,
                overlaid_by=origin.overlaid_by,
            )
        )
        dated.done()
    table.done()
    return table.making(lambda: DatedValue(path=path, versions=tuple(versions)))


def overlaid(
    ours: Mapping[str, DatedValue], theirs: Mapping[str, DatedValue], *, file: str
) -> dict[str, DatedValue]:
    """Our values with theirs laid over: from their day on, theirs hold.

    They may only change what there is, in the same unit, so that a slip in a name
    does not pass unseen.
    """
    merged = dict(ours)
    for name, value in theirs.items():
        if name not in ours:
            known = ", ".join(sorted(ours))
            raise HandbookError(
                f"{file}, values.{name}: there is no such value to change. "
                f"Known here: {known}."
            )
        unit = ours[name].latest.unit
        if value.latest.unit != unit:
            raise HandbookError(
                f"{file}, values.{name}.unit: got {value.latest.unit!r}. "
                f"It must stay {unit!r}."
            )
        first = value.versions[0].since
        kept = tuple(v for v in ours[name].versions if v.since < first)
        merged[name] = DatedValue(
            path=ours[name].path, versions=(*kept, *value.versions)
        )
    return merged
