"""Bytes in, an upright picture out; what cannot be a photo of a strip is refused.

Kinds are told by content, never by a file's name. Location and everything else the
camera wrote is dropped. Nothing is decoded before its size is known.
"""

import io
import warnings
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from kennelward.reading import tuning
from kennelward.reading.refusals import refuse
from kennelward.terms import Unreadable

if TYPE_CHECKING:
    from PIL.Image import Image

_KINDS = ("JPEG", "PNG", "WEBP")
_HEIF_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1")
_ORIENTATION_TAG = 0x0112
KEPT_QUALITY = 95  # of JPEG: at 92 half of the copied lines are no longer told
_TURNS = {  # EXIF 2.32, table of tag 274: what makes the picture upright
    2: ("FLIP_LEFT_RIGHT",),
    3: ("ROTATE_180",),
    4: ("FLIP_TOP_BOTTOM",),
    5: ("TRANSPOSE",),
    6: ("ROTATE_270",),
    7: ("TRANSVERSE",),
    8: ("ROTATE_90",),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Photo:
    """An upright picture, without anything that was written beside it."""

    pixels: NDArray[np.uint8]  # (rows, columns, 3) sRGB
    full_size: tuple[int, int]  # width, height of the upright original

    @property
    def shrink(self) -> float:
        """Original pixels to one pixel here; 1 or more."""
        return self.full_size[0] / self.pixels.shape[1]


def open_photo(data: bytes) -> Photo | Unreadable:
    """Decode `data` and turn it upright, or say why it cannot be read.

    Never raises for any bytes. At most `tuning.LONGEST_SIDE` pixels a side are kept.
    """
    picture = _decode(data)
    if isinstance(picture, Unreadable):
        return picture
    full_size, image = picture
    pixels = np.asarray(image, np.uint8)
    return _gate(pixels) or Photo(pixels=pixels, full_size=full_size)


def clean_photo(data: bytes) -> bytes | Unreadable:
    """The picture as a fresh JPEG for keeping: upright, no location, no metadata."""
    picture = _decode(data)
    if isinstance(picture, Unreadable):
        return picture
    from PIL import Image

    out = io.BytesIO()
    # a picture made of the pixels alone carries no metadata
    Image.fromarray(np.asarray(picture[1], np.uint8)).save(
        out, "JPEG", quality=KEPT_QUALITY
    )
    return out.getvalue()


def _decode(data: bytes) -> "tuple[tuple[int, int], Image] | Unreadable":
    """Full upright size and the upright RGB picture, bounded in size."""
    from PIL import Image

    if not data:
        return refuse("empty")
    if len(data) > tuning.LARGEST_BYTES:
        return refuse("too-large")
    kinds: tuple[str, ...] = _KINDS
    if data[4:8] == b"ftyp" and data[8:12] in _HEIF_BRANDS:
        if not _knows_heif():
            return refuse("heic")
        kinds = ("HEIF",)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            image = Image.open(io.BytesIO(data), formats=kinds)
        except Image.DecompressionBombError:
            return refuse("too-large")
        except Exception:  # noqa: BLE001  decoders raise anything on mutated bytes
            return refuse("not-an-image")
        try:
            return _load(image)
        except Exception:  # noqa: BLE001
            return refuse("broken")


@cache
def _knows_heif() -> bool:
    """HEIC photos can be opened here: the extra `heic` is installed."""
    try:
        from pillow_heif import register_heif_opener
    except ImportError:
        return False
    register_heif_opener()
    return True


def _load(image: "Image") -> "tuple[tuple[int, int], Image] | Unreadable":
    from PIL import Image

    width, height = image.size
    if width * height > tuning.LARGEST_PIXELS:
        return refuse("too-large")
    if min(width, height) < tuning.SMALLEST_SIDE:
        return refuse("too-small")
    orientation = image.getexif().get(_ORIENTATION_TAG, 1)
    full_size = (height, width) if orientation in (5, 6, 7, 8) else (width, height)
    longest = tuning.LONGEST_SIDE
    if max(width, height) > longest:
        image.draft("RGB", (width // 2, height // 2))  # JPEG only: halves by blocks
    image.load()
    image = _on_white(image)
    if max(image.size) > longest:
        share = longest / max(image.size)
        size = (max(1, round(image.width * share)), max(1, round(image.height * share)))
        image = image.resize(size, Image.Resampling.BOX)
    turns = _TURNS.get(orientation, ())
    for turn in turns:
        image = image.transpose(Image.Transpose[turn])
    return full_size, image


def _on_white(image: "Image") -> "Image":
    """RGB; what is transparent becomes white."""
    from PIL import Image

    if image.mode in ("RGBA", "LA", "PA", "P"):
        image = image.convert("RGBA")
        ground = Image.new("RGBA", image.size, (255, 255, 255, 255))
        image = Image.alpha_composite(ground, image)
    return image if image.mode == "RGB" else image.convert("RGB")


def _gate(pixels: NDArray[np.uint8]) -> Unreadable | None:
    """Refuse what is hopeless before any searching: black, white, one colour."""
    import cv2

    step = max(1, max(pixels.shape[:2]) // 512)
    seen = np.ascontiguousarray(pixels[::step, ::step])
    green = np.ascontiguousarray(seen[..., 1])
    dark = np.count_nonzero(green < tuning.DARK_LEVEL)
    if dark > tuning.TOO_DARK_SHARE * green.size:
        return refuse("too-dark")
    bright = np.count_nonzero(green > tuning.CLIPPED_LEVEL)
    if bright > tuning.TOO_BRIGHT_SHARE * green.size:
        return refuse("too-bright")
    if float(cv2.meanStdDev(seen)[1].max()) < tuning.FLAT_SD:
        return refuse("blank")
    return None
