"""From a photo to the strip's signals: find, straighten, look around, measure."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kennelward.reading import tuning
from kennelward.reading.edges import (
    Boxes,
    Relief,
    plain_beside,
    relief_of,
    rim_score,
    settle,
)
from kennelward.reading.housing import Surroundings, look_around
from kennelward.reading.lines import Bump, fit_lines, noise_on_blank
from kennelward.reading.locate import crop_boxes, propose_boxes
from kennelward.reading.photo import Photo
from kennelward.reading.profile import Profile, profile_of
from kennelward.reading.refusals import refuse
from kennelward.reading.signals import Direction, Point, StripLayout, StripSignals
from kennelward.reading.straighten import (
    Corners,
    corners_of_box,
    straighten,
    turned_round,
)
from kennelward.reading.strip import signals_of
from kennelward.terms import Unreadable

_RIM = 24  # rows and columns kept around the straightened window


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Window:
    """A window in the photo and what speaks for it."""

    corners: Corners
    rim: float  # `rim_score` of the settled box
    profile: Profile
    around: Surroundings | None  # None in a picture cut to the window
    strongest: Bump
    unrest: float  # optical density; unevenness along the membrane where no line is

    @property
    def length_px(self) -> float:
        """Length in pixels of the photo as kept."""
        return float(np.linalg.norm(self.corners[2] - self.corners[1]))

    @property
    def has_line(self) -> bool:
        """A line lies right across it."""
        bump = self.strongest
        return (
            bump.green > 0.045
            and 0.18 < bump.place < 0.82
            and bump.steady > tuning.BAND_SHARE
            and bump.fit > 0.55
        )

    @property
    def has_gold_line(self) -> bool:
        """Its line is redder than grey; most background is not."""
        ratio = self.strongest.red / max(self.strongest.green, 1e-6)
        return self.has_line and -0.1 < ratio < tuning.GREY_RATIO

    @property
    def is_pale(self) -> bool:
        """Its inside is about as light as the housing, and not strongly coloured."""
        if self.around is None:
            return True
        membrane, body = np.array(self.profile.membrane), np.array(self.around.body)
        tint = min(float(np.ptp(membrane)), float(np.ptp(membrane - body)))
        return tint < 0.5 and float((membrane - body).max()) > -0.7

    @property
    def worth(self) -> float:
        """Orders windows; more is better. A sharp rim alone says little: floor tiles
        and the housing itself have sharper ones."""
        line = 0.3 * self.strongest.fit * (1.0 if self.has_gold_line else 0.5)
        return (
            _rim_worth(self.rim)
            + (line if self.has_line else 0.0)
            + _around_worth(self.around)
            - 5.0 * min(self.unrest, 0.05)
        )

    @property
    def is_strip(self) -> bool:
        """Enough speaks for it to be called a strip's window at all.

        Where no line is seen, which would be a failed test, most is asked for.
        """
        if self.around is None:
            return self.unrest < tuning.CROP_UNREST
        plain, well = self.around.plastic, self.around.has_well
        if not self.is_pale or self.rim < 0.015 or self.length_px < 40:
            return False
        if self.has_gold_line and well:
            return plain > 0.6 and self.unrest < 0.03
        if self.has_gold_line:
            return plain > 0.8 and self.unrest < 0.02 and self.rim > 0.05
        return well and plain > 0.85 and self.unrest < 0.015 and self.length_px > 70


def _rim_worth(rim: float) -> float:
    return 2.0 * max(-0.05, min(rim, 0.15))


def _around_worth(around: Surroundings | None) -> float:
    if around is None:
        return 0.0
    well = max(around.well_at_start, around.well_at_end) if around.has_well else 0.0
    return 0.3 * around.plastic + 0.5 * well


def measure_classically(
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
    if corners is not None:
        outline = marked_corners(photo, corners)
        found: Window | Unreadable = (
            outline
            if isinstance(outline, Unreadable)
            else _window_at(photo, outline, rim=1.0, is_window_only=is_window_only)
        )
    elif is_window_only:
        found = _in_crop(photo, layout)
    else:
        found = _in_photo(photo, layout)
    if isinstance(found, Unreadable):
        return found
    window, direction = _directed(found, photo, flip=flip, well=well)
    return signals_of(
        window.profile,
        layout=layout,
        direction=direction,
        corners=window.corners * photo.shrink,
        window_px=window.length_px,
    )


def marked_corners(photo: Photo, corners: Sequence[Point]) -> Corners | Unreadable:
    """Corners a person marked, as our order; refused where they are no window."""
    import cv2

    marked = np.asarray(corners, np.float64)
    if marked.shape != (4, 2) or not np.isfinite(marked).all():
        return refuse("bad-corners")
    marked = marked / photo.shrink
    rows, columns = photo.pixels.shape[:2]
    inside = (marked > -0.05 * rows).all() and (
        marked < 1.05 * max(rows, columns)
    ).all()
    if not inside or not cv2.isContourConvex(marked.astype(np.float32)):
        return refuse("bad-corners")
    if cv2.contourArea(marked.astype(np.float32), oriented=True) < 0:
        marked = marked[::-1]
    if np.linalg.norm(marked[1] - marked[0]) > np.linalg.norm(marked[2] - marked[1]):
        marked = np.roll(marked, -1, axis=0)
    if np.linalg.norm(marked[1] - marked[0]) < 5:
        return refuse("too-far")
    return _left_or_bottom_first(marked)


def _left_or_bottom_first(corners: Corners) -> Corners:
    """Sample end drawn to the left, or to the bottom of an upright strip."""
    along = corners[2:].mean(axis=0) - corners[:2].mean(axis=0)
    is_upright = abs(along[1]) > abs(along[0])
    wrong = along[1] > 0 if is_upright else along[0] < 0
    return turned_round(corners) if wrong else corners


def _window_at(
    photo: Photo, corners: Corners, *, rim: float, is_window_only: bool
) -> Window:
    corners = _left_or_bottom_first(corners)
    share = (_RIM / tuning.STRIP_LENGTH, _RIM / tuning.STRIP_WIDTH)
    wide = straighten(
        photo.pixels,
        corners,
        length=tuning.STRIP_LENGTH,
        width=tuning.STRIP_WIDTH,
        around=share,
    )
    profile = profile_of(wide, rim=_RIM)
    strongest = fit_lines(profile).best_in(0.1, 0.9)
    calm = fit_lines(profile, without=(strongest,))
    return Window(
        corners=corners,
        rim=rim,
        profile=profile,
        around=None if is_window_only else look_around(photo.pixels, corners),
        strongest=strongest,
        unrest=noise_on_blank(calm, places=(0.34, 0.66), within=0.1),
    )


def _copy(photo: Photo, side: int) -> tuple[NDArray[np.uint8], float]:
    """A copy with `side` pixels on its long side, and its scale."""
    import cv2

    scale = side / max(photo.pixels.shape[:2])
    method = cv2.INTER_AREA if scale < 1 else cv2.INTER_CUBIC
    small = cv2.resize(photo.pixels, None, fx=scale, fy=scale, interpolation=method)
    return np.asarray(small, np.uint8), scale


def _settled(
    photo: Photo,
    layout: StripLayout,
    *,
    side: int,
    is_window_only: bool,
) -> list[Window]:
    """Windows of the photo, the likeliest first."""
    import cv2

    aspect = (layout.window_aspect_low, layout.window_aspect_high)
    colours, scale = _copy(photo, side)
    relief = relief_of(cv2.cvtColor(colours, cv2.COLOR_RGB2GRAY))
    boxes = propose_boxes(colours, aspect=aspect)
    size = (colours.shape[1], colours.shape[0])
    if is_window_only:
        boxes = boxes[boxes[:, 2] > 0.4 * max(size)]
        boxes = np.concatenate([crop_boxes(size), boxes])
    if not len(boxes):
        return []
    first = rim_score(relief, boxes)
    if not is_window_only:
        boxes, first = _in_plastic(colours, relief, boxes, first)
    order = np.argsort(-first)[: tuning.KEEP_CANDIDATES]
    windows: list[Window] = []
    for i in order:
        box, rim = settle(relief, boxes[i], aspect=aspect)
        if not aspect[0] <= box[2] / box[3] <= aspect[1]:
            continue
        if is_window_only:  # it is said to fill most of the picture
            rim -= 0.3 * max(0.0, 0.62 - box[2] / max(size))
        corners = (corners_of_box(box) + 0.5) / scale - 0.5
        if any(_is_same(corners, other.corners) for other in windows):
            continue
        windows.append(
            _window_at(photo, corners, rim=rim, is_window_only=is_window_only)
        )
    return sorted(windows, key=lambda window: -window.worth)


def _in_plastic(
    colours: NDArray[np.uint8],
    relief: Relief,
    boxes: Boxes,
    rim: NDArray[np.float64],
) -> tuple[Boxes, NDArray[np.float64]]:
    """Boxes with plain plastic beside them, and a first worth that knows of it."""
    kept, worth = [], []
    likely = (rim > -0.03) & (plain_beside(relief, boxes) > 0.45)
    for box, score in zip(boxes[likely], rim[likely], strict=True):
        around = look_around(colours, corners_of_box(box))
        if around.plastic < 0.5:
            continue
        kept.append(box)
        worth.append(_rim_worth(score) + _around_worth(around))
    return np.array(kept).reshape(-1, 5), np.array(worth)


def _is_same(one: Corners, other: Corners) -> bool:
    """Two boxes that settled on the same place."""
    side = np.linalg.norm(other[1] - other[0])
    return bool(np.abs(one - other).max() < 0.12 * side)


def _in_crop(photo: Photo, layout: StripLayout) -> Window | Unreadable:
    windows = _settled(photo, layout, side=tuning.CROP_SIDE, is_window_only=True)
    if not windows or windows[0].rim < 0.005 or not windows[0].is_strip:
        return refuse("no-window")
    return windows[0]


def _in_photo(photo: Photo, layout: StripLayout) -> Window | Unreadable:
    windows = [
        window
        for window in _settled(
            photo, layout, side=tuning.WORK_SIDE, is_window_only=False
        )
        if window.is_strip
    ]
    if not windows:
        return refuse("no-window")
    best = windows[0]
    if any(_is_other_strip(other, best) for other in windows[1:]):
        return refuse("several-strips")
    return best


def _is_other_strip(other: Window, best: Window) -> bool:
    """A second strip, and not another piece of the same one: beside its axis."""
    apart = other.corners.mean(axis=0) - best.corners.mean(axis=0)
    along = best.corners[2] - best.corners[1]
    length = float(np.linalg.norm(along))
    beside = abs(apart[0] * along[1] - apart[1] * along[0]) / length
    width = float(np.linalg.norm(best.corners[1] - best.corners[0]))
    return beside > 2 * width and other.has_line and other.worth > 0.75 * best.worth


def _directed(
    window: Window, photo: Photo, *, flip: bool, well: Point | None
) -> tuple[Window, Direction]:
    """The window with its sample end first, and who says so."""
    direction = Direction.UNSURE if window.around is not None else Direction.ASSUMED
    is_turned = False
    if window.around is not None and window.around.has_well:
        direction = Direction.HOUSING
        is_turned = window.around.well_at_end > window.around.well_at_start
    if well is not None:
        direction = Direction.USER
        tapped = np.asarray(well, np.float64) / photo.shrink
        start, end = window.corners[:2].mean(axis=0), window.corners[2:].mean(axis=0)
        is_turned = bool(np.linalg.norm(tapped - end) < np.linalg.norm(tapped - start))
    if flip:
        direction, is_turned = Direction.USER, not is_turned
    if not is_turned:
        return window, direction
    return (
        replace(
            window,
            corners=turned_round(window.corners),
            profile=window.profile.reversed(),
        ),
        direction,
    )
