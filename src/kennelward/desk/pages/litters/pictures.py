"""Small drawings as numbers a template can place: due days, and a litter's growth."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from kennelward.litters import DueDate, Weight

BAR_WIDTH, BAR_GAP, BAR_HEIGHT = 18, 4, 120
DATE_WIDTH = 20  # half of a date below the bars
SHOWN_FROM = 0.004  # days with a smaller chance are left out at both ends
PANEL = (150, 90)  # one puppy's panel, width and height
PANEL_EDGE = 6


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
class GrowthPanel:
    """One puppy's line, and its littermates' faint behind it."""

    line: str  # points of an SVG polyline
    others: tuple[str, ...]
    width: int
    height: int


def growth_panels(
    litter: Sequence[Sequence[Weight]], *, born_at: datetime
) -> tuple[GrowthPanel | None, ...]:
    """A panel for each puppy, all on the same scale; None for fewer than two weights."""
    everyone = [weight for weights in litter for weight in weights]
    if len(everyone) < 2:
        return tuple(None for _ in litter)
    last = max((w.at - born_at).total_seconds() for w in everyone)
    most = max(w.weight_g for w in everyone)
    width, height = PANEL

    def points(weights: Sequence[Weight]) -> str:
        return " ".join(
            f"{_across(w, born_at, last, width)},{_up(w, most, height)}"
            for w in weights
        )

    lines = [points(weights) for weights in litter]
    return tuple(
        GrowthPanel(
            line=lines[number],
            others=tuple(line for n, line in enumerate(lines) if n != number and line),
            width=width,
            height=height,
        )
        if len(weights) > 1
        else None
        for number, weights in enumerate(litter)
    )


def _across(weight: Weight, born_at: datetime, last: float, width: int) -> float:
    share = (weight.at - born_at).total_seconds() / max(last, 1.0)
    return round(PANEL_EDGE + max(0.0, share) * (width - 2 * PANEL_EDGE), 1)


def _up(weight: Weight, most: float, height: int) -> float:
    return round(
        height - PANEL_EDGE - weight.weight_g / most * (height - 2 * PANEL_EDGE), 1
    )
