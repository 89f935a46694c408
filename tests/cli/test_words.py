"""How the terminal says chances and days; nothing wider than 80 columns."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.cli.words import hang, percent, percent_line, short_day, window_words
from kennelward.terms import Interval

WED = date(2026, 11, 25)
THU = date(2026, 11, 26)


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0, "0 %"),
        (0.0004, "less than 0.1 %"),
        (0.004, "0.4 %"),
        (0.05, "5 %"),
        (0.456, "46 %"),
        (0.995, "99.5 %"),
        (0.99999, "more than 99.9 %"),
        (1, "100 %"),
    ],
)
def test_percent_is_whole_and_has_a_decimal_near_the_ends(chance, said):
    assert percent(chance) == said


@given(st.floats(0, 1))
def test_percent_never_says_none_or_all_for_something_between(chance):
    said = percent(chance)
    if 0 < chance < 1:
        assert said not in ("0 %", "100 %", "0.0 %", "100.0 %")
    number = float("".join(c for c in said if c in "0123456789."))
    assert number == pytest.approx(100 * chance, abs=0.5)


def test_a_chance_comes_with_its_interval():
    found = percent_line(Interval(low=0.41, median=0.62, high=0.8))
    assert found == "62 % (41 % to 80 %)"


def test_days_are_said_as_one_says_them():
    assert short_day(WED) == "Wed 25 Nov"
    assert window_words(WED, WED, on=WED) == "today"
    assert window_words(THU, THU, on=WED) == "on Thu 26 Nov"
    assert window_words(date(2026, 11, 1), THU, on=WED) == "by Thu 26 Nov"
    assert window_words(THU, date(2026, 12, 2), on=WED) == "Thu 26 Nov to Wed 2 Dec"


@given(st.text(alphabet="abc [/]{}", max_size=400))
def test_no_line_is_wider_than_80_columns_and_no_word_is_lost(text):
    """Square brackets in a dog's name are text, not a style."""
    plain = hang("Means", text).plain
    assert all(len(line) <= 80 for line in plain.splitlines())
    assert "".join(plain.split()) == "Means" + "".join(text.split())
