"""When a kit can see what it looks for, by days since an event: read from TOML.

The days are handbook values, each with its own source. How many are seen by then comes
from the kit's `performances`, so that a kennel's own leaflet counts here too.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from kennelward.evidence import (
    EVENTS,
    AnchorSpread,
    Circumstances,
    DayPoint,
    SensitivityByDay,
    TestPerformance,
    UninformativeWindow,
    choose_performance,
    sensitivity_after_onset,
    spread_of_days,
)
from kennelward.handbook.check import Table
from kennelward.handbook.programmes import Known, value_name
from kennelward.handbook.values import Origin
from kennelward.kennel.facts import SIGNS
from kennelward.terms import BadInput, Call, Provenance, check_range

MOST_DAYS = 400  # since the event, or from one event to the other


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedFrom:
    """Another event that the days may be counted from.

    Days since the curve's own event = days since this one + `first` to `last`.
    """

    event: str
    first: int  # days, may be below 0
    typical: int
    last: int
    source: str
    provenance: Provenance

    def spread(self) -> AnchorSpread:
        """The share of dogs at each number of days."""
        return spread_of_days(
            self.event, first=self.first, typical=self.typical, last=self.last
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ByDay:
    """One curve of a kit: what its sensitivity does in the days after `event`.

    Either `steps` (days on which the kit's figures change; nothing before the first) or
    `onset` (first, typical and last day on which an infected dog begins to show).
    """

    event: str
    says: str  # what the curve takes for granted
    repeat_after: int  # days until a negative is repeated
    signs: tuple[str, ...] = ()  # signs of the dogs it is asked about
    steps: tuple[int, ...] = ()
    onset: tuple[int, ...] = ()
    also_from: tuple[CountedFrom, ...] = ()
    source: str
    provenance: Provenance

    def __post_init__(self) -> None:
        if bool(self.steps) == bool(self.onset):
            raise BadInput("give either steps, or first, typical and last")
        for day in (*self.steps, *self.onset):
            check_range("day", day, low=0, high=MOST_DAYS, unit="days")
        self._plateau_day()

    @property
    def events(self) -> tuple[str, ...]:
        """Every event that the days may be counted from, the curve's own first."""
        return (self.event, *(other.event for other in self.also_from))

    def negative_counts_from(
        self, event: str, windows: Sequence[UninformativeWindow]
    ) -> int:
        """First day since `event` on which a negative counts, by the kit's windows.

        Where the event has no window of its own, the curve's own holds, for the dogs
        that are latest.
        """
        ends = {
            window.event: window.last + 1
            for window in windows
            if window.effect == "no-information"
            and window.call in (None, Call.NEGATIVE)
            and window.first == 0
        }
        if event in ends:
            return ends[event]
        least = next((o.first for o in self.also_from if o.event == event), 0)
        return max(0, ends.get(self.event, 0) - least)

    def exact_offset(self, event: str) -> int | None:
        """Days from `event` to the curve's own where these are fixed, else None."""
        if event == self.event:
            return 0
        other = next((o for o in self.also_from if o.event == event), None)
        return other.first if other and other.first == other.last else None

    def figures(self, performances: Sequence[TestPerformance]) -> TestPerformance:
        """The figures once every dog that ever shows it does show it."""
        return self._figures_on(performances, self._plateau_day())

    def curve(self, performances: Sequence[TestPerformance]) -> SensitivityByDay:
        """Sensitivity by day, with the spreads of the other events."""
        if self.onset:
            first, typical, last = self.onset
            points = sensitivity_after_onset(
                self.figures(performances).sensitivity,
                event=self.event,
                first=first,
                typical=typical,
                last=last,
            ).points
        else:
            points = tuple(
                DayPoint(
                    day=day, sensitivity=self._figures_on(performances, day).sensitivity
                )
                for day in self.steps
            )
        return SensitivityByDay(
            event=self.event,
            points=points,
            spreads={other.event: other.spread() for other in self.also_from},
            source=self.source,
        )

    def _plateau_day(self) -> int:
        return (self.steps or self.onset)[-1]

    def _figures_on(
        self, performances: Sequence[TestPerformance], day: int
    ) -> TestPerformance:
        case = Circumstances(is_sick=bool(self.signs), days_since={self.event: day})
        return choose_performance(performances, case=case)


class _Days:
    """Reads days that are numbers or names of handbook values."""

    def __init__(self, *, owner: str, known: Known) -> None:
        self._owner, self._known = owner, known

    def read(self, table: Table, key: str) -> int:
        """The day under `key`; "before some_days" counts back, so is below 0."""
        if not isinstance(table.values.get(key), str):
            return table.whole(key, low=-MOST_DAYS, high=MOST_DAYS)
        return self._named(table, key, table.text(key))

    def listed(self, table: Table, key: str) -> tuple[int, ...]:
        """Several days."""
        given = table.raw(key) if key in table else []
        if not isinstance(given, list):
            raise table.fail(key, f"got {given!r}", "Write a list of days or names.")
        return tuple(
            self.read(Table({key: day}, file=table.file, at=table.at), key)
            for day in given
        )

    def _named(self, table: Table, key: str, text: str) -> int:
        name = value_name(table, key, text, owner=self._owner, known=self._known)
        day = round(self._known.values[name.path].value) + name.plus
        return -day if name.is_before else day


def read_by_day(
    tables: Sequence[Table], *, test: str, origin: Origin, known: Known
) -> tuple[ByDay, ...]:
    """`[[by_day]]` of a kit: one curve an event, each event named once."""
    days = _Days(owner=test, known=known)
    found = tuple(_by_day(table, days=days, origin=origin) for table in tables)
    named = [event for one in found for event in one.events]
    for event in named:
        if named.count(event) > 1:
            raise tables[0].fail("event", f"{event!r} stands twice", "Name it once.")
    return found


def _by_day(table: Table, *, days: _Days, origin: Origin) -> ByDay:
    source, provenance = origin.read(table)
    values: dict[str, object] = {
        "event": table.choice("event", EVENTS),
        "says": table.text("says"),
        "repeat_after": days.read(table, "repeat_after"),
        "signs": table.texts("signs", allowed=SIGNS, default=()),
        "steps": days.listed(table, "steps"),
        "also_from": tuple(
            _counted_from(inner, days=days, origin=origin)
            for inner in table.tables("also_from")
        ),
    }
    if "first" in table:
        values["onset"] = tuple(
            days.read(table, key) for key in ("first", "typical", "last")
        )
    table.done()
    return table.making(
        lambda: ByDay(source=source, provenance=provenance, **values)  # type: ignore[arg-type]
    )


def _counted_from(table: Table, *, days: _Days, origin: Origin) -> CountedFrom:
    source, provenance = origin.read(table)
    keys = ("exactly",) * 3 if "exactly" in table else ("first", "typical", "last")
    first, typical, last = (days.read(table, key) for key in keys)
    made = CountedFrom(
        event=table.choice("event", EVENTS),
        first=first,
        typical=typical,
        last=last,
        source=source,
        provenance=provenance,
    )
    table.done()
    table.making(made.spread)
    return made
