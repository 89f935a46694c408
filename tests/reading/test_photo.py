"""Opening a photo: kinds by content, upright, nothing beside it, and bad files refused."""

import io
import struct
import zlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from kennelward.demo.scenes import draw_strip_photo
from kennelward.reading import (
    REASONS,
    CallCutoffs,
    StripLayout,
    clean_photo,
    open_photo,
    read_strip_photo,
)
from kennelward.terms import Unreadable, stream


def picture(width: int = 320, height: int = 240) -> Image.Image:
    """Left half red, right half a grey ramp: it shows which way up it is."""
    pixels = np.zeros((height, width, 3), np.uint8)
    pixels[:, : width // 2] = (200, 30, 30)
    pixels[:, width // 2 :] = np.linspace(40, 220, height, dtype=np.uint8)[
        :, None, None
    ]
    return Image.fromarray(pixels)


def saved(image: Image.Image, kind: str = "JPEG", **options: object) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def png_of(width: int, height: int) -> bytes:
    """A PNG that claims a size and holds no pixels to speak of."""

    def chunk(name: bytes, data: bytes) -> bytes:
        body = name + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_the_three_kinds_open(kind):
    photo = open_photo(saved(picture(), kind))
    assert not isinstance(photo, Unreadable)
    assert photo.pixels.shape == (240, 320, 3)
    assert photo.full_size == (320, 240)


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"", "empty"),
        (b"these are words, whatever the file is called", "not-an-image"),
        (b"GIF89a" + b"\0" * 100, "not-an-image"),
        (saved(picture())[:-900], "broken"),
        (saved(picture(), "PNG")[:300], "broken"),
        (png_of(20_000, 10_000), "too-large"),
        (saved(picture(8, 8)), "too-small"),
        (saved(Image.new("RGB", (300, 300), (2, 2, 2))), "too-dark"),
        (saved(Image.new("RGB", (300, 300), (255, 255, 255))), "too-bright"),
        (saved(Image.new("RGB", (300, 300), (120, 130, 120))), "blank"),
    ],
)  # fmt: skip
def test_what_is_no_photo_says_what_to_do(data, reason):
    found = open_photo(data)
    assert isinstance(found, Unreadable)
    assert found.reason == reason
    assert (found.says, found.do) == REASONS[reason]


@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_picture_is_turned_upright(orientation):
    """Pillow's own `exif_transpose` is the independent opinion."""
    from PIL import ImageOps

    exif = Image.Exif()
    exif[0x0112] = orientation
    data = saved(picture(), exif=exif, quality=95)
    expected = np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(data))))
    photo = open_photo(data)
    assert photo.pixels.shape == expected.shape
    assert np.abs(photo.pixels.astype(int) - expected.astype(int)).max() <= 2


def test_location_and_everything_else_is_dropped():
    exif = Image.Exif()
    exif[0x010F] = "a camera maker"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (52.0, 31.0, 12.0)
    data = saved(picture(), exif=exif, comment=b"a kitchen table")
    assert Image.open(io.BytesIO(data)).getexif().get_ifd(0x8825)
    clean = clean_photo(data)
    left = Image.open(io.BytesIO(clean))
    assert dict(left.getexif()) == {}
    assert b"a camera maker" not in clean
    assert b"kitchen" not in clean


def test_a_large_photo_is_kept_small_and_knows_its_size():
    photo = open_photo(saved(picture(5000, 4000)))
    assert photo.full_size == (5000, 4000)
    assert max(photo.pixels.shape[:2]) < 3000
    assert photo.shrink == pytest.approx(5000 / photo.pixels.shape[1])


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=600))
def test_any_bytes_give_an_answer(data):
    found = open_photo(data)
    assert isinstance(found, Unreadable)
    assert found.reason in REASONS


GOOD = draw_strip_photo(
    test_od=0.3, control_od=0.5, rng=stream(1, "test.photo"), size=(640, 480)
)


@settings(max_examples=15, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(0, len(GOOD) - 1), st.integers(0, 255)),
        min_size=1,
        max_size=30,
    ),
    st.integers(1, len(GOOD)),
)
def test_a_damaged_photo_never_raises(changes, length):
    data = bytearray(GOOD)
    for at, value in changes:
        data[at] = value
    read_strip_photo(bytes(data[:length]), layout=StripLayout(), cutoffs=CallCutoffs())
