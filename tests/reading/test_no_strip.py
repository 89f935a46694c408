"""Pictures without a strip are refused: never a call on nothing."""

import io

import numpy as np
import pytest
from PIL import Image, ImageDraw

from benchmarks.reading.no_strip_objects import OBJECTS, picture
from kennelward.reading import CallCutoffs, StripLayout, read_strip_photo
from kennelward.terms import Call


def read(pixels: np.ndarray) -> Call:
    out = io.BytesIO()
    Image.fromarray(pixels.astype(np.uint8)).save(out, "JPEG", quality=90)
    found = read_strip_photo(
        out.getvalue(), layout=StripLayout(), cutoffs=CallCutoffs()
    )
    return found.call


def noise(rng: np.random.Generator) -> np.ndarray:
    return rng.integers(0, 256, (480, 640, 3))


def clouds(rng: np.random.Generator) -> np.ndarray:
    small = rng.integers(40, 220, (6, 8, 3)).astype(np.uint8)
    return np.asarray(
        Image.fromarray(small).resize((640, 480), Image.Resampling.BICUBIC)
    )


def shapes(rng: np.random.Generator) -> np.ndarray:
    image = Image.new("RGB", (640, 480), tuple(rng.integers(60, 220, 3).tolist()))
    draw = ImageDraw.Draw(image)
    for _ in range(30):
        x, y, w, h = rng.integers(0, 400, 4).tolist()
        colour = tuple(rng.integers(0, 256, 3).tolist())
        kind = draw.rectangle if rng.random() < 0.6 else draw.ellipse
        kind((x, y, x + w + 5, y + h + 5), fill=colour)
    return np.asarray(image)


def words(rng: np.random.Generator) -> np.ndarray:
    image = Image.new("RGB", (640, 480), (245, 243, 238))
    draw = ImageDraw.Draw(image)
    letters = "abcdefghij klmnop qrstuvwxyz "
    for row in range(10, 470, 14):
        text = "".join(letters[i] for i in rng.integers(0, len(letters), 90))
        draw.text((10, row), text, fill=(30, 30, 30))
    return np.asarray(image)


@pytest.mark.parametrize("draw", [noise, clouds, shapes, words])
@pytest.mark.parametrize(
    "seed", [0, *(pytest.param(n, marks=pytest.mark.slow) for n in range(1, 8))]
)
def test_nothing_is_called_on_nothing(draw, seed):
    rng = np.random.default_rng(seed)
    assert read(draw(rng)) is Call.UNREADABLE


@pytest.mark.parametrize("thing", OBJECTS, ids=lambda thing: thing.__name__)
@pytest.mark.parametrize(
    "seed", [11, *(pytest.param(n, marks=pytest.mark.slow) for n in range(12, 18))]
)
def test_nothing_is_called_on_a_thing_of_the_kennel(thing, seed):
    """What share still is, on 900 pictures, stands in docs/methods/reader.md."""
    rng = np.random.default_rng(seed)
    assert read(np.asarray(picture(thing, rng))) is Call.UNREADABLE


def test_an_empty_housing_is_said_to_be_empty():
    """Dark inside, nothing on it: no failed test."""
    image = Image.new("RGB", (1280, 960), (120, 96, 70))
    draw = ImageDraw.Draw(image)
    draw.rounded_rectangle((230, 350, 1050, 610), radius=40, fill=(235, 235, 230))
    draw.rounded_rectangle((470, 450, 690, 510), radius=12, fill=(40, 44, 50))
    draw.ellipse((800, 430, 900, 530), fill=(40, 44, 50), outline=(170, 170, 170))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=92)
    found = read_strip_photo(
        out.getvalue(), layout=StripLayout(), cutoffs=CallCutoffs()
    )
    assert found.reason == "empty-window"
    assert found.call is Call.UNREADABLE
