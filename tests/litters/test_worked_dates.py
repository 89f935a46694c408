"""The days of the reproduction page's worked cases come out of the handbook's numbers."""

from datetime import date, timedelta

import pytest

from kennelward.handbook import load_handbook
from kennelward.litters import BreedingFacts, is_overdue, pregnancy_windows
from kennelward.litters import due_date as due_date_of
from tests.litters.numbers import DUE, NUMBERS

HANDBOOK = load_handbook()
BORN = date(2025, 4, 30)
LH = date(2025, 3, 1)


@pytest.mark.parametrize(
    ("path", "day"),
    [
        ("young.worm_from_days", date(2025, 5, 14)),
        ("young.leave_days", date(2025, 6, 25)),
        ("young.vaccine_last_days", date(2025, 8, 20)),
        ("young.vaccine_booster_days", date(2025, 10, 29)),
    ],
)
def test_a_puppys_days(path, day):
    """Worked case 19: born 2025-04-30; two, eight, sixteen, twenty-six weeks."""
    assert BORN + timedelta(days=HANDBOOK.number(path)) == day


def test_days_of_a_pregnancy_from_the_lh_day():
    """Worked case 1: birth 5 May, dependable strip 1 April; past time by day 68.

    The page's 10 May is day 70; the handbook's 68 from the surge is on the safe side.
    """
    facts = BreedingFacts(lh_on=LH)
    due = due_date_of(facts, model=DUE)
    assert due.median == date(2025, 5, 5)
    assert due.low <= date(2025, 5, 4) < date(2025, 5, 6) <= due.high
    windows = pregnancy_windows(facts, days=NUMBERS.test_days, model=DUE)
    assert windows.negative_counts_from == date(2025, 4, 1)
    assert windows.strip_earliest > date(2025, 3, 21)  # made for day 20 on
    for day, over in ((date(2025, 5, 7), False), (date(2025, 5, 10), True)):
        assert (
            is_overdue(
                due=due,
                on=day,
                lh_on=LH,
                last_mating_on=None,
                days=NUMBERS.test_days,
            )
            is over
        )
