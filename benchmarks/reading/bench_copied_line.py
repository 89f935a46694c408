"""Lines copied in a drawing program: how many are told, and strips taken for one.

Pasted by us onto negatives: real pictures where a developer has them, and drawn ones of
the demo in the size of a phone's photo. Stored without loss and as JPEG.
"""

import io
import os

import numpy as np
from PIL import Image

from benchmarks.reading.figures import share
from benchmarks.reading.pasted import pasted
from benchmarks.reading.real_pictures import folder, pictures
from kennelward.demo.scenes import draw_strip_photo
from kennelward.reading import CallCutoffs, StripLayout, StripReading, read_strip_photo
from kennelward.terms import stream

EVERY = 8 if os.environ.get("KENNELWARD_BENCH_QUICK") else 1
STORED = {
    "without loss": {"format": "PNG"},
    "JPEG 95": {"format": "JPEG", "quality": 95},
    "JPEG 85": {"format": "JPEG", "quality": 85},
}
DRAWN = 24


def read(data: bytes, *, is_cut: bool) -> StripReading:
    return read_strip_photo(
        data, layout=StripLayout(), cutoffs=CallCutoffs(), is_window_only=is_cut
    )


def main() -> None:
    where = folder()
    if where is not None:
        found = [one.path.read_bytes() for one in pictures(where)[::EVERY]]
        tell("real pictures, cut to the window", found, is_cut=True)
    drawn = [
        draw_strip_photo(
            rng=stream(47, "bench.copied-line", replicate=i),
            test_od=0.4 * (i % 2),
            control_od=0.4,
            size=(2000, 1500),
        )
        for i in range(0, DRAWN, EVERY)
    ]
    tell("drawn photos, 2000 px", drawn, is_cut=False)


def tell(name: str, given: list[bytes], *, is_cut: bool) -> None:
    print(f" {name}")
    readings = [(data, read(data, is_cut=is_cut)) for data in given]
    wrong = sum(reading.reason == "copied-line" for _, reading in readings)
    print(share("unchanged, taken for a copy", wrong, len(readings), must="0"))
    blank = [
        (np.asarray(Image.open(io.BytesIO(data)).convert("RGB")), reading.signals)
        for data, reading in readings
        if reading.signals and reading.call == "negative"
    ]
    for stored, how in STORED.items():
        for weight in (1.0, 0.4):
            told = sum(
                read(saved(pasted(pixels, signals, weight=weight), how), is_cut=is_cut)
                .reason == "copied-line"
                for pixels, signals in blank
            )  # fmt: skip
            print(share(f"pasted at {weight:.0%}, {stored}, told", told, len(blank)))


def saved(pixels: np.ndarray, how: dict[str, object]) -> bytes:
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, **how)
    return out.getvalue()


if __name__ == "__main__":
    main()
