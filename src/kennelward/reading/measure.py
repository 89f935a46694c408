"""From a photo to the strip's signals: find, refine, straighten, measure, orient."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kennelward.reading import tuning
from kennelward.reading.copied_line import is_line_copied
from kennelward.reading.found_lines import FoundLine, could_find, find_lines
from kennelward.reading.membrane import WindowLight, window_light
from kennelward.reading.networks import Floats, Networks, networks
from kennelward.reading.orient import well_at_start
from kennelward.reading.photo import Photo, open_photo
from kennelward.reading.planes import strip_planes
from kennelward.reading.refine import Levels
from kennelward.reading.refusals import refuse
from kennelward.reading.signals import Direction, Point, StripLayout, StripSignals
from kennelward.reading.straighten import turned_round
from kennelward.reading.strip_signals import signals_of_strip
from kennelward.reading.surface import is_copied
from kennelward.reading.windows import (
    Window,
    guessed_window,
    is_beside,
    marked_corners,
    window_near,
    windows_in_cut,
    windows_in_photo,
)
from kennelward.terms import Unreadable


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strip:
    """One window straightened, with the lines found on it."""

    window: Window
    planes: Floats  # (4, 48, 256), the first two corners at column 0
    lines: list[FoundLine]  # the likeliest first

    @property
    def seen(self) -> list[FoundLine]:
        """Lines that stand out from what blank membrane does."""
        return [line for line in self.lines if line.logit > tuning.LINE_LOGIT]

    def from_other_end(self) -> "Strip":
        """The same strip with its ends swapped."""
        corners = turned_round(self.window.corners)
        return Strip(
            window=replace(self.window, corners=corners),
            planes=self.planes[:, ::-1, ::-1].copy(),
            lines=[line.from_other_end() for line in self.lines],
        )


def measure_strip(
    photo: Photo,
    *,
    layout: StripLayout,
    corners: Sequence[Point] | None = None,
    flip: bool = False,
    well: Point | None = None,
    is_window_only: bool = False,
) -> StripSignals | Unreadable:
    """Measure the lines of the one strip in `photo`.

    `corners`: the window's four corners, one after the other, in pixels of the upright
    original, where a person marked them. `well`: where a person tapped the sample
    well. `flip`: a person says that the well is at the other end than drawn.
    `is_window_only`: the picture is already cut to about the window, so that nobody
    can see the well.
    """
    nets = networks()
    is_found_alone = corners is None and not is_window_only
    levels = Levels(photo.pixels)
    found = _strip_in(
        photo, levels, nets, corners=corners, is_window_only=is_window_only
    )
    if isinstance(found, Unreadable):
        return found
    light = window_light(photo.pixels, found.window.corners)
    no = _no_strip_of_its_own(found, photo, nets)
    if no is None and is_found_alone:
        no = _no_membrane(found.window, light)
    if no is not None:
        return no
    strip, direction, is_clear = _directed(
        found,
        photo,
        levels,
        nets,
        layout,
        flip=flip,
        well=well,
        is_window_only=is_window_only,
    )
    is_unsure = direction is Direction.UNSURE
    sure_spread = tuning.UNDIRECTED_SPREAD if is_unsure else tuning.SURE_SPREAD
    return signals_of_strip(
        strip.planes,
        strip.lines,
        layout=layout,
        direction=direction,
        corners=strip.window.corners * photo.shrink,
        could_see=could_find(
            strip.planes, strip.lines, nets, aspect=strip.window.aspect
        ),
        is_cut=strip.window.is_cut(photo.pixels.shape[1::-1]),
        is_window_unsure=strip.window.spread > sure_spread,
        is_housing_clear=is_clear,
        is_window_dark=light.is_dark and not is_window_only,
        reader=nets.version,
    )


def _no_strip_of_its_own(
    found: Strip, photo: Photo, nets: Networks
) -> Unreadable | None:
    """A photo of a copy, or a line copied from the other; None: neither."""
    if is_copied(photo.pixels, found.window.corners, nets):
        return refuse("copied-picture")
    if len(found.seen) > 1:
        places = found.seen[0].place, found.seen[1].place
        if is_line_copied(photo.pixels, found.window.corners, places):
            return refuse("copied-line")
    return None


def _no_membrane(window: Window, light: WindowLight) -> Unreadable | None:
    """A window that nobody marked: sure enough to be one, and pale enough."""
    if window.logit < tuning.STEADY_LOGIT:
        return refuse("window-unsure")
    return refuse("coloured-light") if light.is_coloured else None


def guess_window(data: bytes) -> tuple[Point, ...] | None:
    """Four corners to start from where a person marks the window; None: no idea."""
    photo = open_photo(data)
    if isinstance(photo, Unreadable):
        return None
    found = guessed_window(Levels(photo.pixels), networks())
    if found is None:
        return None
    return tuple((float(x), float(y)) for x, y in found * photo.shrink)


def _strip_in(
    photo: Photo,
    levels: Levels,
    nets: Networks,
    *,
    corners: Sequence[Point] | None,
    is_window_only: bool,
) -> Strip | Unreadable:
    if corners is not None:
        marked = marked_corners(photo, corners)
        if isinstance(marked, Unreadable):
            return marked
        return _straightened(photo, window_near(levels, marked, nets), nets)
    search = windows_in_cut if is_window_only else windows_in_photo
    windows = search(levels, nets)
    if not windows:
        return refuse("no-window")
    best, *others = windows
    if best.length_px < tuning.LEAST_WINDOW_PX:
        return refuse("too-far")
    most = tuning.MOST_SPREAD if is_window_only else tuning.SURE_SPREAD
    if best.spread > most:
        return refuse("window-unsure")
    strip = _straightened(photo, best, nets)
    if is_window_only:
        return strip
    for other in others:
        near = other.logit > best.logit - tuning.SECOND_WITHIN
        if near and is_beside(best, other) and _straightened(photo, other, nets).seen:
            return refuse("several-strips")
    return strip


def _straightened(photo: Photo, window: Window, nets: Networks) -> Strip:
    planes = strip_planes(photo.pixels, window.corners)
    return Strip(window=window, planes=planes, lines=find_lines(planes, nets))


def _directed(
    strip: Strip,
    photo: Photo,
    levels: Levels,
    nets: Networks,
    layout: StripLayout,
    *,
    flip: bool,
    well: Point | None,
    is_window_only: bool,
) -> tuple[Strip, Direction, bool]:
    """The strip with its sample end first, who says so, and whether that is beyond doubt."""
    is_clear = True
    start, end = (
        strip.window.corners[:2].mean(axis=0),
        strip.window.corners[2:].mean(axis=0),
    )
    if well is not None:
        tapped = np.asarray(well, np.float64) / photo.shrink
        is_turned = np.linalg.norm(tapped - end) < np.linalg.norm(tapped - start)
        direction = Direction.USER
    elif is_window_only:
        # nobody can see the well: the strongest line is taken for the control line
        middle = (layout.positions[0] + layout.positions[1]) / 2
        strongest = strip.lines[0].place if strip.lines else layout.positions[0]
        is_turned = (strongest > 0.5) != (layout.positions[0] > middle)
        direction = Direction.ASSUMED
    else:
        logit = well_at_start(levels, strip.window.corners, nets)
        is_sure = abs(logit) > tuning.FLOW_LOGIT
        is_clear = abs(logit) > tuning.CLEAR_FLOW_LOGIT
        direction = Direction.HOUSING if is_sure else Direction.UNSURE
        is_turned = logit < 0 if is_sure else _is_drawn_last(start, end)
    if flip:
        direction, is_turned, is_clear = Direction.USER, not is_turned, True
    return (strip.from_other_end() if is_turned else strip), direction, is_clear


def _is_drawn_last(start: np.ndarray, end: np.ndarray) -> bool:
    """The start lies to the right, or at the top of an upright strip."""
    along = end - start
    is_upright = abs(along[1]) > abs(along[0])
    return bool(along[1] > 0 if is_upright else along[0] < 0)
