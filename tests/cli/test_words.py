"""How the terminal says days and labels; nothing wider than 80 columns."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from kennelward.cli.words import hang, short_day, window_words

WED = date(2026, 11, 25)
THU = date(2026, 11, 26)


def test_days_are_said_as_one_says_them():
    assert short_day(WED) == "Wed 25 Nov"
    assert window_words(WED, WED, on=WED) == "today"
    assert window_words(WED, WED, on=THU) == "was due by Wed 25 Nov"
    assert window_words(THU, THU, on=WED) == "on Thu 26 Nov"
    assert window_words(date(2026, 11, 1), THU, on=WED) == "by Thu 26 Nov"
    assert window_words(THU, date(2026, 12, 2), on=WED) == "Thu 26 Nov to Wed 2 Dec"


@given(st.text(alphabet="abc [/]{}", max_size=400))
def test_no_line_is_wider_than_80_columns_and_no_word_is_lost(text):
    """Square brackets in a dog's name are text, not a style."""
    plain = hang("Means", text).plain
    assert all(len(line) <= 80 for line in plain.splitlines())
    assert "".join(plain.split()) == "Means" + "".join(text.split())
