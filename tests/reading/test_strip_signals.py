"""Which line takes which place of the kit, and what is left over."""

from hypothesis import given
from hypothesis import strategies as st

from kennelward.reading import tuning
from kennelward.reading.found_lines import FoundLine
from kennelward.reading.hue import Hue
from kennelward.reading.strip_signals import assign, chance_of, is_grey

PLACES = (0.66, 0.36)  # control, test


def line(place: float, logit: float = 8.0) -> FoundLine:
    return FoundLine(place=place, logit=logit, od=0.2, log_sd=0.2)


def places(*lines: FoundLine) -> tuple[list[float], int]:
    chosen, extra = assign(list(lines), PLACES, reach=0.32)
    return [one.place for one in chosen], extra


def test_two_lines_keep_their_order_along_the_strip():
    """Housings differ in where lines sit; which comes first does not."""
    assert places(line(0.3), line(0.7)) == ([0.7, 0.3], 0)
    assert places(line(0.5), line(0.85)) == ([0.85, 0.5], 0)
    assert places(line(0.12), line(0.45)) == ([0.45, 0.12], 0)


def test_one_line_takes_the_nearer_place():
    assert places(line(0.7), line(0.3, -3.0)) == ([0.7, 0.3], 0)
    assert places(line(0.3), line(0.7, -3.0)) == ([0.7, 0.3], 0)


def test_a_third_line_is_one_too_many_where_it_is_sure():
    assert places(line(0.66), line(0.36), line(0.5, 6.0))[1] == 1
    assert places(line(0.66), line(0.36), line(0.5, 2.0))[1] == 0


@given(st.floats(-20, 20), st.floats(-20, 20))
def test_chance_rises_with_the_logit(a, b):
    low, high = sorted((a, b))
    assert 0 <= chance_of(low) <= chance_of(high) <= 1


def test_grey_is_neither_gold_nor_blue_nor_too_weak_to_tell():
    """Ratios red : green : blue of feasibility scenes; see docs/methods/reader.md."""
    gold = Hue(red=0.03, green=0.1, blue=0.08, noise_sd=0.003)
    grey = Hue(red=0.095, green=0.1, blue=0.105, noise_sd=0.003)
    blue = Hue(red=0.15, green=0.1, blue=0.03, noise_sd=0.003)
    weak = Hue(red=0.028, green=0.03, blue=0.031, noise_sd=0.0005)
    assert [is_grey(one, one.green) for one in (gold, grey, blue, weak)] == [
        False, True, False, False,
    ]  # fmt: skip
    assert weak.green < tuning.GREY_FROM


def test_a_line_too_dark_to_have_dried_up_is_not_grey():
    """Refusing it would hold back the strongest positives."""
    hue = Hue(red=0.57, green=0.6, blue=0.63, noise_sd=0.003)
    assert is_grey(hue, tuning.GREY_BELOW - 0.01)
    assert not is_grey(hue, tuning.GREY_BELOW)
