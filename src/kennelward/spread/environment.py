"""Contamination of a place between the day's events, in closed form.

Units: 1 is what one fully shedding dog leaves in a day.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, expm1

from kennelward.terms import check_range

SERIES_BELOW = 1e-4  # three terms are right to 1e-12 there


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """Contamination at the end of a segment, and its integral over it."""

    level: float
    integral: float  # level x days


def decay_and_deposit(
    *, level: float, shed: float, decay: float, days: float
) -> Segment:
    """Constant deposit `shed` a day, first-order decay `decay` a day, over `days`.

    C(D) = C0 e^-dD + s (1 - e^-dD) / d; the integral in closed form. No Euler step.
    """
    check_range("decay", decay, low=0)
    check_range("days", days, low=0)
    x = decay * days
    left = exp(-x)
    if x < SERIES_BELOW:
        # (1 - e^-x) / x and (x - 1 + e^-x) / x^2 lose all digits near 0.
        gone = days * (1 - x / 2 + x * x / 6)
        waiting = days * days * (1 / 2 - x / 6 + x * x / 24)
    else:
        gone = -expm1(-x) / decay
        waiting = (days - gone) / decay
    return Segment(
        level=level * left + shed * gone, integral=level * gone + shed * waiting
    )


def cleaned(level: float, *, log_reduction: float) -> float:
    """What a cleaning of `log_reduction` decimal logs leaves."""
    check_range("log reduction", log_reduction, low=0, high=12)
    return float(level * 10**-log_reduction)


def steady_state(
    *, kept_by_cleaning: float, kept_by_decay: float, deposit: float
) -> float:
    """Level just before cleaning where every day cleans, decays, then deposits."""
    check_range("kept by cleaning", kept_by_cleaning, low=0, high=1)
    check_range("kept by decay", kept_by_decay, low=0, high=1)
    return deposit / (1 - kept_by_cleaning * kept_by_decay)


def carry_round(
    levels: Sequence[float],
    *,
    order: Sequence[int],
    pick: float,
    deposit: float,
    kept_by_hygiene: float,
) -> tuple[tuple[float, ...], float]:
    """One round of staff through places: (levels after, load left on the staff).

    At each place the load leaves `deposit` of itself, picks up `pick` of the place, and
    hygiene keeps `kept_by_hygiene` before the next one. Clean pens first, or not.
    """
    for name, share in (
        ("pick", pick),
        ("deposit", deposit),
        ("kept", kept_by_hygiene),
    ):
        check_range(name, share, low=0, high=1)
    after = list(levels)
    load = 0.0
    for place in order:
        left, taken = deposit * load, pick * after[place]
        after[place] += left - taken
        load = (load - left + taken) * kept_by_hygiene
    return tuple(after), load


def maternal_gap_days(*, half_life_days: float) -> float:
    """Days between losing protection and being able to take the vaccine.

    Protected while the titre is 80 or more, vaccine blocked while above 20: the gap is
    h log2(80 / 20) = 2 h, whatever the first titre. Source: half-life 10.8 days,
    J Jpn Vet Med Assoc 36(8); thresholds Gooding & Robinson 1982.
    """
    check_range("half-life", half_life_days, low=0.1, unit="days")
    return 2 * half_life_days


def days_to_titre(*, first: float, titre: float, half_life_days: float) -> float:
    """Days until a titre of `first` has fallen to `titre`."""
    from math import log2

    check_range("titre", titre, low=1e-9, high=first)
    return half_life_days * log2(first / titre)
