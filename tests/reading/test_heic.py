"""HEIC photos: an extra opens them; without it they are refused with words."""

import io

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from kennelward.reading import open_photo
from kennelward.reading import photo as photo_room
from kennelward.terms import Unreadable


@pytest.fixture
def heic() -> bytes:
    pillow_heif.register_heif_opener()
    ramp = np.linspace(20, 230, 320)[None, :, None] * np.ones((240, 1, 3))
    out = io.BytesIO()
    Image.fromarray(ramp.astype(np.uint8)).save(out, "HEIF", quality=90)
    return out.getvalue()


def test_it_opens_with_the_extra(heic):
    opened = open_photo(heic)
    assert opened.pixels.shape == (240, 320, 3)
    assert (
        np.abs(opened.pixels[120, ::40, 1] - np.linspace(20, 230, 320)[::40]).max() < 8
    )


def test_without_the_extra_it_says_what_to_do(heic, monkeypatch):
    monkeypatch.setattr(photo_room, "_knows_heif", lambda: False)
    refused = open_photo(heic)
    assert isinstance(refused, Unreadable)
    assert refused.reason == "heic"
    assert "JPEG" in refused.do


@pytest.mark.parametrize("length", [13, 200, 700])
def test_a_cut_one_is_refused(heic, length):
    assert isinstance(open_photo(heic[:length]), Unreadable)
