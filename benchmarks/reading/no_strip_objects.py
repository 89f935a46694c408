"""Things that lie about in a kennel and are no strip, drawn with shapes alone.

Each has something of a strip: a pale bar with lines across (ruler, label, blister), a
window (thermometer, telephone, an empty housing), or stripes (bars, blanket, barcode).
"""

from collections.abc import Callable

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

SIZE = (1280, 960)
MIDDLE = (SIZE[0] / 2, SIZE[1] / 2)

Rng = np.random.Generator
Colour = tuple[int, int, int]
Pen = ImageDraw.ImageDraw


def _colour(rng: Rng, low: int = 20, high: int = 250) -> Colour:
    r, g, b = (int(v) for v in rng.integers(low, high, 3))
    return r, g, b


def _grey(rng: Rng, low: int, high: int) -> Colour:
    level = int(rng.integers(low, high))
    return level, level, max(0, level - int(rng.integers(0, 10)))


def _box(draw: Pen, x: float, y: float, w: float, h: float, **how: object) -> None:
    """A rounded box about its middle; `how` as Pillow takes it."""
    corners = (x - w / 2, y - h / 2, x + w / 2, y + h / 2)
    radius = float(how.pop("radius", 0))  # type: ignore[arg-type]
    draw.rounded_rectangle(corners, radius=radius, **how)  # type: ignore[arg-type]


