"""Dealing a fold out as cards."""

from collections import defaultdict

from kennelward.kennel import facts as f
from kennelward.kennel.cards import (
    CourseCard,
    DogCard,
    LitterCard,
    LotCard,
    PenCard,
    TestCard,
)
from kennelward.kennel.fold import Fold, HeldDog, HeldTest
from kennelward.kennel.voids import void_reasons


def dog_cards(fold: Fold) -> dict[str, DogCard]:
    """Every dog ever entered."""
    return {
        dog: DogCard(
            dog=dog,
            described=held.described,
            first_entry=held.first_entry,
            arrived=held.arrived,
            left=held.left,
            is_here=held.left is None,
            pen=_pen_now(held),
            stays=tuple(held.stays),
            signs=held.signs,
            signs_since=held.signs_since,
            signs_entry=held.signs_entry,
            last_observed_on=held.last_observed_on,
            apart=held.apart,
            danger=held.danger,
        )
        for dog, held in fold.dogs.items()
    }


def pen_cards(fold: Fold) -> dict[str, PenCard]:
    """Every pen, with the dogs in it now."""
    inside: dict[str, list[str]] = defaultdict(list)
    for dog, held in fold.dogs.items():
        if _pen_now(held):
            inside[_pen_now(held)].append(dog)
    return {
        pen: PenCard(pen=pen, described=described, dogs_now=tuple(inside[pen]))
        for pen, described in fold.pens.items()
    }


def litter_cards(fold: Fold) -> dict[str, LitterCard]:
    """Every litter."""
    return {
        litter: LitterCard(
            litter=litter,
            whelped=entry,
            facts=fact,
            dogs=tuple(fold.pups[litter]),
            deaths=tuple(fold.deaths[litter]),
        )
        for litter, (entry, fact) in fold.litters.items()
    }


def test_cards(fold: Fold) -> dict[str, TestCard]:
    """Every strip test."""
    cards = {}
    for test, held in fold.tests.items():
        lot = fold.lots.get(held.facts.lot)
        bare = TestCard(
            test=test,
            dog=held.facts.dog,
            kit=held.facts.kit,
            sample=held.facts.sample,
            lot=held.facts.lot,
            started=held.started,
            seen=held.seen,
            measured=tuple(held.measured),
            dropped=held.dropped,
            void_reasons=(),
        )
        cards[test] = void_reasons(
            bare,
            leaflet=_leaflet_at(fold, held),
            expires_on=lot.facts.expires_on if lot else None,
            started_on=fold.day(held.started),
        )
    return cards


def _leaflet_at(fold: Fold, held: HeldTest) -> f.LeafletConfirmed | None:
    """The leaflet in force at the reading; a later one does not change old results."""
    read = held.seen or (held.measured[0] if held.measured else held.started)
    found = None
    for entry in fold.by_kind.get(f.LeafletConfirmed, ()):
        fact = entry.fact
        if not isinstance(fact, f.LeafletConfirmed) or fact.kit != held.facts.kit:
            continue
        if entry.happened_at <= read.happened_at:
            found = fact
    return found


def course_cards(fold: Fold) -> dict[str, CourseCard]:
    """Every vet's course."""
    return {
        course: CourseCard(
            course=course,
            dog=fact.dog,
            written=entry,
            facts=fact,
            given=frozenset(fold.given[course]),
        )
        for course, (entry, fact) in fold.courses.items()
    }


def lot_cards(fold: Fold) -> dict[str, LotCard]:
    """Every lot of kits."""
    return {
        lot: LotCard(
            lot=lot, received=held.received, facts=held.facts, count_left=held.left
        )
        for lot, held in fold.lots.items()
    }


def _pen_now(held: HeldDog) -> str:
    if held.left is None and held.stays and held.stays[-1].until is None:
        return held.stays[-1].pen
    return ""
