"""Chances as counts of dogs, and the sentences that carry them.

Never a bare percentage, never "free", never "the dog is infected": "of 100 dogs like
this one, about 40". Source: natural frequencies, Gigerenzer & Hoffrage 1995, Psychol
Rev 102:684-704.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from kennelward.terms import Interval, Phrase


class Condition(StrEnum):
    """What the chance is of."""

    INFECTED = "infected"
    PREGNANT = "pregnant"
    BRUCELLA = "brucella"  # worded as suspicion, whatever the result


AFTER = {
    Condition.INFECTED: (
        "Of {of} dogs like this one, about {after} would have the infection "
        "(between {low} and {high}); before any test it was about {before}."
    ),
    Condition.PREGNANT: (
        "Of {of} bitches like this one, about {after} would be pregnant "
        "(between {low} and {high}); before any test it was about {before}."
    ),
    Condition.BRUCELLA: (
        "Of {of} dogs like this one, about {after} would turn out to carry Brucella "
        "(between {low} and {high}); before any test it was about {before}. Only the "
        "vet's second method can tell which."
    ),
}
BEFORE = {
    Condition.INFECTED: (
        "No result counts yet. Of {of} dogs like this one, about {after} would have "
        "the infection (between {low} and {high})."
    ),
    Condition.PREGNANT: (
        "No result counts yet. Of {of} bitches like this one, about {after} would be "
        "pregnant (between {low} and {high})."
    ),
    Condition.BRUCELLA: (
        "No result counts yet. Of {of} dogs like this one, about {after} would turn "
        "out to carry Brucella (between {low} and {high})."
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class NaturalFrequency:
    """Counts of dogs out of `of`, rounded to whole dogs."""

    of: int  # 100, 1000 or 10000: the least in which neither median is none or all
    before: int
    after: int
    low: int
    high: int


def natural_frequency(*, before: Interval, after: Interval) -> NaturalFrequency:
    """The two chances as counts of dogs in 100, or in more where 100 cannot show it."""
    medians = (before.median, after.median)
    of = 100
    for of in (100, 1_000, 10_000):
        if all(m in (0.0, 1.0) or 1 <= m * of <= of - 1 for m in medians):
            break
    return NaturalFrequency(
        of=of,
        before=_whole_dogs(before.median, of),
        after=_whole_dogs(after.median, of),
        low=math.floor(after.low * of),
        high=_whole_dogs(after.high, of),
    )


def _whole_dogs(chance: float, of: int) -> int:
    """Rounded to whole dogs, and never to none or all of them unless it is exact."""
    if chance in (0.0, 1.0):
        return round(chance * of)
    return min(max(round(chance * of), 1), of - 1)


def interpretation_words(
    frequency: NaturalFrequency, *, condition: Condition, is_informative: bool
) -> Phrase:
    """The chance in one sentence."""
    templates = AFTER if is_informative else BEFORE
    values = {
        "of": frequency.of,
        "after": frequency.after,
        "low": frequency.low,
        "high": frequency.high,
    }
    if is_informative:
        values["before"] = frequency.before
    return Phrase(templates[condition], values)
