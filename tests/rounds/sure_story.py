"""A kennel of ten grown dogs, and the question how sure it can be."""

from dataclasses import replace
from datetime import timedelta

from kennelward.evidence import BetaChance
from kennelward.handbook import load_handbook
from kennelward.kennel import facts as f
from kennelward.rounds import how_sure, usual_assumptions
from tests.kennel.making import DAY_ZERO, Story

HANDBOOK = load_handbook()
ZERO = DAY_ZERO.date()
DOGS = tuple(f"dog{n}" for n in range(10))
STRIP = "giardia-antigen"


def ten_dogs() -> Story:
    """Ten grown dogs at home, a leaflet typed off, on day 0."""
    told = Story()
    told.pen("a")
    told.pen("q", "quarantine")
    for dog in DOGS:
        told.dog(dog)
        told.tell(0, f.Moved(dog=dog, pen="a"))
    told.tell(
        0,
        f.LeafletConfirmed(
            kit=STRIP,
            drops=3,
            read_from_minutes=5,
            read_until_minutes=10,
            storage_low_c=2,
            storage_high_c=30,
            samples=("faeces",),
        ),
    )
    return told


def strip(story, dog, day, call="negative", minutes=8.64):
    """One strip of one dog."""
    name = f"{dog}-{day}-{len(story.entries)}"
    story.tell(
        day, f.TestStarted(test=name, dog=dog, kit=STRIP, sample="faeces", lot="")
    )
    story.tell(day + minutes / 1440, f.StripSeen(test=name, call=call, minutes=minutes))


def asked(story, day=30, infection="giardia", **changes):
    """The answer so many days on, with nothing coming in unwritten unless told."""
    on = ZERO + timedelta(days=day)
    taken = replace(
        usual_assumptions(
            book=story.book, handbook=HANDBOOK, infection=infection, on=on
        ),
        **{"unwritten_a_year": 0.0, **changes},
    )
    return how_sure(
        book=story.book,
        handbook=HANDBOOK,
        infection=infection,
        on=on,
        assumptions=taken,
    )


def middle(chance: BetaChance) -> float:
    return chance.quantile(0.5)
