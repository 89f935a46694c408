"""Coloured light is taken out of the copy that is searched, and strips are read in it."""

import io

import numpy as np
import pytest
from PIL import Image
from skimage.color import rgb2xyz, xyz2rgb

from kennelward.demo.scenes import draw_strip_photo
from kennelward.reading import CallCutoffs, StripLayout, read_strip_photo
from kennelward.reading.balance import balanced
from kennelward.terms import Call, stream

LAMP = (1.0, 0.45, 0.25)  # share of each channel's light, as under a heat lamp
TO_LINEAR = np.array(  # IEC 61966-2-1: XYZ to linear RGB
    [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]]
)


def under(pixels: np.ndarray, light: tuple[float, float, float]) -> np.ndarray:
    """`pixels` in coloured light, by scikit-image's own sRGB."""
    linear = rgb2xyz(pixels / 255.0) @ TO_LINEAR.T
    lit = linear * np.array(light)
    return np.round(xyz2rgb(lit @ np.linalg.inv(TO_LINEAR).T).clip(0, 1) * 255).astype(
        np.uint8
    )


def scene() -> np.ndarray:
    rng = np.random.default_rng(4)
    pixels = rng.integers(60, 200, (40, 60, 1)).repeat(3, axis=2).astype(np.uint8)
    pixels[10:20, 10:40] = 225
    return pixels


def test_even_light_is_left_alone():
    assert balanced(scene()) is None


def test_a_grey_scene_is_grey_again():
    found = balanced(under(scene(), LAMP))
    assert found is not None
    spread = np.ptp(found.astype(int), axis=2)
    assert np.quantile(spread, 0.95) <= 6  # of 255: rounding in the dark channels


def test_black_is_no_light_to_go_by():
    assert balanced(np.zeros((8, 8, 3), np.uint8)) is None


@pytest.mark.parametrize(("od", "call"), [(0.0, Call.NEGATIVE), (0.3, Call.POSITIVE)])
def test_a_strip_under_a_heat_lamp_is_read(od, call):
    data = draw_strip_photo(
        rng=stream(51, "test.lamp"), test_od=od, control_od=0.5, size=(1200, 900)
    )
    pixels = under(np.asarray(Image.open(io.BytesIO(data)).convert("RGB")), LAMP)
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=92)
    found = read_strip_photo(
        out.getvalue(), layout=StripLayout(), cutoffs=CallCutoffs()
    )
    assert found.call is call
