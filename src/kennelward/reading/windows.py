"""The strip's window in a photo: all that may be one, refined, compared, chosen or not."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kennelward.reading import tuning
from kennelward.reading.candidates import found_by_network, whole_picture
from kennelward.reading.networks import Networks
from kennelward.reading.photo import Photo
from kennelward.reading.refine import (
    Levels,
    Refined,
    apart,
    is_sound,
    length_of,
    overlap,
    refine,
    width_of,
)
from kennelward.reading.refusals import refuse
from kennelward.reading.signals import Point
from kennelward.reading.straighten import Corners, turned_round
from kennelward.terms import Unreadable

_NUDGES = (  # length, turn in degrees, shift along and across as shares of the length
    (0.9, 5.0, 0.02, 0.015),
    (1.12, 175.0, -0.02, -0.015),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Window:
    """A window in pixels of the photo as kept, and how sure its place is."""

    corners: Corners
    logit: float  # of being a membrane window
    spread: float  # share of the length by which nudged starts end apart

    @property
    def length_px(self) -> float:
        """Length in pixels of the photo as kept."""
        return length_of(self.corners)

    @property
    def aspect(self) -> float:
        """Length over width."""
        return self.length_px / max(width_of(self.corners), 1.0)

    def is_cut(self, size: tuple[int, int]) -> bool:
        """An end of it lies outside a picture of this width and height."""
        slack = tuning.CUT_SLACK * self.length_px
        low, high = self.corners.min(axis=0), self.corners.max(axis=0)
        return bool((low < -slack).any() or (high > np.array(size) + slack).any())


def windows_in_photo(photo: Levels, nets: Networks) -> list[Window]:
    """Windows that the refiner believes in, the likeliest first."""
    starts = [candidate.corners for candidate in found_by_network(photo, nets)]
    found = _refined(photo, starts, nets)
    return _believed(photo, found, nets, least=tuning.WINDOW_LOGIT)


def windows_in_cut(photo: Levels, nets: Networks) -> list[Window]:
    """The same for a picture already cut to about one window."""
    first, others = whole_picture(photo.size)
    found = _refined(photo, first, nets)
    if max((one.logit for one in found), default=-9.0) < tuning.CUT_CLEAR_LOGIT:
        found += _refined(photo, others, nets)
    best = sorted(found, key=lambda one: -one.logit)[:1]
    return _believed(photo, best, nets, least=tuning.CUT_LOGIT)


def guessed_window(photo: Levels, nets: Networks) -> Corners | None:
    """The likeliest place of a window, however unlikely; None where nothing is like one."""
    starts = [candidate.corners for candidate in found_by_network(photo, nets)]
    found = _refined(photo, starts, nets)
    best = max(found, key=lambda one: one.logit, default=None)
    return best.corners if best is not None else None


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
    if not is_sound(marked):
        return refuse("too-far")
    return _left_or_bottom_first(marked)


def _left_or_bottom_first(corners: Corners) -> Corners:
    """Sample end drawn to the left, or to the bottom of an upright strip."""
    along = corners[2:].mean(axis=0) - corners[:2].mean(axis=0)
    is_upright = abs(along[1]) > abs(along[0])
    wrong = along[1] > 0 if is_upright else along[0] < 0
    return turned_round(corners) if wrong else corners


def window_near(photo: Levels, marked: Corners, nets: Networks) -> Window:
    """The window a person marked, roughly or well.

    The refiner's answer is taken where it stays near the marks; else the marks stand.
    """
    once = _refined(photo, [marked], nets)
    found = _steadied(photo, [one.corners for one in once], nets)
    if found and apart(marked, found[0].corners) < tuning.MARKS_WITHIN:
        return found[0]
    return Window(corners=marked, logit=0.0, spread=0.0)


def is_beside(one: Window, other: Window) -> bool:
    """Two places, not one window seen twice or a piece of it."""
    between = one.corners.mean(axis=0) - other.corners.mean(axis=0)
    reach = 0.5 * max(width_of(one.corners), width_of(other.corners))
    is_far = float(np.linalg.norm(between)) > reach
    return is_far and overlap(one.corners, other.corners) < 0.1


def _refined(photo: Levels, starts: list[Corners], nets: Networks) -> list[Refined]:
    found = refine(photo, [start for start in starts if is_sound(start)], nets)
    return [one for one in found if is_sound(one.corners)]


def _believed(
    photo: Levels, found: list[Refined], nets: Networks, *, least: float
) -> list[Window]:
    distinct: list[Refined] = []
    for one in sorted(found, key=lambda refined: -refined.logit):
        if one.logit < least or len(distinct) == tuning.MOST_WINDOWS:
            break
        if all(overlap(one.corners, other.corners) < 0.3 for other in distinct):
            distinct.append(one)
    windows = _steadied(photo, [one.corners for one in distinct], nets)
    return sorted(windows, key=lambda window: -window.logit)


def _steadied(photo: Levels, starts: list[Corners], nets: Networks) -> list[Window]:
    """Each of `starts` refined again from two nudged places; the middle, and the spread.

    One of the two looks at it from the other end.
    """
    nudged = [_nudged(start, *by) for start in starts for by in _NUDGES]
    refined = refine(photo, nudged, nets)
    windows = []
    for i in range(len(starts)):
        group = refined[i * len(_NUDGES) : (i + 1) * len(_NUDGES)]
        each = np.stack([one.corners for one in group])
        each[1] = turned_round(each[1])
        middle = each.mean(axis=0)
        if not is_sound(middle):
            continue
        off = np.linalg.norm(each - middle, axis=2).mean(axis=1)
        windows.append(
            Window(
                corners=middle,
                logit=float(np.mean([one.logit for one in group])),
                spread=float(np.mean(off)) / length_of(middle),
            )
        )
    return windows


def _nudged(
    corners: Corners, grow: float, degrees: float, along: float, across: float
) -> Corners:
    centre = corners.mean(axis=0)
    flow = corners[2:].mean(axis=0) - corners[:2].mean(axis=0)
    turn = np.deg2rad(degrees)
    rotate = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    shift = along * flow + across * np.array((-flow[1], flow[0]))
    nudged: Corners = (corners - centre) @ rotate * grow + centre + shift
    return nudged
