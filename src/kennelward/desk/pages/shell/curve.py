"""A chance by day as a drawing: numbers that a template can place."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

WIDTH, HEIGHT = 420, 240  # drawn at about this many pixels on a phone
LEFT, RIGHT, TOP, BOTTOM = 48, 12, 30, 34
STEPS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 1.0)  # tops of the scale
GRIDLINES = 4
MOST_POINTS = 160
LETTERS = "ABCDEFGH"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChanceOnDay:
    """One day of a curve; chances 0 to 1."""

    on: date
    low: float
    median: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A day with a letter in the drawing, and words beside it below."""

    letter: str
    on: date
    says: str
    x: float
    y: float  # where the curve is on that day


@dataclass(frozen=True, slots=True, kw_only=True)
class Gridline:
    """A chance marked on the side, as a count of 100."""

    y: float
    in_hundred: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChanceCurve:
    """A drawing of `width` by `height` units."""

    width: int
    height: int
    left: int
    right: int
    top: int
    base: int
    line: str  # points of an SVG polyline
    band: str  # points of an SVG polygon: the 90 % interval
    gridlines: tuple[Gridline, ...]
    marks: tuple[Mark, ...]
    shaded: tuple[float, float] | None  # x from and width of the days that do not count
    level_y: float | None
    first: ChanceOnDay
    last: ChanceOnDay


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    """Where a day and a chance lie in the drawing."""

    first: date
    days: int
    top: float  # chance at the upper edge

    def across(self, on: date) -> float:
        share = min(1.0, max(0.0, (on - self.first).days / self.days))
        return round(LEFT + (WIDTH - LEFT - RIGHT) * share, 1)

    def up(self, chance: float) -> float:
        share = min(1.0, chance / self.top)
        return round(TOP + (HEIGHT - TOP - BOTTOM) * (1 - share), 1)

    def points(self, at: Sequence[tuple[date, float]]) -> str:
        return " ".join(f"{self.across(on)},{self.up(chance)}" for on, chance in at)

    def gridlines(self) -> tuple[Gridline, ...]:
        chances = [self.top * n / GRIDLINES for n in range(GRIDLINES + 1)]
        return tuple(Gridline(y=self.up(c), in_hundred=f"{100 * c:g}") for c in chances)


def chance_curve(
    days: Sequence[ChanceOnDay],
    *,
    marks: Sequence[tuple[date, str]] = (),
    shaded_until: date | None = None,
    level: float | None = None,
    whole_scale: bool = False,
) -> ChanceCurve | None:
    """The curve through two or more days; None for fewer.

    `marks` get letters in the order of their days; those of one day share a letter.
    Days before `shaded_until` are shaded. `level` is drawn across. The scale ends at
    the next round number above the band, or at 1 with `whole_scale`.
    """
    if len(days) < 2:
        return None
    first, last = days[0], days[-1]
    most = max(max(one.high for one in days), 1.2 * (level or 0.0))
    top = 1.0 if whole_scale else next(step for step in STEPS if step >= min(most, 1.0))
    scale = _Scale(first=first.on, days=max((last.on - first.on).days, 1), top=top)
    shown = _thinned(days)
    upper = [(one.on, one.high) for one in shown]
    lower = [(one.on, one.low) for one in reversed(shown)]
    shade = None
    if shaded_until is not None and shaded_until > first.on:
        shade = (float(LEFT), round(scale.across(shaded_until) - LEFT, 1))
    return ChanceCurve(
        width=WIDTH,
        height=HEIGHT,
        left=LEFT,
        right=WIDTH - RIGHT,
        top=TOP,
        base=HEIGHT - BOTTOM,
        line=scale.points([(one.on, one.median) for one in shown]),
        band=scale.points([*upper, *lower]),
        gridlines=scale.gridlines(),
        marks=_marks(marks, days=days, scale=scale),
        shaded=shade,
        level_y=None if level is None else scale.up(level),
        first=first,
        last=last,
    )


def _marks(
    marks: Sequence[tuple[date, str]], *, days: Sequence[ChanceOnDay], scale: _Scale
) -> tuple[Mark, ...]:
    found = []
    inside = _by_day(marks, first=days[0].on, last=days[-1].on)
    for letter, (on, says) in zip(LETTERS, inside, strict=False):
        nearest = min(days, key=lambda one: abs((one.on - on).days))
        at = scale.up(nearest.median)
        found.append(Mark(letter=letter, on=on, says=says, x=scale.across(on), y=at))
    return tuple(found)


def _thinned(days: Sequence[ChanceOnDay]) -> list[ChanceOnDay]:
    """At most about `MOST_POINTS` days, with every day on which the line jumps."""
    every = max(1, len(days) // MOST_POINTS)
    kept = []
    for n, one in enumerate(days):
        jumps = n + 1 < len(days) and abs(days[n + 1].median - one.median) > 0.005
        jumped = n > 0 and abs(one.median - days[n - 1].median) > 0.005
        if n % every == 0 or jumps or jumped or n == len(days) - 1:
            kept.append(one)
    return kept


def _by_day(
    marks: Sequence[tuple[date, str]], *, first: date, last: date
) -> list[tuple[date, str]]:
    """Marks inside the drawing, one a day, in the order of days."""
    found: dict[date, list[str]] = {}
    for on, says in marks:
        if first <= on <= last:
            found.setdefault(on, []).append(says)
    return [(on, " ".join(found[on])) for on in sorted(found)][: len(LETTERS)]
