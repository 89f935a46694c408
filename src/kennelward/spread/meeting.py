"""Whom a dog meets by the calendar: a cheap stand-in for tracing inside the simulator.

Tracing in earnest (`spread.trace`) weighs thousands of runs and cannot be done within
one. A rule for "who is likeliest to have met it" goes by shares of a day that two dogs
spend in one place, as the calendar's first week has it.
"""

from collections.abc import Sequence
from math import ceil

import numpy as np

from kennelward.spread.model import (
    Course,
    Dog,
    Event,
    Happens,
    Place,
    PlaceKind,
    Scenario,
)

WEEK = 7
CUTS = 96  # a day is looked at every quarter of an hour
YARD_BITS = 62


def shares_together(dogs: Sequence[Dog], events: Sequence[Event]) -> np.ndarray:
    """(dogs, dogs) float64: share of the first week in one place, 0 on the diagonal.

    `dogs` in order of uid, `events` in order of time. A dog that is to come counts as
    being at home.
    """
    index = {dog.uid: number for number, dog in enumerate(dogs)}
    where = np.repeat(
        np.array([[dog.home] for dog in dogs], dtype=np.int32).reshape(-1, 1),
        WEEK * CUTS,
        axis=1,
    )
    for event in events:
        if event.at >= WEEK:
            break
        if event.what is Happens.MOVE:
            where[index[event.a], ceil(event.at * CUTS) :] = event.b
    found = np.array([(where == row).mean(axis=1) for row in where])
    found = found.reshape(len(dogs), len(dogs))
    np.fill_diagonal(found, 0.0)
    return found


def yards_used(
    dogs: Sequence[Dog], events: Sequence[Event], places: Sequence[Place]
) -> np.ndarray:
    """(dogs,) int64: a bit for each yard that the calendar lets the dog into."""
    used = {dog.uid: 0 for dog in dogs}
    yards = {
        place: 1 << number % YARD_BITS
        for number, place in enumerate(
            k for k, place in enumerate(places) if place.kind is PlaceKind.YARD
        )
    }
    for event in events:
        if event.what is Happens.MOVE:
            used[event.a] |= yards.get(event.b, 0)
    return np.array([used[dog.uid] for dog in dogs], dtype=np.int64)


def chances_met(
    shares: np.ndarray, dogs: Sequence[Dog], scenario: Scenario
) -> np.ndarray:
    """(dogs, dogs) float64: chance that the column's dog caught it from the row's.

    Grows with the share of time together; 1 for the whole shedding in one pen. Ignores
    vaccines, cleanings and who else was there.
    """
    course = scenario.course
    sheds = _sheds(course, scenario.days)
    hazard = np.array(
        [
            course.direct * sheds
            + course.from_place
            * course.deposit
            * sheds
            / max(scenario.places[dog.home].decay, 1 / max(sheds, 1e-9))
            for dog in dogs
        ]
    ).reshape(-1, 1)
    found: np.ndarray = 1.0 - np.exp(-hazard * shares)
    return found


def _sheds(course: Course, days: int) -> float:
    """Days of full shedding, on average; of a carrier, over the look ahead."""
    if course.is_chronic:
        return float(days)
    mean = sum(course.shedding) / len(course.shedding)
    return mean * (course.full_share + course.tail * (1 - course.full_share))


def sold(events: Sequence[Event]) -> frozenset[int]:
    """Dogs, by uid, whose leaving is a sale."""
    return frozenset(e.a for e in events if e.what is Happens.LEAVE and e.x > 0)
