"""What each result of a dog is worth, as its page shows it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from kennelward.desk.pages.shell.here import Here
from kennelward.desk.pages.shell.labels import CALLS, KITS, METHODS, VOIDS, label
from kennelward.desk.pages.trace.views import INFECTIONS
from kennelward.desk.pages.worth.panel import Panel, panel
from kennelward.kennel import TestCard
from kennelward.kennel import facts as f
from kennelward.rounds import DogInterpretation, dog_worth, set_aside, suspects
from kennelward.terms import Phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultLine:
    """One strip or one result from elsewhere."""

    day: date
    test: str  # id of a strip test, or empty
    what: str
    says: str
    counts: bool
    void: str  # why it does not count
    is_faint: bool
    disagree: bool
    state: str  # "running" | "read" | "dropped"
    aside: Phrase | None  # why it says nothing of now


@dataclass(frozen=True, slots=True, kw_only=True)
class InfectionResults:
    """All that is known about one infection in one dog."""

    infection: str
    worth: DogInterpretation | None
    panel: Panel | None  # how the chance came about, and what comes next
    is_suspect: bool  # a line was seen, whatever came after
    lines: tuple[ResultLine, ...]


def results_of(*, place: Here, dog: str) -> list[InfectionResults]:
    """By infection: what all results together are worth, and each one."""
    worth = {
        found.infection: found
        for found in dog_worth(
            book=place.book, handbook=place.handbook, dog=dog, on=place.on
        )
    }
    lines = _lines(place, dog)
    traced = {
        name
        for name in lines
        if name in INFECTIONS
        and any(
            one.dog == dog
            for one in suspects(
                book=place.book, handbook=place.handbook, infection=name, on=place.on
            )
        )
    }
    names = [*worth, *(name for name in lines if name not in worth)]
    return [
        InfectionResults(
            infection=name,
            worth=worth.get(name),
            panel=panel(place, worth[name]) if name in worth else None,
            is_suspect=name in traced,
            lines=tuple(
                sorted(lines.get(name, ()), key=lambda line: line.day, reverse=True)
            ),
        )
        for name in names
    ]


def _lines(place: Here, dog: str) -> dict[str, list[ResultLine]]:
    found: dict[str, list[ResultLine]] = {}
    kits = place.handbook.kits
    aside = _aside(place, dog)
    for card in place.book.tests_of(dog):
        infection = kits[card.kit].infection if card.kit in kits else card.kit
        found.setdefault(infection, []).append(_strip_line(place, card, aside))
    for entry in place.book.about(dog):
        fact = entry.fact
        if isinstance(fact, f.OtherResult):
            line = ResultLine(
                day=fact.sampled_on or place.book.happened_on(entry),
                test="",
                what=label(fact.method, METHODS),
                says=label(fact.call, CALLS),
                counts=True,
                void="",
                is_faint=False,
                disagree=False,
                state="read",
                aside=aside.get(entry.entry),
            )
            found.setdefault(fact.infection, []).append(line)
    return found


def _aside(place: Here, dog: str) -> dict[str, Phrase]:
    """By entry, why a result says nothing of now."""
    return {
        one.result.entry: one.why
        for infection in place.handbook.infections
        for one in set_aside(
            book=place.book,
            handbook=place.handbook,
            dog=dog,
            infection=infection,
            on=place.on,
        )
    }


def _strip_line(place: Here, card: TestCard, aside: Mapping[str, Phrase]) -> ResultLine:
    return ResultLine(
        day=place.book.happened_on(card.started),
        test=card.test,
        what=label(card.kit, KITS),
        says=label(card.call, CALLS) if card.state == "read" else "",
        counts=card.counts,
        void=", ".join(label(reason, VOIDS) for reason in card.void_reasons),
        is_faint=card.is_faint,
        disagree=card.disagree,
        state=card.state,
        aside=aside.get(card.started.entry),
    )
