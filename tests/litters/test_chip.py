"""Chip codes follow ISO 11784."""

import pytest

from kennelward.litters.chip import read_chip
from kennelward.terms import BadInput


def test_code_as_sent():
    """Worked case 16: 276 + 1 is 2^63 + 276 x 2^38 + 1 (bit layout of ISO 11784)."""
    assert read_chip("276000000000001").as_sent == 0x8000450000000001
    assert str(read_chip("276 0000-0000 0001")) == "276000000000001"


def test_leading_zeros_are_kept():
    assert str(read_chip("040000000000001")) == "040000000000001"


def test_maker_codes_are_told_apart():
    assert read_chip("981000000000001").is_maker_code
    assert not read_chip("276000000000001").is_maker_code


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("276999999999999", "may be 274877906943 at most"),
        ("999000000000123", "kept for tests"),
        ("40000000000001", "15 digits, got 14; keep zeros"),
        ("123456789", "older kind"),
        ("27600000000000a", "digits only"),
        ("٢٧٦000000000001", "digits only"),
        ("276000000000000", "all zero"),
        ("000000000000001", "000 is neither"),
        ("", "digits only"),
    ],
)
def test_bad_codes_say_why(text, says):
    with pytest.raises(BadInput, match=says):
        read_chip(text)
