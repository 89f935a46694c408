"""The whole job of this room in one call, and signals as plain data."""

from collections.abc import Mapping, Sequence
from typing import Any

from kennelward.reading.call import call_strip
from kennelward.reading.signals import (
    CallCutoffs,
    Direction,
    LineSignal,
    Point,
    Quality,
    StripLayout,
    StripReading,
    StripSignals,
)
from kennelward.terms import Unreadable


def read_strip_photo(
    data: bytes,
    *,
    layout: StripLayout,
    cutoffs: CallCutoffs,
    corners: Sequence[Point] | None = None,
    flip: bool = False,
    well: Point | None = None,
    is_window_only: bool = False,
) -> StripReading:
    """Read one photo from bytes to call. Never raises for any bytes.

    `corners`, `flip`, `well` and `is_window_only` as in `measure_strip`.
    """
    from kennelward.reading.measure import measure_strip
    from kennelward.reading.networks import reader_version
    from kennelward.reading.photo import open_photo

    photo = open_photo(data)
    if isinstance(photo, Unreadable):
        return StripReading(
            outcome=photo, signals=None, photo_size=None, reader=reader_version()
        )
    measured = measure_strip(
        photo,
        layout=layout,
        corners=corners,
        flip=flip,
        well=well,
        is_window_only=is_window_only,
    )
    if isinstance(measured, Unreadable):
        return StripReading(
            outcome=measured,
            signals=None,
            photo_size=photo.full_size,
            reader=reader_version(),
        )
    return StripReading(
        outcome=call_strip(measured, cutoffs=cutoffs),
        signals=measured,
        photo_size=photo.full_size,
        reader=reader_version(),
    )


def signals_as_json(signals: StripSignals) -> dict[str, object]:
    """Plain numbers and text, for keeping beside a reading and showing again."""
    return {
        "reader": signals.reader,
        "direction": signals.direction.value,
        "could_see": round(signals.could_see, 4),
        "detection_limit": round(signals.detection_limit, 4),
        "window": [[round(x, 1), round(y, 1)] for x, y in signals.corners],
        "quality": {
            "window_px": round(signals.quality.window_px, 1),
            "sharpness": round(signals.quality.sharpness, 3),
            "clipped": round(signals.quality.clipped, 3),
            "dark": round(signals.quality.dark, 3),
            "unevenness": round(signals.quality.unevenness, 3),
        },
        "lines": [
            {
                "name": line.name,
                "position": round(line.position, 3),
                "contrast": round(line.contrast, 4),
                "low": round(line.low, 4),
                "high": round(line.high, 4),
                "chance_line": round(line.chance_line, 4),
                "noise_sd": round(line.noise_sd, 5),
                "is_seen": line.is_seen,
                "is_grey": line.is_grey,
                "is_maybe": line.is_maybe,
                "red_to_green": round(line.red_to_green, 3),
            }
            for line in signals.lines
        ],
        "extra_lines": signals.extra_lines,
        "is_cut": signals.is_cut,
        "is_window_unsure": signals.is_window_unsure,
        "is_housing_clear": signals.is_housing_clear,
        "is_between": signals.is_between,
        "is_window_dark": signals.is_window_dark,
        "profile": [round(value, 4) for value in signals.profile],
    }


def signals_from_json(kept: Mapping[str, Any]) -> StripSignals | None:
    """What `signals_as_json` made; None where nothing, or too little, was measured."""
    wanted = {"lines", "window", "quality", "is_cut", "is_window_unsure", "could_see"}
    if not wanted <= kept.keys() or any("noise_sd" not in one for one in kept["lines"]):
        return None  # no window was measured, or by a reader that kept less
    a, b, c, d = ((float(x), float(y)) for x, y in kept["window"])
    return StripSignals(
        lines=tuple(LineSignal(**line) for line in kept["lines"]),
        direction=Direction(kept["direction"]),
        could_see=kept["could_see"],
        quality=Quality(**kept["quality"]),
        corners=(a, b, c, d),
        profile=tuple(kept["profile"]),
        detection_limit=kept["detection_limit"],
        extra_lines=kept["extra_lines"],
        is_cut=kept["is_cut"],
        is_window_unsure=kept["is_window_unsure"],
        is_housing_clear=kept.get("is_housing_clear", True),
        is_between=kept.get("is_between", False),
        is_window_dark=kept.get("is_window_dark", False),
        reader=kept["reader"],
    )
