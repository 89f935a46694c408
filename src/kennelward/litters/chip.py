"""Identification chips: the ISO 11784 code as printed and as sent over the air.

Source: ISO 11784 (code structure): bit 1 animal flag, bits 2-15 reserved, bit 16 data
block, bits 17-26 country or maker, bits 27-64 national id. The 15 digits carry no check
digit.
"""

from dataclasses import dataclass

from kennelward.terms import BadInput

LARGEST_ID = 2**38 - 1  # 274 877 906 943
TEST_CODE = 999
FIRST_MAKER_CODE = 900


@dataclass(frozen=True, slots=True, kw_only=True)
class Chip:
    """A valid 15-digit code."""

    country_or_maker: int  # ISO 3166-1 numeric below 900, maker code from 900
    number: int

    @property
    def is_maker_code(self) -> bool:
        """True where the first three digits name a maker, not a country."""
        return self.country_or_maker >= FIRST_MAKER_CODE

    @property
    def as_sent(self) -> int:
        """The 64-bit word a reader receives, animal flag set, no data block."""
        return (1 << 63) | (self.country_or_maker << 38) | self.number

    def __str__(self) -> str:
        return f"{self.country_or_maker:03d}{self.number:012d}"


def read_chip(text: str) -> Chip:
    """The chip in `text`; spaces and hyphens between digits are let through.

    Raises BadInput that says what is wrong. A 9- or 10-digit number is an older kind
    that this cannot check: keep it as a note.
    """
    digits = text.replace(" ", "").replace("-", "")
    if not (digits.isascii() and digits.isdigit()):
        raise BadInput(f"a chip number holds digits only, got {text!r}")
    if len(digits) != 15:
        hint = (
            "; a number of 9 or 10 digits is an older kind, write it as a note"
            if len(digits) in (9, 10)
            else "; keep zeros at the front"
        )
        raise BadInput(f"a chip number has 15 digits, got {len(digits)}{hint}")
    first, number = int(digits[:3]), int(digits[3:])
    if first == TEST_CODE:
        raise BadInput("999 is kept for tests of readers; no dog carries it")
    if first == 0:
        raise BadInput("the first three digits name a country or maker; 000 is neither")
    if number > LARGEST_ID:
        raise BadInput(
            f"the last twelve digits may be {LARGEST_ID} at most, got {number}; "
            "read the chip again"
        )
    if number == 0:
        raise BadInput("the last twelve digits are all zero; read the chip again")
    return Chip(country_or_maker=first, number=number)
