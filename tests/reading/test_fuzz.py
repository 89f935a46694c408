"""Damaged files and random pictures through the whole reader, networks and all.

Never a traceback, never a call on nothing, and from the terminal one line a picture.
"""

import io
import json
import struct
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from kennelward.cli import main
from kennelward.demo.scenes import draw_strip_photo
from kennelward.reading import REASONS, CallCutoffs, StripLayout, read_strip_photo
from kennelward.reading.signals import StripReading
from kennelward.terms import Call, stream

QUICK = settings(
    max_examples=12,
    deadline=None,
    derandomize=True,  # the same cases every time
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
LONG = settings(QUICK, max_examples=400)
KINDS = ("JPEG", "PNG", "WEBP")


def read(data: bytes, *, is_window_only: bool = False) -> StripReading:
    """One answer that holds together, whatever the bytes."""
    found = read_strip_photo(
        data,
        layout=StripLayout(),
        cutoffs=CallCutoffs(),
        is_window_only=is_window_only,
    )
    assert found.call in Call
    assert (found.call is Call.UNREADABLE) == (found.reason in REASONS)
    if found.signals is not None:
        for line in found.signals.lines:
            assert 0 <= line.chance_line <= 1
            assert np.isfinite([line.low, line.contrast, line.high]).all()
        assert np.isfinite(found.signals.corners).all()
        assert 0 < found.signals.could_see <= 1
    return found


def strip_image() -> Image.Image:
    data = draw_strip_photo(
        test_od=0.3, control_od=0.5, rng=stream(1, "test.fuzz"), size=(640, 480)
    )
    return Image.open(io.BytesIO(data)).convert("RGB")


def saved(image: Image.Image, kind: str = "JPEG", **options: object) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


STRIP = strip_image()
FILES = {kind: saved(STRIP.resize((320, 240)), kind) for kind in KINDS}


@st.composite
def damaged(draw: st.DrawFn) -> bytes:
    """A good file with bits turned, a piece doubled, left out or cut off."""
    data = bytearray(FILES[draw(st.sampled_from(KINDS))])
    place = st.integers(0, len(data) - 1)
    how = draw(st.sampled_from(("bits", "cut", "hole", "double", "head")))
    if how == "bits":
        for at, bit in draw(
            st.lists(st.tuples(place, st.integers(0, 7)), min_size=1, max_size=40)
        ):
            data[at] ^= 1 << bit
    elif how == "head":  # the first bytes hold the sizes
        for at, value in draw(
            st.lists(
                st.tuples(st.integers(0, 63), st.integers(0, 255)),
                min_size=1,
                max_size=6,
            )
        ):
            data[at] = value
    else:
        first, last = sorted((draw(place), draw(place)))
        if how == "cut":
            del data[first:]
        elif how == "hole":
            del data[first:last]
        else:
            data[first:first] = data[first:last]
    return bytes(data)


@st.composite
def random_picture(draw: st.DrawFn) -> bytes:
    """Noise, smooth colour, bars or boxes of any small size; never a strip."""
    width, height = draw(st.integers(1, 200)), draw(st.integers(1, 200))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    kind = draw(st.sampled_from(("noise", "smooth", "bars", "boxes")))
    if kind == "noise":
        pixels = rng.integers(0, 256, (height, width, 3))
    elif kind == "smooth":
        few = Image.fromarray(rng.integers(0, 256, (4, 5, 3)).astype(np.uint8))
        pixels = np.asarray(few.resize((width, height), Image.Resampling.BICUBIC))
    elif kind == "bars":
        row = np.repeat(rng.integers(0, 256, (64, 3)), 4, axis=0)[:width]
        pixels = np.broadcast_to(row[None], (height, *row.shape))
    else:
        pixels = np.full((height, width, 3), rng.integers(0, 256, 3))
        for _ in range(12):
            x, y = rng.integers(0, width), rng.integers(0, height)
            w, h = rng.integers(1, 80, 2)
            pixels[y : y + h, x : x + w] = rng.integers(0, 256, 3)
    return saved(
        Image.fromarray(np.ascontiguousarray(pixels, np.uint8)),
        draw(st.sampled_from(KINDS)),
    )


@QUICK
@given(damaged())
def test_a_damaged_file_has_an_answer(data):
    read(data)


@QUICK
@given(random_picture())
def test_nothing_is_called_on_a_random_picture(data):
    assert read(data).call is Call.UNREADABLE


@pytest.mark.slow
@LONG
@given(damaged())
def test_many_damaged_files_have_an_answer(data):
    read(data)


@pytest.mark.slow
@LONG
@given(random_picture())
def test_nothing_is_called_on_many_random_pictures(data):
    assert read(data).call is Call.UNREADABLE


@pytest.mark.slow
@LONG
@given(st.one_of(damaged(), random_picture()))
def test_a_cut_picture_has_an_answer_whatever_it_is(data):
    """Someone says that a picture is a window: it still holds together."""
    read(data, is_window_only=True)


def sixteen_bit() -> Image.Image:
    return Image.fromarray(
        np.linspace(0, 65535, 240 * 320).reshape(240, 320).astype(np.uint16)
    )


def animated() -> bytes:
    frames = [STRIP.resize((320, 240)), Image.new("RGB", (320, 240), (0, 0, 0))]
    return saved(frames[0], "WEBP", save_all=True, append_images=frames[1:])


def wrong_turn(value: int) -> bytes:
    exif = Image.Exif()
    exif[0x0112] = value
    return saved(STRIP, exif=exif)


def huge(kind: str) -> bytes:
    """The declared size in the head set to the most there is, the pixels left."""
    data = bytearray(FILES[kind])
    if kind == "PNG":
        data[16:24] = struct.pack(">II", 2**31 - 1, 2**31 - 1)
    else:
        at = data.index(b"\xff\xc0")
        data[at + 5 : at + 9] = struct.pack(">HH", 65500, 65500)
    return bytes(data)


ODD = {
    "one-pixel": saved(Image.new("RGB", (1, 1), (90, 90, 90)), "PNG"),
    "one-column": saved(Image.new("RGB", (1, 4000), (90, 90, 90)), "PNG"),
    "one-row": saved(Image.new("RGB", (4000, 1), (90, 90, 90)), "PNG"),
    "narrow": saved(Image.effect_noise((24, 4000), 60).convert("RGB")),
    "huge-png": huge("PNG"),
    "huge-jpeg": huge("JPEG"),
    "sixteen-bit": saved(sixteen_bit(), "PNG"),
    "exif-is-rubbish": FILES["JPEG"][:20]
    + b"\xff\xe1\x00\x20Exif\0\0II*\0\xff\xff\xff\xff"
    + b"\x41" * 14
    + FILES["JPEG"][20:],
}
SEEN = {  # whatever the packing, the strip in it is the same
    "cmyk": saved(STRIP.convert("CMYK"), quality=95),
    "palette": saved(STRIP.quantize(256), "PNG"),
    "alpha": saved(STRIP.convert("RGBA"), "PNG"),
    "progressive": saved(STRIP, progressive=True),
    "lossless": saved(STRIP, "WEBP", lossless=True),
    "wrong-turn": wrong_turn(77),
}


@pytest.mark.parametrize("name", ODD)
def test_an_odd_file_is_refused(name):
    assert read(ODD[name]).call is Call.UNREADABLE


@pytest.mark.parametrize("name", SEEN)
def test_a_strip_is_read_however_it_is_packed(name):
    assert read(SEEN[name]).call is Call.POSITIVE


def test_the_first_picture_of_an_animation_is_read():
    alone = read(saved(STRIP.resize((320, 240)), "WEBP"))
    assert read(animated()).call is alone.call


def test_one_line_a_picture_in_order_whatever_its_state(tmp_path: Path):
    """From the terminal, good and bad mixed."""
    files = {**ODD, "strip": SEEN["alpha"], **FILES, "words": b"no picture"}
    paths = []
    for i, (name, data) in enumerate(files.items()):
        paths.append(tmp_path / f"{i:02}-{name}")
        paths[-1].write_bytes(data)
    paths.insert(3, tmp_path / "not-there")
    paths.insert(5, tmp_path)  # a folder
    found = CliRunner().invoke(
        main, ["read", *map(str, paths), "--kit", "giardia-antigen", "--json"]
    )
    told = [json.loads(line) for line in found.stdout.splitlines()]
    assert [each["file"] for each in told] == [str(path) for path in paths]
    assert found.exit_code == 1
    assert {each["call"] for each in told} >= {"unreadable", "positive"}
    unread = [each for each in told if each["call"] == "unreadable"]
    assert all(each["reason"] and each["says"] and each["do"] for each in unread)
