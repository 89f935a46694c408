"""What the pages of Litters ask of `rounds`, with this request's book and handbook."""

from kennelward.desk.pages.shell.here import Here
from kennelward.litters import Night, WhelpingRules
from kennelward.rounds import PregnancyPlan, pregnancy_plan, whelping_night


def pregnancy_of(place: Here, dam: str) -> PregnancyPlan | None:
    """The pregnancy that may be under way."""
    return pregnancy_plan(
        book=place.book, handbook=place.handbook, dam=dam, on=place.on
    )


def night_of(place: Here, dam: str) -> Night | None:
    """The whelping under way, with its alerts and running clocks."""
    return whelping_night(
        book=place.book, handbook=place.handbook, dam=dam, now=place.at
    )


def whelping_rules(place: Here) -> WhelpingRules:
    """When the vet is called at a birth."""
    return place.handbook.litters(place.on).whelping
