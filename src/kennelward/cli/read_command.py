"""`kennelward read`: photos in, one answer each, in the order given."""

import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kennelward.cli.group import DONE, REFUSED
from kennelward.cli.minutes import Minutes, handbook_minutes, leaflet_option
from kennelward.cli.shared_options import json_option, print_json, progress
from kennelward.terms import BadInput, Call

if TYPE_CHECKING:
    from kennelward.handbook import Kit
    from kennelward.reading import StripReading, StripSignals

LEVEL = 0.9  # what `low` and `high` hold
NOTHING_MEASURED: dict[str, Any] = {
    "lines": [],
    "interval": LEVEL,
    "could_see": None,
    "window": None,
    "direction": None,
    "quality": None,
}

DIFFER = (
    "The photos do not say the same. Look at the strip again; where they go on "
    "differing, repeat the test. Keep every precaution until then."
)

Corners = tuple[tuple[float, float], ...]


class PointText(click.ParamType[tuple[float, float]]):
    """One place: x,y in pixels."""

    name = "X,Y"

    def convert(
        self,
        value: Any,
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> tuple[float, float]:
        """The place, or a usage error that shows the form."""
        if isinstance(value, tuple):
            return value
        try:
            x, y = (float(part) for part in value.split(","))
        except ValueError:
            self.fail(f'{value!r} is no place; write "120,80", in pixels', param, ctx)
        return x, y


class CornersText(click.ParamType[Corners]):
    """Four corners: x,y x,y x,y x,y in pixels, one after the other."""

    name = "X,Y X,Y X,Y X,Y"

    def convert(
        self,
        value: Any,
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> Corners:
        """The corners, or a usage error that shows the form."""
        if isinstance(value, tuple):
            return value
        try:
            found = tuple(
                (float(x), float(y))
                for x, y in (pair.split(",") for pair in value.split())
            )
        except ValueError:
            found = ()
        if len(found) != 4 or not all(abs(n) < 1e6 for pair in found for n in pair):
            self.fail(
                f'{value!r} is not four corners; write "120,80 410,95 405,170 115,155", '
                "in pixels, one after the other",
                param,
                ctx,
            )
        return found


@click.command()
@click.argument("photos", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--kit", required=True, help="Which kit, such as giardia-antigen.")
@click.option(
    "--minutes",
    type=click.FloatRange(min=0),
    help="Minutes after the drops when the photo was taken.",
)
@leaflet_option
@click.option(
    "--corners",
    type=CornersText(),
    help="The window's four corners, one after the other.",
)
@click.option("--well", type=PointText(), help="Where the sample well is.")
@click.option("--flip", is_flag=True, help="The sample end is the other one.")
@click.option(
    "--window-only", is_flag=True, help="The pictures are cut to about the window."
)
@click.option(
    "--together", is_flag=True, help="All are photos of one strip: also call the whole."
)
@json_option
def command(
    photos: tuple[Path, ...],
    kit: str,
    minutes: float | None,
    leaflet: Minutes | None,
    corners: Corners | None,
    well: tuple[float, float] | None,
    flip: bool,
    window_only: bool,
    together: bool,
    as_json: bool,
) -> int:
    """Read photos of strips: what each says, and what it could have shown.

    With --json one object a line, one for every picture, in order; with --together one
    more for the strip. Status 1 where a picture could not be read.
    """
    from kennelward.handbook import load_handbook

    the_kit = _kit(load_handbook().kits, kit)
    if (corners is not None or well is not None) and len(photos) > 1:
        raise BadInput("--corners and --well go with one photo; name one")
    status = DONE
    window = leaflet or handbook_minutes(the_kit)
    measured: list[StripSignals] = []
    with progress(unit="photos") as bar:
        task = bar.add_task("reading", total=len(photos))
        for answer in _answers(
            photos,
            kit=the_kit,
            help_=Help(corners=corners, well=well, flip=flip, window_only=window_only),
            measured=measured if together else None,
        ):
            answer = within_minutes(answer, window=window, minutes=minutes)
            if answer["call"] == Call.UNREADABLE:
                status = REFUSED
            tell(answer, as_json=as_json)
            bar.advance(task)
    if together:
        whole = within_minutes(
            _whole(measured, kit=the_kit, photos=photos), window=window, minutes=minutes
        )
        tell(whole, as_json=as_json)
        status = REFUSED if whole["call"] == Call.UNREADABLE else DONE
    return status


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """What a person says about a photo."""

    corners: Corners | None
    well: tuple[float, float] | None
    flip: bool
    window_only: bool


def tell(answer: dict[str, Any], *, as_json: bool) -> None:
    """One answer, one line."""
    if as_json:
        print_json(answer, indent=None)
    else:
        click.echo(in_words(answer))


def _kit(kits: Any, name: str) -> "Kit":
    if name not in kits:
        raise BadInput(f"no kit {name!r} in the handbook; use one of {', '.join(kits)}")
    found: Kit = kits[name]
    return found


def _answers(
    photos: tuple[Path, ...],
    *,
    kit: "Kit",
    help_: Help,
    measured: "list[StripSignals] | None",
) -> Iterator[dict[str, Any]]:
    """Each photo's answer; its signals are added to `measured`, where that is a list.

    Nothing of a photo is held once its answer is out, so that thousands may follow.
    """
    from kennelward.reading import read_strip_photo

    for path in photos:
        began = time.perf_counter()
        try:
            data = path.read_bytes()
        except OSError as error:
            yield _no_file(path, error)
            continue
        reading = read_strip_photo(
            data,
            layout=kit.layout,
            cutoffs=kit.cutoffs,
            corners=help_.corners,
            flip=help_.flip,
            well=help_.well,
            is_window_only=help_.window_only,
        )
        if measured is not None and reading.signals is not None:
            measured.append(reading.signals)
        milliseconds = (time.perf_counter() - began) * 1000
        yield as_plain(reading, path=path, milliseconds=milliseconds)


def _whole(
    measured: "list[StripSignals]", *, kit: "Kit", photos: tuple[Path, ...]
) -> dict[str, Any]:
    """The answer of all photos of one strip together."""
    from kennelward.reading import (
        StripReading,
        call_together,
        combine_signals,
        photos_differ,
        reader_version,
    )
    from kennelward.terms import Unreadable

    began = time.perf_counter()
    signals = combine_signals(measured)
    reading = StripReading(
        outcome=call_together(measured, cutoffs=kit.cutoffs),
        signals=None if isinstance(signals, Unreadable) else signals,
        photo_size=None,
        reader=reader_version(),
    )
    milliseconds = (time.perf_counter() - began) * 1000
    answer = as_plain(reading, path=Path("together"), milliseconds=milliseconds)
    return answer | {
        "photos": [str(path) for path in photos],
        "photos_differ": photos_differ(measured, cutoffs=kit.cutoffs),
    }


def _no_file(path: Path, error: OSError) -> dict[str, Any]:
    return {
        "file": str(path),
        "call": Call.UNREADABLE.value,
        "faint": False,
        "reason": "no-file",
        "says": f"This file cannot be opened ({error.strerror}).",
        "do": "Look at the path again.",
        **NOTHING_MEASURED,
        "model": "",
        "milliseconds": 0.0,
    }


def as_plain(
    reading: "StripReading", *, path: Path, milliseconds: float
) -> dict[str, Any]:
    """One reading as a JSON object."""
    from kennelward.terms import Unreadable

    outcome, signals = reading.outcome, reading.signals
    answer: dict[str, Any] = {
        "file": str(path),
        "call": reading.call.value,
        "faint": reading.is_faint,
        "reason": reading.reason,
    }
    if isinstance(outcome, Unreadable):
        answer |= {"says": outcome.says, "do": outcome.do}
    else:
        answer |= {"notes": list(outcome.reasons)}
    if signals is not None:
        answer |= {
            "lines": [
                {
                    "name": line.name,
                    "chance_line": round(line.chance_line, 4),
                    "contrast": round(line.contrast, 4),
                    "low": round(line.interval_90[0], 4),
                    "high": round(line.interval_90[1], 4),
                    "low_95": round(line.low, 4),
                    "high_95": round(line.high, 4),
                    "grey": line.is_grey,
                }
                for line in signals.lines
            ],
            "interval": LEVEL,
            "could_see": round(signals.could_see, 4),
            "window": [[round(x, 1), round(y, 1)] for x, y in signals.corners],
            "direction": signals.direction.value,
            "quality": {
                "window_px": round(signals.quality.window_px, 1),
                "sharpness": round(signals.quality.sharpness, 3),
                "clipped": round(signals.quality.clipped, 3),
                "dark": round(signals.quality.dark, 3),
                "unevenness": round(signals.quality.unevenness, 3),
            },
        }
    else:
        answer |= NOTHING_MEASURED
    return answer | {"model": reading.reader, "milliseconds": round(milliseconds, 1)}


def within_minutes(
    answer: dict[str, Any], *, window: Minutes, minutes: float | None
) -> dict[str, Any]:
    """Outside the kit's minutes there is no call; what could not be read stays so."""
    if minutes is None:
        return answer
    answer["minutes"] = minutes
    if answer["call"] == Call.UNREADABLE or window.first <= minutes <= window.last:
        return answer
    is_early = minutes < window.first
    return answer | {
        "call": Call.UNREADABLE.value,
        "faint": False,
        "reason": "read-early" if is_early else "read-late",
        "says": f"This kit is read {window} after the drops, not at {minutes:g}.",
        "do": "Wait, and take another photo in time."
        if is_early
        else "A result read this late does not count: run a fresh strip.",
    }


def in_words(answer: dict[str, Any]) -> str:
    """One line for a person."""
    differ = f" {DIFFER}" if answer.get("photos_differ") else ""
    return _call_in_words(answer) + differ


def _call_in_words(answer: dict[str, Any]) -> str:
    if answer["call"] == Call.UNREADABLE:
        return f"{answer['file']}: unreadable. {answer['says']} {answer['do']}"
    faint = "faint " if answer["faint"] else ""
    said = f"{answer['file']}: {faint}{answer['call']}"
    if answer["call"] == Call.INVALID:
        return (
            f"{said}: no control line, no result. Run a fresh strip; apart meanwhile."
        )
    if answer["call"] == Call.TRACE:
        return f"{said}: fainter than a person sees. Act as suspect; repeat the test."
    return f"{said}. A line of density {answer['could_see']:.3f} would have been seen."
