"""Strip photos of the demo, drawn by our own code: no real product, no real photo.

Everything random comes from `rng`; the same generator state gives the same bytes.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from kennelward.demo.scenes_camera import (
    BACKGROUNDS,
    LIGHTINGS,
    draw_background,
    lay_on,
    light_scene,
    place_card,
    take_photo,
)
from kennelward.demo.scenes_card import CARD_MM, HOUSINGS, PX_PER_MM, paint_card
from kennelward.terms import BadInput, check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnStrip:
    """A drawn photo and the truth about it."""

    photo: bytes  # JPEG
    corners: NDArray[np.float64]  # (4, 2) of the window in photo pixels; the first
    # two are at the sample well's end


def draw_strip_photo(
    *,
    test_od: float,
    control_od: float,
    rng: Generator,
    housing: str = "slate",
    lighting: str = "even",
    blur: float = 0.7,
    noise: float = 1.0,
    angle: float = 0.0,
    scale: float = 1.0,
    background: str = "tiles",
    size: tuple[int, int] = (1600, 1200),
) -> bytes:
    """A JPEG of one strip. Contrasts are peak optical density in green, 0 to 1.5.

    `blur` is a sd in pixels, `noise` 1 an ordinary phone, `angle` in degrees,
    `scale` 1 lets the housing fill about half the picture's width.
    """
    return draw_strip(
        test_od=test_od, control_od=control_od, rng=rng, housing=housing,
        lighting=lighting, blur=blur, noise=noise, angle=angle, scale=scale,
        background=background, size=size,
    ).photo  # fmt: skip


def draw_strip(
    *,
    test_od: float,
    control_od: float,
    rng: Generator,
    housing: str = "slate",
    lighting: str = "even",
    blur: float = 0.7,
    noise: float = 1.0,
    angle: float = 0.0,
    scale: float = 1.0,
    background: str = "tiles",
    size: tuple[int, int] = (1600, 1200),
    quality: int = 90,
) -> DrawnStrip:
    """As `draw_strip_photo`, together with where the window really is."""
    for name, od in (("test_od", test_od), ("control_od", control_od)):
        check_range(name, od, low=0, high=1.5)
    _check_choice("housing", housing, tuple(HOUSINGS))
    _check_choice("lighting", lighting, LIGHTINGS)
    _check_choice("background", background, BACKGROUNDS)
    shape = HOUSINGS[housing]
    card, cover = paint_card(
        housing=shape, test_od=test_od, control_od=control_od, rng=rng
    )
    homography = place_card(size=size, angle=angle, scale=scale, rng=rng)
    surface = draw_background(kind=background, size=size, rng=rng)
    scene = lay_on(surface, card, cover, homography)
    scene = light_scene(scene, lighting=lighting, rng=rng)
    photo = take_photo(scene, blur=blur, noise=noise, quality=quality, rng=rng)
    left, right = (
        shape.window_centre_mm + side * shape.window_mm[0] / 2 for side in (-1, 1)
    )
    top, bottom = (CARD_MM[1] / 2 + side * shape.window_mm[1] / 2 for side in (-1, 1))
    window = np.array(
        [[[left, bottom], [left, top], [right, top], [right, bottom]]], np.float64
    )
    corners = cv2.perspectiveTransform(window * PX_PER_MM, homography)[0]
    return DrawnStrip(photo=photo, corners=np.asarray(corners, np.float64))


def _check_choice(name: str, value: str, allowed: tuple[str, ...]) -> None:
    if value not in allowed:
        raise BadInput(f"{name} must be one of {', '.join(allowed)}, got {value}")