def ruler(draw: Pen, rng: Rng) -> None:
    """Ticks along one edge, numbers beside them."""
    x, y = MIDDLE
    high, pitch = float(rng.uniform(90, 200)), float(rng.uniform(6, 14))
    _box(draw, x, y, 1000, high, fill=_colour(rng, 150))
    for i in range(int(960 / pitch)):
        at, long = 160 + i * pitch, (0.4 if i % 10 == 0 else 0.3 if i % 5 == 0 else 0.2)
        draw.line((at, y - high / 2, at, y - high / 2 + long * high), (30, 30, 30), 2)
        if i % 10 == 0:
            draw.text((at - 4, y), str(i // 10), fill=(30, 30, 30))


def thermometer(draw: Pen, rng: Rng) -> None:
    """A pale stick with a display of seven-part digits."""
    x, y = MIDDLE
    _box(draw, x, y, 820, 120, radius=60, fill=_colour(rng, 180))
    _box(draw, x + 60, y, 240, 70, radius=8, fill=_grey(rng, 140, 200))
    for i in range(3):
        at = x - 20 + i * 55
        for segment in rng.permutation(7)[:5]:
            column, row = divmod(int(segment), 3)
            if column < 2:
                draw.rectangle((at + column * 26, y - 26 + row * 18, at + column * 26 + 6,
                                y - 12 + row * 18), fill=(40, 45, 40))  # fmt: skip
            else:
                draw.rectangle((at, y - 2, at + 30, y + 3), fill=(40, 45, 40))
    draw.rectangle((x - 620, y - 22, x - 400, y + 22), fill=_grey(rng, 170, 220))


def ballpoint(draw: Pen, rng: Rng) -> None:
    """A barrel with rings, a clip and a tip."""
    x, y = MIDDLE
    wide = float(rng.uniform(36, 70))
    _box(draw, x, y, 860, wide, radius=wide / 3, fill=_colour(rng))
    for at in rng.uniform(x - 380, x + 380, 4):
        draw.rectangle((at, y - wide / 2, at + 10, y + wide / 2), fill=_colour(rng))
    _box(draw, x + 250, y - wide / 4, 260, 10, fill=_grey(rng, 160, 230))
    draw.polygon([(x - 430, y - wide / 3), (x - 500, y), (x - 430, y + wide / 3)],
                 fill=_grey(rng, 80, 180))  # fmt: skip


def barrel(draw: Pen, rng: Rng) -> None:
    """A syringe without its needle: a clear barrel with marks, a dark stopper."""
    x, y = MIDDLE
    wide = float(rng.uniform(80, 150))
    _box(draw, x, y, 640, wide, radius=10, fill=_grey(rng, 205, 240),
         outline=(140, 140, 140), width=3)  # fmt: skip
    for i in range(24):
        at = x - 280 + i * 22
        long = 0.5 if i % 5 == 0 else 0.25
        draw.line((at, y - wide / 2, at, y - wide / 2 + long * wide), (60, 60, 70), 2)
    stop = float(rng.uniform(x - 200, x + 200))
    draw.rectangle((stop, y - wide / 2, stop + 30, y + wide / 2), fill=(45, 45, 48))
    draw.rectangle((x + 320, y - 18, x + 480, y + 18), fill=_grey(rng, 200, 240))
    draw.rectangle((x + 480, y - wide * 0.7, x + 500, y + wide * 0.7), fill=(210,) * 3)


def blister(draw: Pen, rng: Rng) -> None:
    """Foil with two rows of pills."""
    x, y = MIDDLE
    _box(draw, x, y, 900, 360, radius=20, fill=_grey(rng, 160, 225))
    pill = _colour(rng, 120)
    for row in (-1, 1):
        for i in range(int(rng.integers(4, 9))):
            at = x - 380 + i * 100
            _box(draw, at, y + row * 85, 78, 120, radius=36, fill=_grey(rng, 190, 240))
            _box(draw, at, y + row * 85, 52, 90, radius=26, fill=pill)


def label(draw: Pen, rng: Rng) -> None:
    """White paper with boxes, lines of words and a coloured band."""
    x, y = MIDDLE
    _box(draw, x, y, 860, 460, radius=12, fill=_grey(rng, 232, 252))
    draw.rectangle((x - 430, y - 230, x + 430, y - 160), fill=_colour(rng))
    for i in range(6):
        draw.text((x - 400, y - 130 + i * 48), "given to  date  lot 0417  keep cool",
                  fill=(30, 30, 30))  # fmt: skip
        if rng.random() < 0.6:
            _box(
                draw, x + 200, y - 124 + i * 48, 330, 36, outline=(60, 60, 60), width=2
            )


def barcode(draw: Pen, rng: Rng) -> None:
    """Bars on white, figures below."""
    x, y = MIDDLE
    wide, high = float(rng.uniform(300, 800)), float(rng.uniform(70, 260))
    _box(draw, x, y, wide + 120, high + 90, fill=_grey(rng, 230, 252))
    at = x - wide / 2
    while at < x + wide / 2:
        bar = float(rng.integers(2, 9))
        draw.rectangle((at, y - high / 2, at + bar, y + high / 2), fill=(25, 25, 25))
        at += bar + float(rng.integers(3, 12))
    draw.text((x - 60, y + high / 2 + 6), "4 017 230 417", fill=(30, 30, 30))


def tag(draw: Pen, rng: Rng) -> None:
    """A name tag of metal or plastic with a hole and a word."""
    x, y = MIDDLE
    w, h = float(rng.uniform(320, 700)), float(rng.uniform(150, 260))
    _box(draw, x, y, w, h, radius=h / 2.2, fill=_colour(rng, 110),
         outline=_grey(rng, 70, 150), width=6)  # fmt: skip
    draw.ellipse((x - w / 2 + 24, y - 22, x - w / 2 + 68, y + 22), fill=(60, 60, 62))
    _box(draw, x + 20, y, w * 0.5, h * 0.35, fill=_grey(rng, 215, 250))
    draw.text((x - 30, y - 8), "BELLA 117", fill=(30, 30, 30))


def tiles(draw: Pen, rng: Rng) -> None:
    """Floor tiles with joints."""
    w, h = (int(v) for v in rng.integers(70, 380, 2))
    for left in range(-w, SIZE[0], w):
        for top in range(-h, SIZE[1], h):
            shade = _grey(rng, 185, 215) if rng.random() < 0.8 else _grey(rng, 150, 240)
            draw.rectangle((left + 4, top + 4, left + w - 4, top + h - 4), fill=shade)


def fur(draw: Pen, rng: Rng) -> None:
    """Many hairs, mostly one way."""
    base, way = _colour(rng, 40, 220), float(rng.uniform(0, np.pi))
    for _ in range(9000):
        x, y = rng.uniform(0, SIZE[0]), rng.uniform(0, SIZE[1])
        turn, long = way + rng.normal(0, 0.25), rng.uniform(20, 70)
        shade = tuple(int(np.clip(c + rng.normal(0, 28), 0, 255)) for c in base)
        end = (x + long * np.cos(turn), y + long * np.sin(turn))
        draw.line((x, y, *end), fill=shade, width=2)


def blanket(draw: Pen, rng: Rng) -> None:
    """Checks: bands both ways, those across half transparent by hatching."""
    for _ in range(12):
        at, wide = rng.uniform(0, SIZE[0]), rng.uniform(12, 110)
        draw.rectangle((at, 0, at + wide, SIZE[1]), fill=_colour(rng))
    for _ in range(9):
        at, wide, shade = rng.uniform(0, SIZE[1]), rng.uniform(12, 110), _colour(rng)
        for row in range(0, int(wide), 2):
            draw.line((0, at + row, SIZE[0], at + row), fill=shade)


def bars(draw: Pen, rng: Rng) -> None:
    """Upright bars of a run, with one or two across."""
    pitch, wide = float(rng.uniform(50, 160)), float(rng.uniform(8, 36))
    for i in range(int(SIZE[0] / pitch) + 1):
        at = i * pitch
        draw.rectangle((at, 0, at + wide, SIZE[1]), fill=_grey(rng, 90, 150))
        draw.rectangle((at + wide * 0.3, 0, at + wide * 0.5, SIZE[1]), fill=(215,) * 3)
    for at in rng.uniform(100, 860, 2):
        draw.rectangle((0, at, SIZE[0], at + wide), fill=_grey(rng, 110, 190))


def telephone(draw: Pen, rng: Rng) -> None:
    """A dark slab with a lit display and rows of it."""
    x, y = MIDDLE
    _box(draw, x, y, 960, 480, radius=50, fill=_grey(rng, 15, 60))
    _box(draw, x, y, 880, 420, radius=16, fill=_colour(rng, 60))
    for i in range(int(rng.integers(2, 7))):
        _box(draw, x - 360 + i * 130, y, 110, 330, radius=14, fill=_colour(rng))


def fingers(draw: Pen, rng: Rng) -> None:
    """Fingers of a glove, side by side, with creases."""
    shade = _colour(rng, 90, 235)
    for i in range(4):
        x, long = 330 + i * 165, float(rng.uniform(420, 640))
        _box(draw, x, 960 - long / 2, 140, long, radius=70, fill=shade,
             outline=tuple(max(0, c - 40) for c in shade), width=4)  # fmt: skip
        for crease in rng.uniform(960 - long + 120, 900, 3):
            draw.line((x - 55, crease, x + 55, crease + rng.normal(0, 8)),
                      fill=tuple(max(0, c - 25) for c in shade), width=4)  # fmt: skip


def empty_housing(draw: Pen, rng: Rng) -> None:
    """A pale housing whose window shows its dark inside, or the table below it."""
    x, y = MIDDLE
    _box(
        draw,
        x,
        y,
        820,
        float(rng.uniform(230, 330)),
        radius=40,
        fill=_grey(rng, 215, 248),
    )
    inside = _colour(rng, 20, 120)
    wide, high = float(rng.uniform(150, 300)), float(rng.uniform(45, 85))
    _box(draw, x - 60, y, wide, high, radius=12, fill=inside,
         outline=_grey(rng, 150, 200), width=5)  # fmt: skip
    draw.ellipse((x + 220, y - 50, x + 320, y + 50), fill=inside, outline=(170,) * 3)


OBJECTS: tuple[Callable[[Pen, Rng], None], ...] = (
    ruler, thermometer, ballpoint, barrel, blister, label, barcode, tag, tiles, fur,
    blanket, bars, telephone, fingers, empty_housing,
)  # fmt: skip


def picture(kind: Callable[[Pen, Rng], None], rng: Rng) -> Image.Image:
    """The thing on some ground, turned, shaded, a little soft and noisy."""
    ground = _colour(rng, 40, 235)
    image = Image.new("RGB", SIZE, ground)
    kind(ImageDraw.Draw(image), rng)
    turned = image.rotate(float(rng.uniform(-180, 180)), fillcolor=ground,
                          resample=Image.Resampling.BICUBIC)  # fmt: skip
    soft = turned.filter(ImageFilter.GaussianBlur(float(rng.uniform(0.5, 2.2))))
    level = np.asarray(soft, np.float64)
    slope = np.linspace(rng.uniform(0.6, 1.0), rng.uniform(0.85, 1.1), SIZE[0])
    noisy = level * slope[None, :, None] + rng.normal(0, rng.uniform(1, 6), level.shape)
    return Image.fromarray(np.clip(noisy, 0, 255).astype(np.uint8))
