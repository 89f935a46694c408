"""Pictures without a strip, to see that nothing is called on nothing.

Drawn ones (noise, clouds, shapes, words, cards with boxes and wells), things of a kennel
(`no_strip_objects`) and pieces of the photographs that scikit-image brings along.
"""

import io
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from benchmarks.reading.no_strip_objects import OBJECTS, picture
from kennelward.terms import stream

SIZE = (1280, 960)
PHOTOGRAPHS = (
    "astronaut", "brick", "camera", "chelsea", "clock_motion", "coffee", "coins",
    "grass", "gravel", "hubble_deep_field", "ihc", "microaneurysms", "moon",
    "motorcycle_left", "page", "retina", "rocket", "text",
)  # fmt: skip

Rng = np.random.Generator


def pictures(count: int) -> Iterator[tuple[str, bytes]]:
    """`count` JPEG pictures, always the same, with what each is."""
    photographs = list(_photographs())
    kinds = [noise, clouds, shapes, words, card, stripes]
    for i in range(count):
        rng = stream(29, "bench.no-strip", replicate=i)
        if i % 2 and photographs:
            name, photo = photographs[i // 2 % len(photographs)]
            yield name, _jpeg(_piece(photo, rng), rng)
        else:
            kind = kinds[i // 2 % len(kinds)]
            yield kind.__name__, _jpeg(kind(rng), rng)


def things(each: int) -> Iterator[tuple[str, bytes]]:
    """`each` pictures of every kind of thing, always the same, with what each is."""
    for kind in OBJECTS:
        for i in range(each):
            rng = stream(43, f"bench.no-strip.{kind.__name__}", replicate=i)
            yield kind.__name__.replace("_", " "), _jpeg(picture(kind, rng), rng)


def _photographs() -> Iterator[tuple[str, Image.Image]]:
    """Those that lie in the installed package; none is fetched."""
    from pathlib import Path

    import skimage.data

    folder = Path(skimage.data.__file__).parent
    for name in PHOTOGRAPHS:
        for path in sorted(folder.glob(f"{name}.*")):
            if path.suffix in (".png", ".jpg", ".jpeg"):
                yield name, Image.open(path).convert("RGB")


def _piece(photo: Image.Image, rng: Rng) -> Image.Image:
    share = rng.uniform(0.3, 1.0)
    wide, high = int(photo.width * share), int(photo.height * share)
    x = int(rng.integers(0, photo.width - wide + 1))
    y = int(rng.integers(0, photo.height - high + 1))
    piece = photo.crop((x, y, x + wide, y + high)).resize(SIZE)
    return piece.rotate(90 * int(rng.integers(0, 4)), expand=True)


def _jpeg(image: Image.Image, rng: Rng) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=int(rng.integers(70, 96)))
    return out.getvalue()


def _picture(level: NDArray[np.float64]) -> Image.Image:
    return Image.fromarray(np.clip(level, 0, 255).astype(np.uint8))


def noise(rng: Rng) -> Image.Image:
    return _picture(rng.normal(128, rng.uniform(5, 60), (SIZE[1], SIZE[0], 3)))


def clouds(rng: Rng) -> Image.Image:
    small = _picture(rng.uniform(30, 230, (int(rng.integers(3, 12)), 8, 3)))
    return small.resize(SIZE, Image.Resampling.BICUBIC)


def shapes(rng: Rng) -> Image.Image:
    image = Image.new("RGB", SIZE, _colour(rng))
    draw = ImageDraw.Draw(image)
    for _ in range(40):
        x, y = rng.integers(0, SIZE[0]), rng.integers(0, SIZE[1])
        w, h = rng.integers(8, 400, 2)
        kind = draw.rectangle if rng.random() < 0.6 else draw.ellipse
        kind((int(x), int(y), int(x + w), int(y + h)), fill=_colour(rng))
    return image.filter(ImageFilter.GaussianBlur(float(rng.uniform(0.5, 3))))


def words(rng: Rng) -> Image.Image:
    image = Image.new("RGB", SIZE, (245, 243, 238))
    draw = ImageDraw.Draw(image)
    letters = "abcdefghij klmnop qrstuvwxyz CT"
    for row in range(10, SIZE[1], int(rng.integers(12, 40))):
        text = "".join(letters[i] for i in rng.integers(0, len(letters), 200))
        draw.text((10, row), text, fill=(30, 30, 30))
    return image.rotate(float(rng.uniform(-20, 20)), fillcolor=(90, 90, 90))


def card(rng: Rng) -> Image.Image:
    """A pale card with a text box and round wells, but no window with a membrane."""
    image = Image.new("RGB", SIZE, _colour(rng))
    draw = ImageDraw.Draw(image)
    pale = tuple(int(v) for v in rng.integers(215, 250, 3))
    draw.rounded_rectangle((200, 300, 1080, 640), radius=40, fill=pale)
    for x in rng.integers(280, 1000, 2):
        r = int(rng.integers(25, 60))
        draw.ellipse((x - r, 470 - r, x + r, 470 + r), fill=(170, 170, 168))
    x = int(rng.integers(400, 700))
    draw.rectangle((x, 380, x + 220, 430), outline=(90, 90, 90), width=2)
    draw.text((x + 8, 395), "lot 23 0417 name", fill=(60, 60, 60))
    soft = image.filter(ImageFilter.GaussianBlur(float(rng.uniform(0.5, 2))))
    return soft.rotate(float(rng.uniform(-180, 180)), fillcolor=_colour(rng))


def stripes(rng: Rng) -> Image.Image:
    """Bars of a label or a fence."""
    image = Image.new("RGB", SIZE, (240, 240, 236))
    draw = ImageDraw.Draw(image)
    x = 100
    while x < 1150:
        wide = int(rng.integers(3, 20))
        draw.rectangle((x, 350, x + wide, 600), fill=_colour(rng))
        x += wide + int(rng.integers(3, 40))
    return image.rotate(float(rng.uniform(-90, 90)), fillcolor=(200, 198, 190))


def _colour(rng: Rng) -> tuple[int, int, int]:
    r, g, b = (int(v) for v in rng.integers(20, 250, 3))
    return r, g, b
