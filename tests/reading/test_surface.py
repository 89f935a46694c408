"""A display's grid and a print's dots are told from a strip, which is not refused."""

import io

import numpy as np
import pytest
from PIL import Image

from kennelward.demo.scenes import draw_strip_photo
from kennelward.reading import CallCutoffs, StripLayout, StripReading, read_strip_photo
from kennelward.terms import Call, stream


def photo(test_od: float = 0.3) -> np.ndarray:
    data = draw_strip_photo(
        rng=stream(23, "test.copy"), test_od=test_od, control_od=0.5, size=(1200, 900)
    )
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))


def stored(pixels: np.ndarray) -> bytes:
    out = io.BytesIO()
    Image.fromarray(pixels.clip(0, 255).astype(np.uint8)).save(out, "JPEG", quality=92)
    return out.getvalue()


def as_display(pixels: np.ndarray, *, pitch: int) -> np.ndarray:
    """Each display pixel is a stripe of red, of green and of blue, and a gap."""
    rows, columns = np.indices(pixels.shape[:2])
    lit = np.zeros(pixels.shape)
    for k in range(3):
        lit[..., k] = (columns * 3 // pitch) % 3 == k
    lit *= (rows % pitch < pitch - 1)[..., None]
    linear = (pixels / 255.0) ** 2.2 * (0.25 + 0.75 * lit / lit.mean())
    return np.clip(linear, 0, 1) ** (1 / 2.2) * 255


def as_print(pixels: np.ndarray, *, pitch: float) -> np.ndarray:
    """Dots on a grid turned by 30 degrees."""
    rows, columns = np.indices(pixels.shape[:2])
    u = (columns * 0.866 + rows * 0.5) / pitch
    v = (rows * 0.866 - columns * 0.5) / pitch
    dots = 1 + 0.5 * np.cos(2 * np.pi * u) * np.cos(2 * np.pi * v)
    return np.clip((pixels / 255.0) ** 2.2 * dots[..., None], 0, 1) ** (1 / 2.2) * 255


def read(pixels: np.ndarray) -> StripReading:
    return read_strip_photo(stored(pixels), layout=StripLayout(), cutoffs=CallCutoffs())


def test_the_strip_itself_is_read():
    assert read(photo()).call is Call.POSITIVE


@pytest.mark.parametrize("pitch", [3, 6])
def test_a_photo_of_a_display_is_said_to_be_one(pitch):
    found = read(as_display(photo(), pitch=pitch))
    assert found.call is Call.UNREADABLE
    assert found.reason == "copied-picture"


def test_a_photo_of_a_print_is_said_to_be_one():
    found = read(as_print(photo(), pitch=4.5))
    assert found.call is Call.UNREADABLE
    assert found.reason == "copied-picture"
