"""From the lines found on a strip to what the call may use: names, intervals, chances."""

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from kennelward.reading import tuning
from kennelward.reading.found_lines import FoundLine
from kennelward.reading.hue import Hue, density_of, hue_at
from kennelward.reading.networks import Floats
from kennelward.reading.signals import (
    Direction,
    LineSignal,
    Point,
    Quality,
    StripLayout,
    StripSignals,
)
from kennelward.reading.straighten import Corners

_ORDER = ("first", "second", "third", "fourth", "fifth")


def signals_of_strip(
    planes: Floats,
    lines: list[FoundLine],
    *,
    layout: StripLayout,
    direction: Direction,
    corners: Corners,
    could_see: float,
    is_cut: bool,
    is_window_unsure: bool,
    is_housing_clear: bool,
    is_window_dark: bool,
    reader: str,
) -> StripSignals:
    """Give each line of `layout` the place on the strip that is likeliest its own."""
    is_directed = direction is not Direction.UNSURE
    names = layout.lines if is_directed else _ORDER[: len(layout.lines)]
    places = layout.positions if is_directed else _either_way(layout)
    chosen, extra = assign(lines, places, reach=tuning.PLACE_REACH)
    density = density_of(planes)
    profile = density[1]
    signals = tuple(
        _signal(name, line, density) for name, line in zip(names, chosen, strict=True)
    )
    if signals[0].red_to_green > tuning.GOLD_RATIO:
        # a grey line dries up beside a coloured control line; where the control line
        # is as dark, it is the kit's colour or the photo's
        signals = tuple(replace(one, is_grey=False) for one in signals)
    return StripSignals(
        lines=signals,
        direction=direction,
        could_see=min(1.0, could_see * tuning.LOD_FACTOR),
        quality=_quality(planes, profile, corners),
        corners=_as_points(corners),
        profile=_shown(profile, chosen),
        detection_limit=min(1.0, could_see * tuning.LOD_FACTOR),
        extra_lines=extra,
        is_cut=is_cut,
        is_window_unsure=is_window_unsure,
        is_housing_clear=is_housing_clear,
        is_between=is_directed and _is_between(signals, places),
        is_window_dark=is_window_dark,
        reader=reader,
    )


def _is_between(signals: tuple[LineSignal, ...], places: tuple[float, ...]) -> bool:
    """One line alone, as near to the control line's place as to a test line's."""
    seen = [line.position for line in signals if line.is_seen]
    if len(seen) != 1:
        return False
    middles = [(places[0] + test) / 2 for test in places[1:]]
    return any(abs(seen[0] - middle) < tuning.BETWEEN for middle in middles)


def assign(
    lines: list[FoundLine], places: tuple[float, ...], *, reach: float
) -> tuple[list[FoundLine], int]:
    """One line for each of `places`, and how many seen lines found no place.

    The likeliest lines, as many as there are places, are given to them in order along
    the strip so that the sum of what they are off is least; none lies farther off than
    `reach` (share of the length). A place that none took gets the likeliest of what is
    left near it.
    """
    seen = [line for line in lines if line.logit > tuning.LINE_LOGIT]
    chosen, rest = seen[: len(places)], seen[len(places) :]
    taken: dict[int, FoundLine] = {}
    best = None
    for some in combinations(range(len(places)), len(chosen)):
        by_place = sorted(some, key=lambda i: places[i])
        pairs = list(
            zip(by_place, sorted(chosen, key=lambda one: one.place), strict=True)
        )
        off = sum(abs(places[i] - line.place) for i, line in pairs)
        if best is None or off < best:
            best, taken = off, dict(pairs)
    far = [i for i, line in taken.items() if abs(places[i] - line.place) > reach]
    rest += [taken.pop(i) for i in far]
    for i, place in enumerate(places):
        if i not in taken:
            taken[i] = _likeliest_near(place, lines, taken, reach=reach)
    extra = sum(line.logit > tuning.EXTRA_LOGIT for line in rest)
    return [taken[i] for i in range(len(places))], extra


def _likeliest_near(
    place: float, lines: list[FoundLine], taken: dict[int, FoundLine], *, reach: float
) -> FoundLine:
    free = [
        line
        for line in lines
        if abs(line.place - place) <= reach and line not in taken.values()
    ]
    if free:
        return max(free, key=lambda line: line.logit)
    return FoundLine(place=place, logit=-9.0, od=0.0, log_sd=1.0)


def _either_way(layout: StripLayout) -> tuple[float, ...]:
    """Places of the lines where nobody knows which end is the sample's."""
    rising = sorted(layout.positions)
    return tuple((a + 1 - b) / 2 for a, b in zip(rising, rising[::-1], strict=True))


