"""A line copied from the other in a drawing program is told; two real lines are not."""

import io

import numpy as np
import pytest
from PIL import Image
from skimage.feature import match_template

from benchmarks.reading.pasted import pasted
from kennelward.demo.scenes import draw_strip_photo
from kennelward.reading import CallCutoffs, StripLayout, StripReading, read_strip_photo
from kennelward.reading.copied_line import is_line_copied, likeness
from kennelward.terms import Call, stream

WINDOW = np.array([[40.0, 100], [40, 40], [340, 40], [340, 100]])
PLACES = (0.66, 0.36)


def grain(seed: int = 3) -> np.ndarray:
    """Membrane of noise alone, two dark lines on it."""
    rng = np.random.default_rng(seed)
    level = 200 + rng.normal(0, 2, (140, 380, 3))
    for place in PLACES:
        at = round(40 + place * 300)
        level[40:100, at - 5 : at + 6] -= 60
    return level.clip(0, 255).astype(np.uint8)


def with_copy(pixels: np.ndarray, *, shift: int) -> np.ndarray:
    """The control line's band laid over what lies `shift` px beside it."""
    copied = pixels.copy()
    at = round(40 + PLACES[0] * 300)
    copied[40:100, at - 14 + shift : at + 15 + shift] = pixels[
        40:100, at - 14 : at + 15
    ]
    return copied


def test_two_lines_of_independent_grain_are_not_alike():
    for seed in range(20):
        assert not is_line_copied(grain(seed), WINDOW, PLACES)


@pytest.mark.parametrize("shift", [-90, -88, -93])
def test_a_copied_band_is_alike_at_one_shift(shift):
    alike, next_best = likeness(with_copy(grain(), shift=shift), WINDOW, PLACES)
    assert alike > 0.9
    assert next_best < 0.3


def test_the_likeness_is_that_of_another_library():
    """scikit-image's normalised correlation finds the copy at the same place."""
    pixels = with_copy(grain(), shift=-91)
    at = round(40 + PLACES[0] * 300)
    band = pixels[52:88, at - 9 : at + 10, 1].astype(float)
    found = match_template(pixels[..., 1].astype(float), band)
    found[:, at - 30 :] = 0  # the place itself
    row, column = np.unravel_index(found.argmax(), found.shape)
    assert (row, column) == (52, at - 9 - 91)
    assert likeness(pixels, WINDOW, PLACES)[0] > 0.9


@pytest.mark.parametrize("place", [0.0, 1.0, -0.5, 1.5])
def test_a_place_outside_the_picture_is_no_copy(place):
    assert not is_line_copied(grain(), WINDOW, (PLACES[0], place))
    assert not is_line_copied(grain()[:50, :60], WINDOW, (place, PLACES[1]))


def photo(test_od: float) -> np.ndarray:
    data = draw_strip_photo(
        rng=stream(23, "test.copied-line"),
        test_od=test_od,
        control_od=0.5,
        size=(1200, 900),
    )
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))


def read(pixels: np.ndarray, **how: object) -> StripReading:
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, **how)
    return read_strip_photo(out.getvalue(), layout=StripLayout(), cutoffs=CallCutoffs())


@pytest.mark.parametrize("how", [{"format": "PNG"}, {"format": "JPEG", "quality": 95}])
def test_a_pasted_line_is_said_to_be_one(how):
    blank = photo(0.0)
    assert read(blank, **how).call is Call.NEGATIVE
    signals = read(blank, **how).signals
    found = read(pasted(blank, signals), **how)
    assert found.call is Call.UNREADABLE
    assert found.reason == "copied-line"


def test_a_line_of_its_own_is_read():
    assert read(photo(0.5), format="PNG").call is Call.POSITIVE
