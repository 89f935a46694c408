"""Small drawings as numbers a template can place: due days, and a litter's growth."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from kennelward.litters import Band, DueDate, Weight
from kennelward.rounds import PuppyGrowth

BAR_WIDTH, BAR_GAP, BAR_HEIGHT = 18, 4, 120
DATE_WIDTH = 20  # half of a date below the bars
SHOWN_FROM = 0.004  # days with a smaller chance are left out at both ends
PANEL = (220, 130)  # one puppy's panel, width and height
PANEL_EDGE, PANEL_LEFT, PANEL_FOOT = 6, 6, 20
DAY_STEPS = (1, 2, 7, 14, 28, 56, 112)
MOST_DAY_MARKS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class DueBar:
    """One day of a due-date picture."""

    day: date
    in_hundred: float
    x: int
    y: float
    height: float
    is_inside: bool  # of the 80 % window
    is_named: bool  # carries its date below
    text_x: float  # where the date stands
    anchor: str  # which end of it stands there


@dataclass(frozen=True, slots=True, kw_only=True)
class DueBars:
    """The picture of a due date."""

    bars: tuple[DueBar, ...]
    width: int
    height: int
    bar_width: int
    base: int  # where the bars stand


def due_bars(due: DueDate) -> DueBars:
    """Bars for the days that matter, tallest as high as the picture."""
    days = [
        (date.fromordinal(due.first_day.toordinal() + number), chance)
        for number, chance in enumerate(due.chances)
    ]
    matter = [number for number, (_, chance) in enumerate(days) if chance >= SHOWN_FROM]
    shown = days[matter[0] : matter[-1] + 1]
    tallest = max(chance for _, chance in shown)
    bars = []
    wide = len(shown) * (BAR_WIDTH + BAR_GAP)
    for number, (day, chance) in enumerate(shown):
        middle = number * (BAR_WIDTH + BAR_GAP) + BAR_WIDTH / 2
        near_end = "end" if middle > wide - DATE_WIDTH else "middle"
        height = round(BAR_HEIGHT * chance / tallest, 1)
        bars.append(
            DueBar(
                day=day,
                in_hundred=round(100 * chance, 1),
                x=number * (BAR_WIDTH + BAR_GAP),
                y=round(BAR_HEIGHT - height, 1),
                height=height,
                is_inside=due.low <= day <= due.high,
                is_named=day in (due.low, due.median, due.high),
                text_x=min(middle + BAR_WIDTH / 2, wide)
                if near_end == "end"
                else max(middle, DATE_WIDTH),
                anchor=near_end,
            )
        )
    return DueBars(
        bars=tuple(bars),
        width=len(bars) * (BAR_WIDTH + BAR_GAP),
        height=BAR_HEIGHT + 26,
        bar_width=BAR_WIDTH,
        base=BAR_HEIGHT,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class DayMark:
    """A day of age named below a panel."""

    day: int
    x: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthPanel:
    """One puppy's line over what is expected, its littermates' faint behind it."""

    line: str  # points of an SVG polyline
    dots: tuple[tuple[float, float], ...]
    bands: tuple[str, ...]  # points of SVG polygons: low to high, by day
    middles: tuple[str, ...]  # points of polylines: the usual weight
    others: tuple[str, ...]
    days: tuple[DayMark, ...]
    top_g: float  # weight at the top edge
    base_g: float  # and at the floor
    width: int
    height: int
    base: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    """All panels of a litter share it, so that lines can be compared by eye."""

    born_at: datetime
    last_day: float
    least_g: float
    most_g: float

    def x(self, day: float) -> float:
        wide = PANEL[0] - PANEL_EDGE - PANEL_LEFT
        return round(PANEL_LEFT + wide * max(0.0, day) / self.last_day, 1)

    def y(self, weight_g: float) -> float:
        tall = PANEL[1] - PANEL_EDGE - PANEL_FOOT
        share = (weight_g - self.least_g) / (self.most_g - self.least_g)
        return round(PANEL[1] - PANEL_FOOT - tall * min(max(share, 0.0), 1.0), 1)

    def at(self, weight: Weight) -> tuple[float, float]:
        day = (weight.at - self.born_at).total_seconds() / 86_400
        return self.x(day), self.y(weight.weight_g)


def growth_panels(
    litter: Sequence[PuppyGrowth], *, born_at: datetime
) -> tuple[GrowthPanel | None, ...]:
    """A panel for each puppy, all on the same scale; None for one without weights."""
    everyone = [weight for growth in litter for weight in growth.weights]
    if not everyone:
        return tuple(None for _ in litter)
    last = max((w.at - born_at).total_seconds() / 86_400 for w in everyone)
    scale = _Scale(
        born_at=born_at,
        last_day=max(1.0, last) * 1.06,
        # Not from nothing: a gain of 5 % must be seen. Both ends are named.
        least_g=0.85 * min(w.weight_g for w in everyone),
        most_g=1.15 * max(w.weight_g for w in everyone),
    )
    lines = [_points(map(scale.at, _in_order(growth))) for growth in litter]
    return tuple(
        _panel(growth, number=number, lines=lines, scale=scale)
        if growth.weights
        else None
        for number, growth in enumerate(litter)
    )


def _in_order(growth: PuppyGrowth) -> list[Weight]:
    return sorted(growth.weights, key=lambda weight: weight.at)


def _points(pairs: Iterable[tuple[float, float]]) -> str:
    return " ".join(f"{x},{y}" for x, y in pairs)


def _panel(
    growth: PuppyGrowth, *, number: int, lines: Sequence[str], scale: _Scale
) -> GrowthPanel:
    runs = [run for run in _runs(growth.bands, last_day=scale.last_day) if len(run) > 1]
    step = next(s for s in DAY_STEPS if scale.last_day / s <= MOST_DAY_MARKS)
    return GrowthPanel(
        line=lines[number],
        dots=tuple(scale.at(weight) for weight in _in_order(growth)),
        bands=tuple(
            _points(
                [(scale.x(band.day), scale.y(band.high_g)) for band in run]
                + [(scale.x(band.day), scale.y(band.low_g)) for band in reversed(run)]
            )
            for run in runs
        ),
        middles=tuple(
            _points((scale.x(band.day), scale.y(band.middle_g)) for band in run)
            for run in runs
        ),
        others=tuple(
            line for n, line in enumerate(lines) if n != number and " " in line
        ),
        days=tuple(
            DayMark(day=day, x=scale.x(day))
            for day in range(0, int(scale.last_day) + 1, step)
        ),
        top_g=scale.most_g,
        base_g=scale.least_g,
        width=PANEL[0],
        height=PANEL[1],
        base=PANEL[1] - PANEL_FOOT,
    )


def _runs(bands: Sequence[Band], *, last_day: float) -> list[list[Band]]:
    """Days in a row for which something is expected; nothing is drawn between."""
    runs: list[list[Band]] = []
    for band in bands:
        if band.day > last_day:
            break
        if runs and band.day == runs[-1][-1].day + 1:
            runs[-1].append(band)
        else:
            runs.append([band])
    return runs


ALARM_SIZE = (320, 110)
ALARM_EDGE = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmPath:
    """The slow alarm after each litter, under its limit."""

    line: str
    dots: tuple[tuple[float, float, bool], ...]  # x, y, at or over the limit
    limit_y: float
    width: int
    height: int
    base: int


def alarm_path(after_each: Sequence[float], *, limit: float) -> AlarmPath | None:
    """The path from left to right; None for fewer than two litters."""
    if len(after_each) < 2:
        return None
    wide, tall = ALARM_SIZE[0] - 2 * ALARM_EDGE, ALARM_SIZE[1] - 2 * ALARM_EDGE
    most = max(limit, *after_each) * 1.1
    dots = tuple(
        (
            round(ALARM_EDGE + wide * number / (len(after_each) - 1), 1),
            round(ALARM_SIZE[1] - ALARM_EDGE - tall * value / most, 1),
            value >= limit,
        )
        for number, value in enumerate(after_each)
    )
    return AlarmPath(
        line=_points((x, y) for x, y, _ in dots),
        dots=dots,
        limit_y=round(ALARM_SIZE[1] - ALARM_EDGE - tall * limit / most, 1),
        width=ALARM_SIZE[0],
        height=ALARM_SIZE[1],
        base=ALARM_SIZE[1] - ALARM_EDGE,
    )
