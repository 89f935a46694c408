"""From a profile to signals: each line with its interval, and what could be seen."""

import math

import numpy as np

from kennelward.reading import tuning
from kennelward.reading.lines import Bump, Fits, fit_lines, noise_on_blank
from kennelward.reading.profile import Profile
from kennelward.reading.signals import (
    Direction,
    LineSignal,
    Point,
    Quality,
    StripLayout,
    StripSignals,
)
from kennelward.reading.straighten import Corners


def signals_of(
    profile: Profile,
    *,
    layout: StripLayout,
    direction: Direction,
    corners: Corners,
    window_px: float,
) -> StripSignals:
    """Measure each place of `layout` on `profile`."""
    names, places = _places(layout, direction)
    tolerance = layout.position_tolerance
    first = fit_lines(profile)
    strongest = first.best_in(min(places) - tolerance, max(places) + tolerance)
    masked = (strongest,) if strongest.green > tuning.LEAST_LINE else ()
    fits = fit_lines(profile, without=masked) if masked else first
    quality = _quality(profile, window_px)
    keeps = _kept_contrast(profile)
    bumps = [_bump_at(place, tolerance, strongest, fits) for place in places]
    # every place is left out of the noise, line or no line, so that a strong line
    # does not make its own photo look worse
    blank = fit_lines(profile, without=tuple(bumps))
    noise = noise_on_blank(blank, places=places, within=0.10)
    limit = max(tuning.LEAST_LINE, tuning.FALSE_ALARM_Z * noise)
    lines = tuple(
        _signal(name, bump, noise=noise, limit=limit)
        for name, bump in zip(names, bumps, strict=True)
    )
    could_see = (limit + 1.645 * noise) / keeps
    if quality.clipped > 0.25 or quality.dark > 0.5:
        could_see = 1.0
    extra = fits.best_in(0.12, 0.88)
    known = any(abs(extra.place - bump.place) < 0.06 for bump in bumps)
    is_extra = not known and extra.green > max(0.08, 3 * limit) and _is_even(extra)
    return StripSignals(
        lines=lines,
        direction=direction,
        could_see=float(could_see),
        quality=quality,
        corners=_as_points(corners),
        profile=_shown(profile, bumps),
        detection_limit=limit,
        extra_lines=int(is_extra),
        reader=tuning.READER,
    )


def _places(
    layout: StripLayout, direction: Direction
) -> tuple[tuple[str, ...], tuple[float, ...]]:
    """Names and places of the lines; without a direction neither end has a name."""
    if direction is not Direction.UNSURE:
        return layout.lines, layout.positions
    words = ("first", "second", "third", "fourth", "fifth")
    places = sorted(
        (place + 1 - other) / 2
        for place, other in zip(
            sorted(layout.positions), sorted(layout.positions, reverse=True),
            strict=True,
        )
    )  # fmt: skip
    return words[: len(places)], tuple(places)


def _bump_at(place: float, tolerance: float, strongest: Bump, fits: Fits) -> Bump:
    if abs(strongest.place - place) <= tolerance:
        return strongest
    return fits.best_in(place - tolerance, place + tolerance)


def _is_even(bump: Bump) -> bool:
    return bump.steady > tuning.BAND_SHARE


def _signal(name: str, bump: Bump, *, noise: float, limit: float) -> LineSignal:
    # scale error: the line's shape is not known better than 8 % (scenes)
    sd = math.hypot(noise, 0.08 * max(bump.green, 0))
    half = tuning.INTERVAL_Z * sd
    is_seen = bump.green > limit and _is_even(bump) and bump.fit > 0.3
    chance = 1 / (1 + math.exp(-_bounded((bump.green - limit) / (0.6 * noise))))
    if not _is_even(bump):
        chance = min(chance, 0.4)
    ratio = 0.0
    if bump.green >= tuning.GREY_FROM:
        ratio = max(0.0, bump.red / bump.green)
    sure_ratio = ratio - 2 * noise / max(bump.green, noise)
    return LineSignal(
        name=name,
        position=bump.place,
        contrast=bump.green,
        low=bump.green - half,
        high=bump.green + half,
        noise_sd=noise,
        chance_line=chance,
        is_seen=is_seen,
        red_to_green=ratio,
        is_grey=is_seen and sure_ratio > tuning.GREY_RATIO,
    )


def _bounded(value: float) -> float:
    return max(-30.0, min(30.0, value))


def _kept_contrast(profile: Profile) -> float:
    """Share of a faint line's contrast that the blur leaves.

    The rim's step is about as wide as blur makes it: 2.5 sd of a bell. A line of sd
    s keeps s / sqrt(s^2 + blur^2).
    """
    sigma = tuning.LINE_SIGMAS[1] * profile.size
    blur = max(0.0, profile.edge_px - 4.0) / 2.5
    # across is 5 times finer than along in the straightened strip
    blur_along = blur * (tuning.STRIP_LENGTH / tuning.STRIP_WIDTH) / 4.2
    kept = sigma / math.hypot(sigma, blur_along)
    # The rim's step stops widening with the window's own rim. Drawn scenes at blur sd
    # 3, 5, 7, 9 px kept .73 .53 .30 .28 of a line's peak where the step alone says
    # .90 .73 .65 .61; its cube never claims notably more than was kept.
    return kept**3


def _quality(profile: Profile, window_px: float) -> Quality:
    smooth = np.convolve(profile.green, np.ones(41) / 41, mode="valid")
    return Quality(
        window_px=window_px,
        sharpness=_kept_contrast(profile),
        clipped=profile.clipped,
        dark=profile.dark,
        unevenness=float(np.ptp(smooth)),
    )


def _shown(profile: Profile, bumps: list[Bump]) -> tuple[float, ...]:
    """The profile over its own baseline, for drawing: lines as they stand out."""
    columns = (np.arange(profile.size) + 0.5) / profile.size
    weight = np.ones(profile.size)
    weight[(columns < 0.05) | (columns > 0.95)] = 0.05
    for bump in bumps:
        weight[np.abs(columns - bump.place) < 2.6 * bump.sigma] = 0.0
    level = np.polynomial.Polynomial.fit(columns, profile.green, 4, w=weight + 1e-6)
    return tuple(round(float(v), 5) for v in profile.green - level(columns))


def _as_points(corners: Corners) -> tuple[Point, Point, Point, Point]:
    a, b, c, d = ((float(x), float(y)) for x, y in corners)
    return a, b, c, d
