"""What the pages of Litters ask of `rounds`, with this request's book and handbook."""

from dataclasses import dataclass
from datetime import date

from kennelward.desk.pages.shell.here import Here
from kennelward.litters import LitterNumbers, LossReview, Night, WhelpingRules
from kennelward.rounds import (
    DogInterpretation,
    PregnancyPlan,
    PuppyGrowth,
    StoryStep,
    chance_story,
    kennel_losses,
    litter_growth,
    pregnancy_plan,
    pregnancy_worth,
    whelping_night,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PregnancyChance:
    """What the chance is, and how it came about."""

    found: DogInterpretation
    steps: tuple[StoryStep, ...]


def numbers_of(place: Here, on: date | None = None) -> LitterNumbers:
    """Every number about litters in force on a day, else today."""
    return place.handbook.litters(on or place.on)


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
    return numbers_of(place).whelping


def growth_of(place: Here, litter: str) -> tuple[PuppyGrowth, ...]:
    """How each puppy of a litter grows."""
    return litter_growth(book=place.book, handbook=place.handbook, litter=litter)


def losses_of(place: Here) -> LossReview:
    """The kennel's losses judged as a run."""
    return kennel_losses(book=place.book, handbook=place.handbook, on=place.on)


def chance_of_pregnancy(place: Here, dam: str) -> PregnancyChance:
    """The chance that she is pregnant, step by step from the mating."""
    found = pregnancy_worth(
        book=place.book, handbook=place.handbook, dam=dam, on=place.on
    )
    return PregnancyChance(
        found=found, steps=chance_story(handbook=place.handbook, found=found)
    )
