"""The call table: every row, from numbers alone."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.reading import (
    CallCutoffs,
    Direction,
    LineSignal,
    Quality,
    StripCall,
    StripSignals,
    call_strip,
)
from kennelward.terms import Call, Unreadable

GOOD = Quality(window_px=300, sharpness=0.9, clipped=0, dark=0, unevenness=0.05)
BLURRED = Quality(window_px=300, sharpness=0.1, clipped=0, dark=0, unevenness=0.05)


def line(
    name: str, od: float, *, spread: float = 0.004, grey: bool = False
) -> LineSignal:
    return LineSignal(
        name=name, position=0.5, contrast=od, low=od - spread, high=od + spread,
        noise_sd=0.002, chance_line=0.99 if od > 0.004 else 0.01, is_seen=od > 0.004,
        red_to_green=0.5, is_grey=grey,
    )  # fmt: skip


def signals(
    control: float,
    test: float,
    *,
    could_see: float = 0.012,
    direction: Direction = Direction.HOUSING,
    quality: Quality = GOOD,
    extra: int = 0,
    **kwargs: object,
) -> StripSignals:
    return StripSignals(
        lines=(line("control", control), line("test", test, **kwargs)),
        direction=direction,
        could_see=could_see,
        quality=quality,
        corners=((0, 0), (0, 1), (1, 1), (1, 0)),
        profile=(),
        detection_limit=could_see,
        extra_lines=extra,
    )


def called(**kwargs: object) -> StripCall | Unreadable:
    return call_strip(signals(**kwargs), cutoffs=CallCutoffs())


@pytest.mark.parametrize(
    ("control", "test", "call", "faint"),
    [
        (0.5, 0.4, Call.POSITIVE, False),
        (0.5, 0.06, Call.POSITIVE, True),
        (0.5, 0.0, Call.NEGATIVE, False),
        (0.0, 0.0, Call.INVALID, False),
        (0.0, 0.4, Call.INVALID, False),
    ],
)
def test_the_plain_rows(control, test, call, faint):
    found = called(control=control, test=test)
    assert found.call is call
    assert found.is_faint is faint


def test_a_line_surely_below_what_a_person_sees_is_a_trace():
    found = called(control=0.5, test=0.006, spread=0.002)
    assert found.call is Call.TRACE


def test_a_doubtful_line_is_a_positive_to_look_at_again():
    found = called(control=0.5, test=0.016)
    assert found.call is Call.POSITIVE
    assert found.reasons == ("look-again",)


def test_a_negative_says_what_it_could_have_seen():
    assert called(control=0.5, test=0.0, could_see=0.02).could_see == 0.02


def test_refusal_is_one_sided():
    """A poor photo: the clear line is called, the absence is not."""
    poor = {"could_see": 0.2, "quality": BLURRED}
    assert called(control=0.5, test=0.4, **poor).call is Call.POSITIVE
    refused = called(control=0.5, test=0.0, **poor)
    assert isinstance(refused, Unreadable)
    assert refused.reason == "blurred"


def test_no_control_on_a_photo_that_could_not_show_it_is_no_failed_test():
    refused = called(control=0.0, test=0.0, could_see=0.2, quality=BLURRED)
    assert isinstance(refused, Unreadable)


def test_unsure_of_the_direction():
    """Two lines are positive either way; one is asked about; none is no strip."""
    unsure = {"direction": Direction.UNSURE}
    assert called(control=0.5, test=0.4, **unsure).call is Call.POSITIVE
    assert called(control=0.4, test=0.5, **unsure).call is Call.POSITIVE
    for one in ({"control": 0.5, "test": 0.0}, {"control": 0.0, "test": 0.5}):
        assert called(**one, **unsure).reason == "direction-unsure"
    assert called(control=0.0, test=0.0, **unsure).reason == "window-unsure"


def test_two_dark_places_in_a_poor_picture_of_no_housing_are_no_strip():
    """Small print has two dark strokes as well; with a housing, a clear line counts."""
    poor = {"control": 0.5, "test": 0.4, "could_see": 0.3}
    unsure = called(**poor, direction=Direction.UNSURE)
    assert isinstance(unsure, Unreadable)
    assert unsure.reason == "window-unsure"
    assert called(**poor).call is Call.POSITIVE


@pytest.mark.parametrize(
    ("kwargs", "reason"),
    [({"grey": True}, "grey-line"), ({"extra": 1}, "too-many-lines")],
)
def test_grey_lines_and_extra_lines_are_said(kwargs, reason):
    assert called(control=0.5, test=0.2, **kwargs).reason == reason


@given(
    st.floats(0, 1), st.floats(0, 1), st.floats(0.005, 0.5), st.sampled_from(Direction)
)
def test_never_positive_without_two_lines_nor_negative_with_a_clear_one(
    control, test, could_see, direction
):
    found = called(control=control, test=test, could_see=could_see, direction=direction)
    if isinstance(found, Unreadable):
        return
    lines = sum(od > 0.004 for od in (control, test))
    if found.call is Call.POSITIVE:
        assert lines == 2
    if found.call is Call.NEGATIVE:
        assert lines == 1
        assert direction is not Direction.UNSURE
        assert could_see <= CallCutoffs().negative_needs_od


def test_one_line_in_a_cut_picture_is_taken_for_the_control_line_and_said_so():
    cut = {"direction": Direction.ASSUMED}
    found = called(control=0.5, test=0.0, **cut)
    assert (found.call, found.reasons) == (Call.NEGATIVE, ("control-assumed",))
    assert called(control=0.5, test=0.2, **cut).call is Call.POSITIVE
    assert called(control=0.0, test=0.0, **cut).call is Call.INVALID


@pytest.mark.parametrize(
    ("field", "reason"),
    [("is_cut", "one-line-in-a-cut"), ("is_window_unsure", "window-unsure")],
)
@pytest.mark.parametrize("direction", [Direction.HOUSING, Direction.ASSUMED])
def test_an_absence_needs_the_whole_window(field, reason, direction):
    """A line may have been cut away; two lines stay two lines."""
    for test, expected in ((0.0, reason), (0.3, "")):
        made = replace(
            signals(control=0.5, test=test, direction=direction), **{field: True}
        )
        found = call_strip(made, cutoffs=CallCutoffs())
        assert (found.reason if isinstance(found, Unreadable) else "") == expected


@pytest.mark.parametrize("test", [0.4, 0.03])
def test_two_dark_places_in_no_sure_window_are_no_positive(test):
    """Nothing on the housing tells the direction and the corners wander."""
    two = signals(control=0.5, test=test, direction=Direction.UNSURE)
    assert call_strip(two, cutoffs=CallCutoffs()).call is Call.POSITIVE
    unsure = replace(two, is_window_unsure=True)
    assert call_strip(unsure, cutoffs=CallCutoffs()).reason == "window-unsure"
    told = replace(unsure, direction=Direction.HOUSING)
    assert call_strip(told, cutoffs=CallCutoffs()).call is Call.POSITIVE


@pytest.mark.parametrize("seen", [True, False])
@pytest.mark.parametrize("direction", [Direction.HOUSING, Direction.UNSURE])
def test_a_mark_that_may_be_a_line_is_neither_called_nor_called_none(seen, direction):
    """Rule: a very faint line counts, so what may be one is never a plain negative."""
    base = signals(0.3, 0.015, direction=direction)
    control, test = base.lines
    perhaps = replace(test, is_maybe=True, is_seen=seen)
    found = call_strip(replace(base, lines=(control, perhaps)), cutoffs=CallCutoffs())
    assert isinstance(found, Unreadable)
    if direction is Direction.HOUSING or seen:
        assert found.reason == "perhaps-a-line"
        assert "treat it as a positive" in found.do


def test_one_line_between_two_places_is_not_taken_for_the_control_line():
    """A test line alone is a failed test and must never pass for a negative."""
    alone = signals(0.3, 0.0)
    assert call_strip(alone, cutoffs=CallCutoffs()).call is Call.NEGATIVE
    found = call_strip(replace(alone, is_between=True), cutoffs=CallCutoffs())
    assert found.reason == "line-between"
    # with both lines in sight nothing has to be guessed
    both = replace(signals(0.3, 0.2), is_between=True)
    assert call_strip(both, cutoffs=CallCutoffs()).call is Call.POSITIVE


def test_no_line_in_a_doubtful_housing_is_no_failed_test():
    """An empty box on a card is no strip; one whose housing is clear is a failed test."""
    empty = signals(0.0, 0.0)
    assert call_strip(empty, cutoffs=CallCutoffs()).call is Call.INVALID
    found = call_strip(replace(empty, is_housing_clear=False), cutoffs=CallCutoffs())
    assert found.reason == "window-unsure"


def test_a_missing_control_beside_a_test_line_needs_a_photo_that_could_show_it():
    """An absence is never called on a poor photo, whatever else is seen."""
    assert called(control=0.0, test=0.4).call is Call.INVALID
    poor = called(control=0.0, test=0.4, could_see=0.2, quality=BLURRED)
    assert isinstance(poor, Unreadable)
    assert poor.reason == "blurred"


def test_an_empty_window_is_no_failed_test():
    """Darker than any membrane and without a line: a housing with nothing in it."""
    blank = signals(control=0.0, test=0.0)
    assert call_strip(blank, cutoffs=CallCutoffs()).call is Call.INVALID
    empty = call_strip(replace(blank, is_window_dark=True), cutoffs=CallCutoffs())
    assert isinstance(empty, Unreadable)
    assert empty.reason == "empty-window"
    lined = replace(signals(control=0.5, test=0.0), is_window_dark=True)
    assert call_strip(lined, cutoffs=CallCutoffs()).call is Call.NEGATIVE


def test_two_dark_places_beside_an_unclear_housing_need_a_photo_that_shows_lines():
    poor = signals(control=0.5, test=0.4, could_see=0.3)
    assert call_strip(poor, cutoffs=CallCutoffs()).call is Call.POSITIVE
    unclear = call_strip(replace(poor, is_housing_clear=False), cutoffs=CallCutoffs())
    assert isinstance(unclear, Unreadable)
    assert unclear.reason == "window-unsure"
