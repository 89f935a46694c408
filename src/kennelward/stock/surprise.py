"""Tests nobody planned: how many to keep for them, and whether a box is used in time.

Unplanned tests (a sick puppy at night) are taken as a Poisson count at the kennel's own
past rate. Kits keep about two years, so a large box for a rare test is thrown away.
"""

from collections.abc import Iterable
from datetime import date, timedelta
from math import exp, lgamma, log

from kennelward.terms import check_range

DAYS_A_MONTH = 30.4375  # mean month of the Gregorian year, 365.25 / 12


def tests_a_month(days: Iterable[date], *, on: date, looking_back: int = 180) -> float:
    """Tests a month in the `looking_back` days before `on`, `on` itself left out."""
    check_range("days to look back", looking_back, low=1, unit="days")
    first = on - timedelta(days=looking_back)
    count = sum(1 for day in days if first <= day < on)
    return count * DAYS_A_MONTH / looking_back


tests_a_month.__test__ = False  # type: ignore[attr-defined]  # not a case of pytest


def _chance_of(count: int, expected: float) -> float:
    if expected == 0:
        return 1.0 if count == 0 else 0.0
    return exp(count * log(expected) - expected - lgamma(count + 1))


def chance_enough(*, kits: int, expected: float) -> float:
    """Chance that `kits` kits are enough for a Poisson count of mean `expected`.

    Returns 0 to 1. Source: Poisson distribution function.
    """
    check_range("kits", kits, low=0)
    check_range("expected tests", expected, low=0, high=10_000)
    return min(1.0, sum(_chance_of(n, expected) for n in range(kits + 1)))


def enough_for(*, expected: float, chance: float) -> int:
    """The smallest number of kits that is enough with chance `chance` or more.

    Source: standard base-stock rule, the smallest S with F(S) >= the wanted chance.
    """
    check_range("expected tests", expected, low=0, high=10_000)
    check_range("chance that it is enough", chance, low=0, high=0.9999)
    kits, so_far = 0, _chance_of(0, expected)
    while so_far < chance:
        kits += 1
        so_far += _chance_of(kits, expected)
    return kits


def chance_used_up(*, kits: int, a_month: float, months: float) -> float:
    """Chance that all `kits` are used within `months`, at `a_month` tests a month."""
    check_range("months", months, low=0)
    if kits == 0:
        return 1.0
    return 1 - chance_enough(kits=kits - 1, expected=a_month * months)


def expected_waste(*, kits: int, a_month: float, months: float) -> float:
    """Kits of a box expected to expire unused: the mean of (kits - tests), not below 0."""
    check_range("kits", kits, low=0)
    check_range("months", months, low=0)
    expected = a_month * months
    return sum((kits - n) * _chance_of(n, expected) for n in range(kits))
