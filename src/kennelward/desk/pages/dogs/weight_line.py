"""A small line of weights, as points a template can draw."""

from collections.abc import Sequence
from dataclasses import dataclass

from kennelward.desk.pages.dogs.dog_page import Weight

WIDTH, HEIGHT = 420, 200  # drawn at about this many pixels on a phone
LEFT, RIGHT, TOP, BOTTOM = 74, 12, 14, 32
GRIDLINES = 4
STEPS = (1, 2, 2.5, 5, 10)  # a gridline stands at these times a power of ten


@dataclass(frozen=True, slots=True, kw_only=True)
class Gridline:
    """A weight marked on the side."""

    y: float
    grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightLine:
    """A drawing of `WIDTH` by `HEIGHT` units."""

    width: int
    height: int
    points: str  # of an SVG polyline
    dots: tuple[tuple[float, float], ...]
    gridlines: tuple[Gridline, ...]
    first: Weight
    last: Weight
    left: int
    right: int
    base: int


def weight_line(weights: Sequence[Weight]) -> WeightLine | None:
    """The line through two or more weights; None for fewer, which need no line."""
    if len(weights) < 2:
        return None
    first, last = weights[0], weights[-1]
    span = max((last.at - first.at).total_seconds(), 1.0)
    step = grid_step(max(w.grams for w in weights) - min(w.grams for w in weights))
    low = step * int(min(w.grams for w in weights) / step)
    high = step * (int(max(w.grams for w in weights) / step) + 1)
    wide, tall = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM

    def across(weight: Weight) -> float:
        return round(LEFT + wide * (weight.at - first.at).total_seconds() / span, 1)

    def up(grams: float) -> float:
        return round(TOP + tall * (high - grams) / (high - low), 1)

    dots = tuple((across(w), up(w.grams)) for w in weights)
    lines = []
    grams = low
    while grams <= high + step / 2:
        lines.append(Gridline(y=up(grams), grams=grams))
        grams += step
    return WeightLine(
        width=WIDTH,
        height=HEIGHT,
        points=" ".join(f"{x},{y}" for x, y in dots),
        dots=dots,
        gridlines=tuple(lines),
        first=first,
        last=last,
        left=LEFT,
        right=WIDTH - RIGHT,
        base=HEIGHT - BOTTOM,
    )


def grid_step(span: float) -> float:
    """A round step that puts about `GRIDLINES` lines into `span` grams."""
    wanted = max(span, 1.0) / GRIDLINES
    power = 1.0
    while power * 10 <= wanted:
        power *= 10
    return next(power * step for step in STEPS if power * step >= wanted)
