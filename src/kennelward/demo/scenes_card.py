"""A strip in a housing of our own design, painted flat in millimetres.

The card is linear-light reflectance, 0 to 1, `PX_PER_MM` pixels to the millimetre,
sample well to the left. Nothing on it imitates a product: no letters, no marks.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

Picture = NDArray[np.float32]  # (rows, columns, 3) linear RGB, 0 to 1
PX_PER_MM = 16
CARD_MM = (70.0, 22.0)  # length, width of the painted piece, with a rim around it
LINE_PLACES = {"test": 0.36, "control": 0.66}  # share of the window, from the well
GOLD_OD = np.array([0.25, 1.0, 0.75], np.float32)  # R, G, B of a gold line at OD 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Housing:
    """Shape and colour of one of our housings; lengths in millimetres."""

    body: tuple[float, float, float]  # linear reflectance
    corner_mm: float
    window_mm: tuple[float, float]  # length, width
    window_centre_mm: float  # from the left end of the card
    window_corner_mm: float
    chamfer_mm: float  # sloped wall around the window
    well_mm: tuple[float, float]  # length, width
    well_centre_mm: float
    ridges: int  # grip ridges at the far end


HOUSINGS = {
    "slate": Housing(
        body=(0.50, 0.55, 0.62), corner_mm=3.0, window_mm=(16.0, 4.0),
        window_centre_mm=39.0, window_corner_mm=0.6, chamfer_mm=1.3,
        well_mm=(7.5, 5.5), well_centre_mm=15.0, ridges=5,
    ),
    "meadow": Housing(
        body=(0.58, 0.70, 0.55), corner_mm=6.0, window_mm=(15.0, 3.6),
        window_centre_mm=38.0, window_corner_mm=1.8, chamfer_mm=1.0,
        well_mm=(6.0, 6.0), well_centre_mm=16.0, ridges=0,
    ),
    "plain": Housing(
        body=(0.78, 0.78, 0.76), corner_mm=2.0, window_mm=(17.0, 4.2),
        window_centre_mm=40.0, window_corner_mm=0.4, chamfer_mm=1.6,
        well_mm=(8.0, 5.0), well_centre_mm=15.0, ridges=7,
    ),
    "oval": Housing(
        body=(0.72, 0.68, 0.62), corner_mm=9.0, window_mm=(15.0, 3.8),
        window_centre_mm=38.5, window_corner_mm=1.9, chamfer_mm=1.2,
        well_mm=(7.0, 4.6), well_centre_mm=16.0, ridges=3,
    ),
}  # fmt: skip


def paint_card(
    *, housing: Housing, test_od: float, control_od: float, rng: Generator
) -> tuple[Picture, NDArray[np.float32]]:
    """The card and where it covers what lies behind it (0 to 1).

    `test_od` and `control_od` are peak optical density in green.
    """
    shape = (round(CARD_MM[1] * PX_PER_MM), round(CARD_MM[0] * PX_PER_MM))
    card = np.empty((*shape, 3), np.float32)
    card[:] = housing.body
    middle = CARD_MM[1] / 2
    body = _rounded(
        shape, centre_mm=(CARD_MM[0] / 2, middle), size_mm=(68.0, 20.0),
        corner_mm=housing.corner_mm,
    )  # fmt: skip
    edge = cv2.GaussianBlur(body, (0, 0), 0.5 * PX_PER_MM)
    card *= (0.72 + 0.28 * np.clip(edge, 0, 1) ** 2)[..., None]
    for ridge in range(housing.ridges):
        _ridge(card, at_mm=57.0 + 1.3 * ridge, middle_mm=middle)
    _pit(
        card, (housing.well_centre_mm, middle), housing.well_mm,
        min(housing.well_mm) / 2, 0.9,
    )  # fmt: skip
    well = _rounded(
        shape, centre_mm=(housing.well_centre_mm, middle), size_mm=housing.well_mm,
        corner_mm=min(housing.well_mm) / 2,
    )  # fmt: skip
    pad = np.array((0.55, 0.52, 0.47), np.float32) * (
        1 - 0.05 * rng.standard_normal((*shape, 1)).astype(np.float32)
    )
    card = card * (1 - well[..., None]) + pad * well[..., None] * 0.8
    window_centre = (housing.window_centre_mm, middle)
    _pit(card, window_centre, housing.window_mm, housing.window_corner_mm,
         housing.chamfer_mm)  # fmt: skip
    window = _rounded(
        shape, centre_mm=window_centre, size_mm=housing.window_mm,
        corner_mm=housing.window_corner_mm,
    )  # fmt: skip
    membrane = _membrane(shape, housing, test_od, control_od, rng)
    card = card * (1 - window[..., None]) + membrane * window[..., None]
    return card.astype(np.float32), body


def _rounded(
    shape: tuple[int, int],
    *,
    centre_mm: tuple[float, float],
    size_mm: tuple[float, float],
    corner_mm: float,
) -> NDArray[np.float32]:
    """1 inside a rectangle with round corners, 0 outside, soft over one pixel."""
    rows, columns = np.mgrid[: shape[0], : shape[1]].astype(np.float32) / PX_PER_MM
    radius = min(corner_mm, *(side / 2 for side in size_mm))
    away_x = np.abs(columns - centre_mm[0]) - size_mm[0] / 2 + radius
    away_y = np.abs(rows - centre_mm[1]) - size_mm[1] / 2 + radius
    outside = np.hypot(np.maximum(away_x, 0), np.maximum(away_y, 0))
    distance = outside + np.minimum(np.maximum(away_x, away_y), 0) - radius
    inside: NDArray[np.float32] = np.clip(0.5 - distance * PX_PER_MM, 0, 1)
    return inside.astype(np.float32)


def _pit(
    card: Picture,
    centre_mm: tuple[float, float],
    size_mm: tuple[float, float],
    corner_mm: float,
    wall_mm: float,
) -> None:
    """Sloped walls around an opening: the upper wall in shade, the lower one lit."""
    shape = (card.shape[0], card.shape[1])
    outer = _rounded(
        shape, centre_mm=centre_mm,
        size_mm=(size_mm[0] + 2 * wall_mm, size_mm[1] + 2 * wall_mm),
        corner_mm=corner_mm + wall_mm,
    )  # fmt: skip
    soft = cv2.GaussianBlur(outer, (0, 0), 0.4 * wall_mm * PX_PER_MM)
    slope = cv2.Sobel(soft, cv2.CV_32F, 0, 1, ksize=3)
    slope /= max(float(np.abs(slope).max()), 1e-6)
    side = cv2.Sobel(soft, cv2.CV_32F, 1, 0, ksize=3)
    side /= max(float(np.abs(side).max()), 1e-6)
    shade = 1 - outer * (0.10 + 0.20 * slope + 0.08 * side)
    card *= shade[..., None]


def _ridge(card: Picture, *, at_mm: float, middle_mm: float) -> None:
    """One grip ridge: a dark and a light stroke across the far end."""
    column = round(at_mm * PX_PER_MM)
    top, bottom = (round((middle_mm + d) * PX_PER_MM) for d in (-5.0, 5.0))
    card[top:bottom, column : column + 5] *= 0.82
    card[top:bottom, column + 5 : column + 9] *= 1.08


def _membrane(
    shape: tuple[int, int],
    housing: Housing,
    test_od: float,
    control_od: float,
    rng: Generator,
) -> Picture:
    """The strip seen through the window, with its two lines.

    Unevenness of the membrane: OD sd .002 at millimetre scale, as the good level of
    the prototype's table; the shadow of the wall falls on both ends.
    """
    length, width = housing.window_mm
    along = np.arange(shape[1], dtype=np.float32) / PX_PER_MM
    share = (along - housing.window_centre_mm) / length + 0.5
    rows = np.arange(shape[0], dtype=np.float32) / PX_PER_MM - CARD_MM[1] / 2
    density = np.zeros((*shape, 3), np.float32)
    for name, od in (("test", test_od), ("control", control_od)):
        width_mm = float(rng.uniform(0.8, 1.1))
        tilt = float(rng.normal(0, 0.02))
        place = (LINE_PLACES[name] + float(rng.normal(0, 0.01))) * length
        offset = (share * length)[None, :] - place - tilt * rows[:, None]
        line = np.exp(-(np.abs(offset / (0.5 * width_mm)) ** 3))
        tail = 0.12 * np.exp(-np.maximum(offset, 0) / 0.8) * (offset > 0)
        density += (od * np.maximum(line, tail))[..., None] * GOLD_OD
    coarse = rng.normal(0, 1, (24, 70)).astype(np.float32)
    uneven = cv2.resize(coarse, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    streaks = np.repeat(rng.normal(0, 0.0015, (shape[0] // 8 + 1, 1)), 8, axis=0)
    density += (0.002 * uneven + streaks[: shape[0]].astype(np.float32))[..., None]
    density += (0.02 * np.exp(-share * 6) * (share > 0)).astype(np.float32)[..., None]
    near_wall = np.exp(-(width / 2 + rows) / 0.35)[:, None]  # shadow under the rim
    ends = np.exp(-share * length / 0.5) + 0.5 * np.exp(-(1 - share) * length / 0.4)
    shadow = 1 - 0.30 * np.clip(near_wall, 0, 1) - 0.25 * np.clip(ends, 0, 1)[None, :]
    base = np.array((0.80, 0.78, 0.75), np.float32)
    return (base * 10.0**-density * shadow[..., None]).astype(np.float32)
