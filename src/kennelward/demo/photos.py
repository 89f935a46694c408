"""The photos of the made-up strips, drawn by our own scene code."""

from dataclasses import dataclass
from datetime import date

from kennelward.demo.bench import PHOTOGRAPHED
from kennelward.terms import stream

SIZE = (1200, 900)  # px; large enough to read, small enough to draw in a moment
SEED = 20_401  # of the drawn noise; any number would do


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """How one strip is drawn. Densities are optical, on the scale of the reader."""

    test_od: float
    control_od: float = 0.5
    housing: str = "slate"
    lighting: str = "even"
    background: str = "tiles"
    blur: float = 0.7
    angle: float = 0.0


SCENES = {
    "figgy-parvovirus": Drawn(test_od=0.32, housing="meadow", background="steel"),
    "mossy-parvovirus": Drawn(
        test_od=0.0, control_od=0.0, housing="meadow", background="steel"
    ),
    "pip-giardia": Drawn(test_od=0.06, background="wood"),
    "dot-giardia": Drawn(test_od=0.06, lighting="dark", blur=9.0, background="towel"),
    "thistle-giardia": Drawn(test_od=0.0, lighting="window"),
    "fern-giardia": Drawn(test_od=0.0, angle=4.0),
    "juniper-relaxin": Drawn(test_od=0.25, housing="plain", background="steel"),
    "saffron-relaxin": Drawn(test_od=0.0, housing="plain", background="steel"),
    "corvin-brucella": Drawn(test_od=0.0, housing="oval", lighting="window"),
}


def photo_name(mark: str) -> str:
    """File name of a strip's photo."""
    return f"{mark}.jpg"


def demo_photos(*, on: date) -> dict[str, bytes]:
    """File name -> JPEG, for every photographed strip.

    The pictures are the same on every day; `on` is taken so that a later demo may show
    a date in them.
    """
    names = (photo_name(strip.mark) for strip in PHOTOGRAPHED)
    return {name: draw_photo(name) for name in names}


def draw_photo(name: str) -> bytes:
    """One strip's photo by its file name, always the same bytes."""
    from kennelward.demo.scenes import draw_strip_photo  # slow to import

    mark = name.removesuffix(".jpg")
    scene = SCENES[mark]
    number = tuple(SCENES).index(mark)
    return draw_strip_photo(
        test_od=scene.test_od,
        control_od=scene.control_od,
        rng=stream(SEED, "demo.strip", replicate=number),
        housing=scene.housing,
        lighting=scene.lighting,
        background=scene.background,
        blur=scene.blur,
        angle=scene.angle,
        size=SIZE,
    )
