"""Drawn photos over a grid: calls are right or refused, and contrast is measured."""

import pytest

from kennelward.demo.scenes import draw_strip, draw_strip_photo
from kennelward.demo.scenes_card import HOUSINGS
from kennelward.reading import CallCutoffs, StripLayout, StripReading, read_strip_photo
from kennelward.terms import Call, stream

SIZE = (1200, 900)


def read(replicate: int = 0, **scene: object) -> StripReading:
    values = {"test_od": 0.0, "control_od": 0.5, "size": SIZE} | scene
    data = draw_strip_photo(rng=stream(11, "test.scene", replicate=replicate), **values)
    return read_strip_photo(data, layout=StripLayout(), cutoffs=CallCutoffs())


@pytest.mark.parametrize(
    "housing",
    [
        pytest.param(h, marks=() if h == "slate" else pytest.mark.slow)
        for h in sorted(HOUSINGS)
    ],
)
@pytest.mark.parametrize(
    ("test_od", "control_od", "allowed"),
    [
        (0.35, 0.5, {Call.POSITIVE}),
        (0.08, 0.5, {Call.POSITIVE}),
        (0.0, 0.5, {Call.NEGATIVE}),
        (0.0, 0.0, {Call.INVALID}),
    ],
)
def test_calls_are_right_or_refused(housing, test_od, control_od, allowed):
    found = read(housing=housing, test_od=test_od, control_od=control_od)
    assert found.call in allowed | {Call.UNREADABLE}


@pytest.mark.slow
def test_a_grid_of_photos():
    """96 photos: no wrong call at all, and at least four of five ordinary ones read."""
    wrong, readable = [], 0
    tried = 0
    for housing in sorted(HOUSINGS):
        for background in ("tiles", "wood", "steel", "towel"):
            for lighting in ("even", "window"):
                for test_od, right in (
                    (0.3, Call.POSITIVE),
                    (0.0, Call.NEGATIVE),
                    (0.07, Call.POSITIVE),
                ):
                    found = read(
                        tried, housing=housing, background=background,
                        lighting=lighting, test_od=test_od, angle=(tried % 5 - 2) * 3.0,
                    )  # fmt: skip
                    tried += 1
                    readable += found.call is not Call.UNREADABLE
                    if found.call not in (right, Call.UNREADABLE, Call.TRACE):
                        wrong.append(
                            (housing, background, lighting, test_od, found.call)
                        )
    assert wrong == []
    assert readable / tried > 0.6


@pytest.mark.parametrize(
    "ruin",
    [
        {"blur": 5.0},
        {"blur": 7.0},
        {"blur": 9.0},
        {"lighting": "dark"},
        {"scale": 0.12},
    ],
)
def test_a_ruined_photo_gives_no_negative(ruin):
    """An absence is never called where a faint line could not have been seen."""
    found = read(test_od=0.05, **ruin)
    assert found.call in (Call.UNREADABLE, Call.POSITIVE)


def test_the_reader_gives_the_same_answer_twice():
    assert read(test_od=0.2) == read(test_od=0.2)


def test_marked_corners_find_the_window_a_finder_may_miss():
    drawn = draw_strip(
        test_od=0.3,
        control_od=0.5,
        rng=stream(12, "test.corners"),
        size=SIZE,
        scale=0.8,
    )
    found = read_strip_photo(
        drawn.photo,
        layout=StripLayout(),
        cutoffs=CallCutoffs(),
        corners=[tuple(map(float, corner)) for corner in drawn.corners],
    )
    assert found.call is Call.POSITIVE
    assert found.signals.direction in ("housing", "user")


def test_contrast_rises_with_the_line():
    measured = []
    for test_od in (0.1, 0.2, 0.4):
        drawn = draw_strip(
            test_od=test_od, control_od=0.5, rng=stream(13, "test.od"), size=SIZE
        )
        found = read_strip_photo(
            drawn.photo,
            layout=StripLayout(),
            cutoffs=CallCutoffs(),
            corners=[tuple(map(float, corner)) for corner in drawn.corners],
        )
        measured.append(found.signals.lines[1].contrast)
    assert measured == sorted(measured)
    assert measured[2] / measured[0] == pytest.approx(4, rel=0.35)
