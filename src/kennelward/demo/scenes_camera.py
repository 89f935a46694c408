"""A phone looks at the card: backgrounds, perspective, light, lens, sensor, JPEG."""

import io

import cv2
import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from kennelward.demo.scenes_card import CARD_MM, PX_PER_MM, Picture

Homography = NDArray[np.float64]  # (3, 3), card pixels to photo pixels
BACKGROUNDS = ("tiles", "wood", "steel", "towel")
LIGHTINGS = ("even", "window", "dim", "dark")
_EXPOSURE = {"even": 0.95, "window": 0.95, "dim": 0.45, "dark": 0.012}


def place_card(
    *, size: tuple[int, int], angle: float, scale: float, rng: Generator
) -> Homography:
    """Where the card lies: turned by `angle` degrees, filling about 55 % * `scale`.

    The camera is tilted a little, as a hand holds it.
    """
    length, width = CARD_MM[0] * PX_PER_MM, CARD_MM[1] * PX_PER_MM
    half = 0.275 * scale * size[0]
    ratio = width / length
    corners = np.array([[-1, -ratio], [1, -ratio], [1, ratio], [-1, ratio]], np.float64)
    tilt = rng.normal(0, 0.05, 2)
    depth = 1 + corners @ tilt
    turn = np.deg2rad(angle)
    turned = corners @ np.array(
        [[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]
    )
    centre = np.array(size) / 2 + rng.normal(0, 0.03, 2) * size
    seen = (turned / depth[:, None] * half + centre).astype(np.float32)
    card = np.array([[0, 0], [length, 0], [length, width], [0, width]], np.float32)
    return np.asarray(cv2.getPerspectiveTransform(card, seen), np.float64)


def lay_on(
    background: Picture,
    card: Picture,
    cover: NDArray[np.float32],
    homography: Homography,
) -> Picture:
    """The card on its background, with a soft shadow beside it."""
    size = (background.shape[1], background.shape[0])
    # the card is several times finer than the photo: blur first, so that it does not
    # alias
    step = 1 / max(float(np.sqrt(abs(np.linalg.det(homography[:2, :2])))), 1e-3)
    soft = cv2.GaussianBlur(card, (0, 0), max(0.3, 0.4 * step))
    seen = cv2.warpPerspective(soft, homography, size, flags=cv2.INTER_LINEAR)
    mask = cv2.warpPerspective(cover, homography, size, flags=cv2.INTER_LINEAR)
    moved = np.array([[1, 0, 6], [0, 1, 9]], np.float32)
    shadow = cv2.GaussianBlur(cv2.warpAffine(mask, moved, size), (0, 0), 9)
    under = background * (1 - 0.45 * shadow)[..., None]
    laid: Picture = under * (1 - mask[..., None]) + seen * mask[..., None]
    return laid


def draw_background(*, kind: str, size: tuple[int, int], rng: Generator) -> Picture:
    """A surface of a kennel room, linear light."""
    width, height = size
    rows, columns = np.mgrid[:height, :width].astype(np.float32)
    grain = rng.normal(0, 1, (height // 4, width // 4)).astype(np.float32)
    grain = cv2.resize(cv2.GaussianBlur(grain, (0, 0), 1), size)
    if kind == "tiles":
        grout = ((columns + 37) % 420 < 9) | ((rows + 91) % 420 < 9)
        tone = np.where(grout, 0.16, 0.33) + 0.010 * grain
        colour = (0.95, 1.0, 1.05)
    elif kind == "wood":
        waves = np.sin(rows / 23 + 3 * np.sin(columns / 400)) + 0.4 * grain
        tone, colour = 0.22 + 0.03 * waves, (1.35, 1.0, 0.6)
    elif kind == "steel":
        brushed = cv2.GaussianBlur(grain, (0, 0), sigmaX=60, sigmaY=0.8)
        tone, colour = 0.42 + 0.15 * brushed, (0.98, 1.0, 1.02)
    else:
        weave = np.sin(columns / 2.2) * np.sin(rows / 2.2)
        tone, colour = 0.25 + 0.04 * weave + 0.02 * grain, (0.7, 0.9, 1.3)
    picture: Picture = tone[..., None].astype(np.float32) * np.asarray(
        colour, np.float32
    )
    return picture


def light_scene(scene: Picture, *, lighting: str, rng: Generator) -> Picture:
    """Uneven light across the picture and the exposure of `lighting`."""
    height, width = scene.shape[:2]
    rows, columns = np.mgrid[:height, :width].astype(np.float32)
    slope = 0.45 if lighting == "window" else 0.15
    turn = float(rng.uniform(0, 2 * np.pi))
    ramp = np.cos(turn) * (columns / width - 0.5) + np.sin(turn) * (rows / height - 0.5)
    field = _EXPOSURE[lighting] * (1 + slope * ramp)
    warmth = float(rng.normal(0, 0.04))
    tint = np.array((1 + warmth, 1.0, 1 - warmth), np.float32)
    return (scene * field[..., None] * tint).astype(np.float32)


def take_photo(
    scene: Picture, *, blur: float, noise: float, quality: int, rng: Generator
) -> bytes:
    """Lens, sensor and JPEG. `blur` is a sd in pixels; `noise` 1 is an ordinary phone.

    Shot noise of about 4000 electrons at full scale and a small read noise.
    """
    from PIL import Image

    seen = cv2.GaussianBlur(scene, (0, 0), blur) if blur > 0 else scene
    sd = noise * np.sqrt(np.maximum(seen, 0) / 4000 + 1e-6)
    seen = seen + sd * rng.standard_normal(seen.shape).astype(np.float32)
    seen = np.clip(seen, 0, 1)
    encoded = np.where(
        seen <= 0.0031308, 12.92 * seen, 1.055 * seen ** (1 / 2.4) - 0.055
    )
    out = io.BytesIO()
    Image.fromarray((encoded * 255 + 0.5).astype(np.uint8)).save(
        out, "JPEG", quality=quality
    )
    return out.getvalue()
