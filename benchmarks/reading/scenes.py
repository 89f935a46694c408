"""Frozen scenes read end to end: one record a photo, for the tables to count."""

import json
import multiprocessing
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.reading.baselines import second_peak_of_filter, second_peak_of_profile
from kennelward.reading import (
    CallCutoffs,
    Direction,
    Photo,
    StripLayout,
    StripReading,
    measure_strip,
    open_photo,
    read_strip_photo,
)
from kennelward.reading.planes import strip_planes
from kennelward.reading.refine import overlap
from kennelward.terms import Unreadable, stream

TAPS = 0.04  # sd of a rough tap, share of the window's length


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """One photo: the truth, what the reader said, and the two plain readers' scores."""

    truth: dict[str, Any]
    call: str
    reason: str
    iou: float  # of the window measured; 0 where none was
    iou_taps: float  # the same from four rough taps
    direction: str
    is_right_way: bool
    lines: tuple[dict[str, Any], ...]  # in the order control, test
    could_see: float
    profile: float  # green profile's second peak, on the window the reader found
    matched: float  # matched filter's


def folder() -> Path | None:
    """Where frozen scenes lie: KENNELWARD_SCENES; None: nowhere."""
    named = os.environ.get("KENNELWARD_SCENES")
    return Path(named) if named and (Path(named) / "scenes.json").is_file() else None


def read_scenes(where: Path, *, workers: int = 1) -> list[Read]:
    """Every photo of the folder, in order."""
    rows = json.loads((where / "scenes.json").read_text(encoding="utf-8"))
    jobs = [(where, row) for row in rows]
    if workers == 1:
        return [read_one(job) for job in jobs]
    with multiprocessing.get_context("spawn").Pool(workers) as pool:
        return pool.map(read_one, jobs, chunksize=8)


def read_one(job: tuple[Path, dict[str, Any]]) -> Read:
    where, truth = job
    data = (where / truth["file"]).read_bytes()
    layout, cutoffs = StripLayout(), CallCutoffs()
    read = read_strip_photo(data, layout=layout, cutoffs=cutoffs)
    photo = open_photo(data)
    corners = np.asarray(truth["corners"], float)
    return Read(
        truth=truth,
        call=str(read.call),
        reason=read.reason,
        iou=_iou(read, corners),
        iou_taps=0.0 if isinstance(photo, Unreadable) else _from_taps(photo, truth),
        direction=str(read.signals.direction) if read.signals else "",
        is_right_way=_is_right_way(read, corners),
        lines=_lines(read),
        could_see=read.signals.could_see if read.signals else 1.0,
        **_plain(read, photo),
    )


def _iou(read: StripReading, corners: np.ndarray) -> float:
    if read.signals is None:
        return 0.0
    return overlap(np.asarray(read.signals.corners, float), corners)


def _is_right_way(read: StripReading, corners: np.ndarray) -> bool:
    """The sample end said is the sample end drawn."""
    if read.signals is None or read.signals.direction is Direction.UNSURE:
        return False
    said = np.asarray(read.signals.corners, float)
    start = said[:2].mean(axis=0)
    near = np.linalg.norm(start - corners[:2].mean(axis=0))
    return bool(near < np.linalg.norm(start - corners[2:].mean(axis=0)))


def _from_taps(photo: Photo, truth: dict[str, Any]) -> float:
    corners = np.asarray(truth["corners"], float)
    length = np.linalg.norm(corners[2] - corners[1])
    rng = stream(41, "bench.taps", replicate=int(truth["scene"]))
    taps = corners + rng.normal(0, TAPS * length, corners.shape)
    found = measure_strip(
        photo, layout=StripLayout(), corners=[(float(x), float(y)) for x, y in taps]
    )
    if isinstance(found, Unreadable):
        return 0.0
    return overlap(np.asarray(found.corners, float), corners)


def _lines(read: StripReading) -> tuple[dict[str, Any], ...]:
    """The lines in the drawn order where the direction was told, else as they lie."""
    if read.signals is None:
        return ()
    return tuple(
        {
            "name": line.name,
            "place": line.position,
            "od": line.contrast,
            "low": line.low,
            "high": line.high,
            "chance": line.chance_line,
            "seen": line.is_seen,
            "grey": line.is_grey,
            "ratio": line.red_to_green,
        }
        for line in read.signals.lines
    )


def _plain(read: StripReading, photo: Photo | Unreadable) -> dict[str, float]:
    if read.signals is None or isinstance(photo, Unreadable):
        return {"profile": float("nan"), "matched": float("nan")}
    corners = np.asarray(read.signals.corners, float) / photo.shrink
    planes = strip_planes(photo.pixels, corners)
    return {
        "profile": second_peak_of_profile(planes),
        "matched": second_peak_of_filter(planes),
    }
