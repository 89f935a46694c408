"""Contact with dogs from outside: what starts the wait for Brucella again.

An arrival, a mating away, a mating with a dog or semen from outside. Semen is an
arrival, and insemination does not remove the risk.
"""

from datetime import date

from kennelward.kennel import Entry
from kennelward.kennel.facts import Arrived, Mated
from kennelward.programme.view import LOOK_BACK_DAYS, View

Exposure = tuple[date, Entry, str]  # last day, entry, "arrival" or "mating"


def last_exposed_outside(view: View, dog: str) -> Exposure | None:
    """The latest contact of a dog with the outside, or None within the look-back."""
    return _all(view).get(dog)


def _all(view: View) -> dict[str, Exposure]:
    return view.keep("outside", lambda: _find(view))


def _find(view: View) -> dict[str, Exposure]:
    found: dict[str, Exposure] = {}
    for entry in view.recent(Arrived, days=LOOK_BACK_DAYS):
        if isinstance(entry.fact, Arrived):
            day = entry.fact.last_outside_contact_on or view.day(entry)
            _later(found, entry.fact.dog, (min(day, view.day(entry)), entry, "arrival"))
    for entry in view.recent(Mated, days=LOOK_BACK_DAYS):
        fact = entry.fact
        if not isinstance(fact, Mated):
            continue
        met = (view.day(entry), entry, "mating")
        dam, sire = view.book.dogs.get(fact.dam), view.book.dogs.get(fact.sire)
        sire_outside = not fact.sire or (sire is not None and sire.is_visiting)
        dam_outside = dam is None or dam.is_visiting
        if fact.took_place_away or sire_outside:
            _later(found, fact.dam, met)
        if sire is not None and (
            (fact.took_place_away or dam_outside) and fact.method == "natural"
        ):
            _later(found, fact.sire, met)
    return found


def _later(found: dict[str, Exposure], dog: str, exposure: Exposure) -> None:
    if dog not in found or exposure[0] >= found[dog][0]:
        found[dog] = exposure
