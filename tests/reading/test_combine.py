"""Several photos of one strip: surer together, and never talked out of a line."""

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.reading import (
    CallCutoffs,
    Direction,
    call_strip,
    photos_differ,
    signals_as_json,
    signals_from_json,
)
from kennelward.reading.combine import call_together, combine_signals
from kennelward.reading.strip_signals import chance_of, is_maybe
from kennelward.terms import MAY_BE_A_LINE, Call, Unreadable
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


def test_a_trace_is_not_talked_away_either():
    """Surely a line in one photo, none in two others: it is repeated, not cleared."""
    blank = signals(control=0.5, test=0.0)
    seen = signals(control=0.5, test=0.2)
    trace = replace(
        seen,
        lines=(
            seen.lines[0],
            replace(
                seen.lines[1], noise_sd=0.001, contrast=0.007, low=0.005, high=0.009
            ),
        ),
    )
    assert call_together([trace], cutoffs=CUTOFFS).call is Call.TRACE
    found = call_together([blank, trace, blank], cutoffs=CUTOFFS)
    assert found.call is Call.TRACE


@pytest.mark.parametrize("test", [0.0, 0.2])
@pytest.mark.parametrize("direction", list(Direction))
def test_what_is_kept_of_a_photo_gives_its_call_again(test, direction):
    one = signals(control=0.5, test=test, direction=direction)
    kept = json.loads(json.dumps(signals_as_json(one)))
    again = signals_from_json(kept)
    assert call_strip(again, cutoffs=CUTOFFS) == call_strip(one, cutoffs=CUTOFFS)
    assert signals_as_json(again) == kept


def test_what_an_older_reader_kept_is_not_guessed_at():
    kept = signals_as_json(signals(control=0.5, test=0.2))
    del kept["is_cut"]
    assert signals_from_json(kept) is None
    assert signals_from_json({"guess": [[1, 2]] * 4, "size": [3, 4]}) is None


def perhaps(logit: float, *, od: float = 0.015):
    """A photo whose test line the network gives `logit`."""
    one = signals(control=0.5, test=od)
    line = replace(
        one.lines[1],
        chance_line=chance_of(logit),
        is_seen=logit > 2,
        is_maybe=is_maybe(logit, od),
    )
    return replace(one, lines=(one.lines[0], line))


@pytest.mark.parametrize(
    ("logit", "od", "expected"),
    [
        (0.9, 0.02, False),
        (1.5, 0.02, True),
        (1.9, 0.3, True),  # dark and just missed: never a plain negative
        (2.5, 0.02, True),
        (2.5, 0.3, False),
        (3.6, 0.02, False),
    ],
)
def test_weak_and_barely_found_or_just_missed_may_be_a_line(logit, od, expected):
    assert is_maybe(logit, od) is expected


def test_what_may_be_a_line_in_every_photo_counts_as_one():
    found = call_together([perhaps(2.5), perhaps(1.5)], cutoffs=CUTOFFS)
    assert found.call is Call.POSITIVE
    assert found.is_faint


def test_another_photo_settles_what_may_be_a_line():
    """Odds are averaged: none at all settles it, nearly one asks again, a line counts."""
    none = call_together([perhaps(2.5), perhaps(-6.0)], cutoffs=CUTOFFS)
    assert none.call is Call.NEGATIVE
    still = call_together([perhaps(2.5), perhaps(0.8)], cutoffs=CUTOFFS)
    assert still.reason == MAY_BE_A_LINE
    line = call_together([perhaps(2.5), perhaps(8.0, od=0.2)], cutoffs=CUTOFFS)
    assert line.call is Call.POSITIVE


def test_photos_differ_where_their_calls_do():
    line = signals(control=0.5, test=0.2)
    none = signals(control=0.5, test=0.0)
    unsure = signals(control=0.5, test=0.0, direction=Direction.UNSURE)
    assert isinstance(call_strip(unsure, cutoffs=CUTOFFS), Unreadable)
    assert photos_differ([line, none], cutoffs=CUTOFFS)
    assert photos_differ([none, unsure, line], cutoffs=CUTOFFS)
    for same in ([], [line], [line, line], [none, none, unsure], [line, unsure]):
        assert not photos_differ(same, cutoffs=CUTOFFS)
