"""Reading a strip from a photo: find, measure, call, or refuse with a reason.

Never: a rule about dogs, a chance of infection, a clock, a file. The front door is
light: imaging libraries load only when a photo is opened.
"""

from typing import TYPE_CHECKING

from kennelward.reading.call import call_strip
from kennelward.reading.combine import call_together, combine_signals, photos_differ
from kennelward.reading.read import (
    read_strip_photo,
    signals_as_json,
    signals_from_json,
)
from kennelward.reading.refusals import REASONS
from kennelward.reading.signals import (
    CallCutoffs,
    Direction,
    LineSignal,
    Point,
    Quality,
    StripCall,
    StripLayout,
    StripReading,
    StripSignals,
)

if TYPE_CHECKING:
    from kennelward.reading.measure import guess_window, measure_strip
    from kennelward.reading.networks import reader_version
    from kennelward.reading.photo import Photo, clean_photo, open_photo
    from kennelward.reading.show import overlay_png

_LATER = {
    "Photo": "photo",
    "clean_photo": "photo",
    "guess_window": "measure",
    "measure_strip": "measure",
    "open_photo": "photo",
    "overlay_png": "show",
    "reader_version": "networks",
}

__all__ = [
    "REASONS",
    "CallCutoffs",
    "Direction",
    "LineSignal",
    "Photo",
    "Point",
    "Quality",
    "StripCall",
    "StripLayout",
    "StripReading",
    "StripSignals",
    "call_strip",
    "call_together",
    "clean_photo",
    "combine_signals",
    "guess_window",
    "measure_strip",
    "open_photo",
    "overlay_png",
    "photos_differ",
    "read_strip_photo",
    "reader_version",
    "signals_as_json",
    "signals_from_json",
]


def __getattr__(name: str) -> object:
    """Load what needs numpy only when it is asked for."""
    if name not in _LATER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"{__name__}.{_LATER[name]}"), name)
