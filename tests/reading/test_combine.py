"""Several photos of one strip: surer together, and never talked out of a line."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.reading import CallCutoffs, Direction
from kennelward.reading.combine import call_together, combine_signals
from kennelward.terms import Call, Unreadable
from tests.reading.test_call import signals

CUTOFFS = CallCutoffs()


def test_no_photo_is_no_answer():
    assert isinstance(combine_signals([]), Unreadable)


def test_one_photo_is_itself():
    one = signals(control=0.5, test=0.2)
    assert call_together([one], cutoffs=CUTOFFS).call is Call.POSITIVE


def test_two_photos_narrow_the_interval_and_not_below_their_membrane():
    one = signals(control=0.5, test=0.2)
    both = combine_signals([one] * 2).lines[1]
    many = combine_signals([one] * 50).lines[1]
    assert both.high - both.low < 3.92 * one.lines[1].noise_sd
    assert many.high - many.low == pytest.approx(3.92 * 0.7 * one.lines[1].noise_sd)


def test_the_best_photo_says_what_could_be_seen():
    poor = signals(control=0.5, test=0.0, could_see=0.2)
    good = signals(control=0.5, test=0.0, could_see=0.012)
    found = call_together([poor, good], cutoffs=CUTOFFS)
    assert (found.call, found.could_see) == (Call.NEGATIVE, 0.012)


def test_a_photo_whose_direction_is_known_settles_it():
    unsure = signals(control=0.5, test=0.0, direction=Direction.UNSURE)
    known = signals(control=0.5, test=0.0)
    assert isinstance(call_together([unsure], cutoffs=CUTOFFS), Unreadable)
    assert call_together([unsure, known], cutoffs=CUTOFFS).call is Call.NEGATIVE


@given(st.integers(1, 6))
def test_more_photos_never_talk_a_line_away(blank):
    with_line = signals(control=0.5, test=0.2)
    without = [signals(control=0.5, test=0.0)] * blank
    found = call_together([*without, with_line], cutoffs=CUTOFFS)
    assert found.call is Call.POSITIVE
    assert "look-again" in found.reasons or blank == 1


def test_a_stain_in_every_photo_is_no_surer_for_being_seen_twice():
    one = signals(control=0.5, test=0.2)
    doubtful = replace(
        one, lines=(one.lines[0], replace(one.lines[1], chance_line=0.7))
    )
    assert combine_signals([doubtful] * 9).lines[1].chance_line == pytest.approx(0.7)
