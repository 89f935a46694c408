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
def test_nothing_is_called_on_a_thing_of_the_kennel(thing):
    rng = np.random.default_rng(11)
    assert read(np.asarray(picture(thing, rng))) is Call.UNREADABLE
