"""Real pictures cut to the window: found, false alarms, refusals, and harmless edits.

Prints nothing but counts. The pictures are for checking, never for setting a threshold.
"""

import io
import os
from collections import Counter, defaultdict
from collections.abc import Callable

import numpy as np
from PIL import Image

from benchmarks.reading.figures import share
from benchmarks.reading.real_pictures import (
    Picture,
    folder,
    pictures,
    read_all,
    read_cut,
)
from kennelward.reading import StripReading
from kennelward.terms import Call

SEEN = (Call.POSITIVE, Call.TRACE)
EVERY = 4 if os.environ.get("KENNELWARD_BENCH_QUICK") else 1


def main() -> None:
    where = folder()
    if where is None:
        print("No real pictures here (KENNELWARD_REAL_STRIPS): nothing measured.")
        return
    read = list(read_all(pictures(where)[::EVERY]))
    print(f"Reader {read[0][1].reader}, {len(read)} pictures, --window-only")
    counts(read)
    edits(read)


def counts(read: list[tuple[Picture, StripReading]]) -> None:
    known = [(p, r) for p, r in read if p.label in ("positive", "negative")]
    groups: dict[str, list[bool]] = defaultdict(list)
    for picture, reading in known:
        if picture.label == "negative":
            groups[picture.group].append(reading.call is Call.POSITIVE)
    alarms = sum(any(group) for group in groups.values())
    print(share("false positives, by group", alarms, len(groups), must="<= 2 %"))
    negatives = [reading for picture, reading in known if picture.label == "negative"]
    print(
        share(
            "false positives, by picture",
            sum(reading.call is Call.POSITIVE for reading in negatives),
            len(negatives),
        )
    )
    for weakest, must in (("clear", "98 %"), ("weak", "90 %"), ("faint", "75 %")):
        lines = [
            reading
            for picture, reading in known
            if picture.label == "positive" and picture.weakest == weakest
        ]
        found = sum(reading.call in SEEN for reading in lines)
        print(share(f"found, {weakest}", found, len(lines), must=f">= {must}"))
    unread = sum(reading.call is Call.UNREADABLE for _, reading in known)
    print(share("unreadable", unread, len(known), must="<= 6 %"))
    print(
        share(
            "a positive called negative",
            sum(
                reading.call is Call.NEGATIVE
                for picture, reading in known
                if picture.label == "positive"
            ),
            sum(picture.label == "positive" for picture, _ in known),
        )
    )
    table = Counter((picture.label, str(reading.call)) for picture, reading in read)
    reasons = Counter(reading.reason for _, reading in known if reading.reason)
    print(f"  calls: {dict(sorted(table.items()))}")
    print(f"  refusals: {dict(reasons.most_common())}")


def edited(change: Callable[[Image.Image], Image.Image], *, quality: int = 95):
    def apply(image: Image.Image) -> bytes:
        out = io.BytesIO()
        change(image).save(out, "JPEG", quality=quality, subsampling=0)
        return out.getvalue()

    return apply


def gains(red: float, blue: float) -> Callable[[Image.Image], Image.Image]:
    def change(image: Image.Image) -> Image.Image:
        level = np.asarray(image, float) / 255 * (red, 1.0, blue)
        return Image.fromarray((np.clip(level, 0, 1) * 255 + 0.5).astype(np.uint8))

    return change


def gamma(power: float) -> Callable[[Image.Image], Image.Image]:
    def change(image: Image.Image) -> Image.Image:
        level = (np.asarray(image, float) / 255) ** power
        return Image.fromarray((level * 255 + 0.5).astype(np.uint8))

    return change


def smaller(image: Image.Image) -> Image.Image:
    size = (max(24, round(0.7 * image.width)), max(24, round(0.7 * image.height)))
    return image.resize(size, Image.Resampling.LANCZOS)


EDITS = {
    "turned by 90": edited(lambda image: image.transpose(Image.Transpose.ROTATE_90)),
    "turned by 180": edited(lambda image: image.transpose(Image.Transpose.ROTATE_180)),
    "turned by 270": edited(lambda image: image.transpose(Image.Transpose.ROTATE_270)),
    "JPEG 80": edited(lambda image: image, quality=80),
    "size 0.7": edited(smaller),
    "white balance, red +20 %": edited(gains(1.2, 1.0)),
    "white balance, red -20 %": edited(gains(0.8, 1.0)),
    "white balance, blue +20 %": edited(gains(1.0, 1.2)),
    "white balance, blue -20 %": edited(gains(1.0, 0.8)),
    "gamma 0.9": edited(gamma(0.9)),
    "gamma 1.1": edited(gamma(1.1)),
}


def edits(read: list[tuple[Picture, StripReading]]) -> None:
    """The same picture, harmlessly changed: the call must stay."""
    taken = read[:: 6 if EVERY == 1 else 2]
    same_all, of_all = 0, 0
    for name, edit in EDITS.items():
        same, of, swapped = 0, 0, 0
        for picture, before in taken:
            image = Image.open(picture.path).convert("RGB")
            after = read_cut(edit(image))
            if before.call is Call.UNREADABLE:
                continue
            of += 1
            same += after.call is before.call
            swapped += {after.call, before.call} == {Call.POSITIVE, Call.NEGATIVE}
        same_all, of_all = same_all + same, of_all + of
        print(share(f"unchanged: {name}", same, of), f"  turned over: {swapped}")
    print(share("unchanged, all edits", same_all, of_all, must=">= 97 %"))


if __name__ == "__main__":
    main()
