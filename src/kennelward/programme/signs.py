"""Runs of signs on one dog, from rounds and danger checks."""

from collections.abc import Iterator
from datetime import date

from kennelward.kennel import Entry
from kennelward.kennel.facts import DangerChecked
from kennelward.programme.view import View

AS_SIGN = {  # a danger ticked before a test says the same as a sign on the round
    "dull": "listless",
    "bleeding": "bloody-stool",
    "vomiting-again": "vomiting",
    "not-eating": "off-food",
}
SIGN_DAYS = 120  # how far back signs are looked at
SignRun = list[tuple[date, Entry, frozenset[str]]]


def sign_runs(view: View, dog: str) -> list[SignRun]:
    """Runs of days with signs, oldest first; a run ends with an entry without signs.

    The last item of a finished run has no signs and gives the day it was over.
    """
    return view.keep(("sign-runs", dog), lambda: _runs(view, dog))


def _runs(view: View, dog: str) -> list[SignRun]:
    runs: list[SignRun] = []
    running = False
    for day, entry, fact in _all_signs(view, dog):
        if fact and not running:
            runs.append([])
        if fact or running:
            runs[-1].append((day, entry, fact))
        running = bool(fact)
    return runs


def _all_signs(view: View, dog: str) -> Iterator[tuple[date, Entry, frozenset[str]]]:
    """Observations and danger checks as signs; a check that found nothing ends none."""
    seen = [
        (entry.happened_at, day, entry, frozenset(fact.signs))
        for day, entry, fact in view.observations(dog)
    ]
    for entry in view.of_dog(DangerChecked, dog):
        if (
            isinstance(entry.fact, DangerChecked)
            and view.days_ago(view.day(entry)) <= SIGN_DAYS
        ):
            found = {AS_SIGN[d] for d in entry.fact.dangers if d in AS_SIGN}
            if found:
                seen.append(
                    (entry.happened_at, view.day(entry), entry, frozenset(found))
                )
    for _, day, entry, signs in sorted(seen, key=lambda each: each[0]):
        yield day, entry, signs