def chance_of(logit: float) -> float:
    """Chance of a line, however faint, where every second strip has one."""
    value = tuning.CHANCE_SLOPE * logit + tuning.CHANCE_SHIFT
    return 1 / (1 + math.exp(-max(-30.0, min(30.0, value))))


def _signal(name: str, line: FoundLine, density: NDArray[np.float64]) -> LineSignal:
    hue = hue_at(density, line.place)
    is_seen = line.logit > tuning.LINE_LOGIT
    if is_seen:
        od = line.od
        spread = tuning.INTERVAL_Z * tuning.OD_SD_FACTOR * min(line.log_sd, 1.5)
        low, high = od * math.exp(-spread), od * math.exp(spread)
    else:  # what the plain fit of a line's shape gives there, about 0 on blank membrane
        od = min(hue.green, line.od)
        low = od - tuning.INTERVAL_Z * hue.noise_sd
        high = od + tuning.INTERVAL_Z * hue.noise_sd
    return LineSignal(
        name=name,
        position=line.place,
        contrast=od,
        low=low,
        high=high,
        noise_sd=(high - low) / (2 * tuning.INTERVAL_Z),
        chance_line=chance_of(line.logit),
        is_seen=is_seen,
        red_to_green=hue.red_to_green if _has_hue(hue, od) else 0.0,
        is_grey=is_seen and _has_hue(hue, od) and is_grey(hue, od),
        is_maybe=is_maybe(line.logit, od),
    )


def is_maybe(logit: float, od: float) -> bool:
    """Neither surely a line nor surely none: weak and barely found, or dark and missed."""
    if logit > tuning.LINE_LOGIT:
        return od < tuning.MAYBE_BELOW_OD and logit < tuning.MAYBE_BELOW_LOGIT
    return logit > tuning.MAYBE_LOGIT


def _has_hue(hue: Hue, od: float) -> bool:
    """Strong enough for its colour to be told, by the plain fit as well."""
    return od >= tuning.GREY_FROM and hue.green >= tuning.GREY_FROM / 2


def is_grey(hue: Hue, od: float) -> bool:
    """Surely neutral, as lines are that come up while a strip dries; `od` of the line.

    Gold takes little red away, blue takes more red than green; grey takes all alike.
    """
    if not tuning.GREY_FROM <= od < tuning.GREY_BELOW:
        return False
    low = hue.red_to_green - 2 * hue.ratio_sd
    blue_to_green = hue.blue / hue.green
    return (
        low > tuning.GREY_RATIO
        and hue.red_to_green < tuning.GREY_MOST
        and blue_to_green > tuning.GREY_LEAST_BLUE
    )


def _quality(planes: Floats, profile: NDArray[np.float64], corners: Corners) -> Quality:
    light, valid = planes[:3], planes[3] > 0.5
    clipped = float((~valid & (light[1] > 0.5)).mean())
    smooth = np.convolve(profile[8:-8], np.ones(41) / 41, mode="valid")
    along = corners[2:].mean(axis=0) - corners[:2].mean(axis=0)
    return Quality(
        window_px=float(np.hypot(*along)),
        sharpness=_sharpness(planes),
        clipped=clipped,
        dark=float((~valid).mean()) - clipped,
        unevenness=float(np.ptp(smooth)),
    )


def _sharpness(planes: Floats) -> float:
    """0 to 1: fine grain across the strip that blur would have taken away.

    Steps between neighbouring pixels over steps across four, along rows, where no line
    runs; 0.5 is grain as fine as pixels allow, 0.1 is soft.
    """
    green = np.log(np.maximum(planes[1, 8:40], 0.02))
    near = np.abs(np.diff(green, axis=0)).mean()
    far = np.abs(green[4:] - green[:-4]).mean()
    return float(np.clip(near / max(far, 1e-4), 0, 1))


def _shown(profile: NDArray[np.float64], lines: list[FoundLine]) -> tuple[float, ...]:
    """The profile over its own baseline, for drawing: lines as they stand out."""
    columns = (np.arange(profile.size) + 0.5) / profile.size
    weight = np.ones(profile.size)
    weight[(columns < 0.05) | (columns > 0.95)] = 0.05
    for line in lines:
        weight[np.abs(columns - line.place) < 0.06] = 0.0
    level = np.polynomial.Polynomial.fit(columns, profile, 4, w=weight + 1e-6)
    return tuple(round(float(value), 5) for value in profile - level(columns))


def _as_points(corners: Corners) -> tuple[Point, Point, Point, Point]:
    a, b, c, d = ((float(x), float(y)) for x, y in corners)
    return a, b, c, d
