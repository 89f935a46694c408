"""Under a heat lamp a photo is refused with the reason, or read where a person marks it."""

import io

import numpy as np
import pytest
from PIL import Image
from skimage.color import rgb2xyz, xyz2rgb

from kennelward.demo.scenes import draw_strip_photo
from kennelward.reading import CallCutoffs, StripLayout, read_strip_photo
from kennelward.terms import Call, stream

LAMP = (1.0, 0.45, 0.25)  # share of each channel's light, as under a heat lamp
WARM = (1.0, 0.75, 0.55)
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


def photo(od: float, light: tuple[float, float, float]) -> bytes:
    data = draw_strip_photo(
        rng=stream(51, "test.lamp"), test_od=od, control_od=0.5, size=(1200, 900)
    )
    pixels = under(np.asarray(Image.open(io.BytesIO(data)).convert("RGB")), light)
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=92)
    return out.getvalue()


def read(data: bytes, **how: object):
    return read_strip_photo(data, layout=StripLayout(), cutoffs=CallCutoffs(), **how)


BOTH = pytest.mark.parametrize(
    ("od", "call"), [(0.0, Call.NEGATIVE), (0.3, Call.POSITIVE)]
)


@BOTH
def test_a_warm_bulb_changes_no_call(od, call):
    assert read(photo(od, WARM)).call is call


@BOTH
def test_a_heat_lamp_is_said_and_marked_corners_are_read(od, call):
    lit = photo(od, LAMP)
    assert read(lit).reason == "coloured-light"
    corners = read(photo(od, (1.0, 1.0, 1.0))).signals.corners
    assert read(lit, corners=corners).call is call
