"""What the book holds for the question how sure a kennel can be: dogs, tests, ways in.

Only negatives that count are counted. What does not count is told with its reason.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from kennelward.evidence import (
    BetaChance,
    NegativeRound,
    ResultSeen,
)
from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.rounds.case import CaseResult, DogCase, case_from_book
from kennelward.rounds.results_in_book import read_by
from kennelward.rounds.seen import seen_in_case
from kennelward.terms import Call, Phrase

TOO_YOUNG = Phrase("The dog was too young for this test to be judged.")
NO_FIGURES = Phrase("The handbook has no figures for this test.")
NOT_HERE = Phrase("The dog is not here any more.")
STILL_ASIDE = Phrase("The dog was in quarantine: its test speaks of itself alone.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Negative:
    """One negative of one dog, or of several dogs as one sample."""

    on: date
    dogs: tuple[str, ...]
    seen: ResultSeen | None  # None where the handbook has no figures
    why_not: Phrase | None = None
    is_pool: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinedOn:
    """When a dog that came in joined the others; None: it has not yet."""

    dog: str
    arrived: date
    joined: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotCounted:
    """Negatives that count for nothing here, and why."""

    why: Phrase
    tests: int


def last_case_day(
    *, book: Book, handbook: Handbook, infection: str, on: date
) -> date | None:
    """Last day up to `on` on which a positive or a dog apart still spoke of a case.

    None where the book holds no case.
    """
    reach = int(handbook.infections[infection].values["same_episode_days"].value)
    days = [
        day + timedelta(days=reach) for day in _positive_days(book, handbook, infection)
    ]
    days += list(_apart_days(book, infection, on=on))
    return min(max(days), on) if days else None


def _positive_days(book: Book, handbook: Handbook, infection: str) -> Iterator[date]:
    for card in book.tests.values():
        kit = handbook.kits.get(card.kit)
        if kit is None or kit.infection != infection or card.state != "read":
            continue
        if card.call in (Call.POSITIVE, Call.TRACE):
            yield book.day_of(card.started.happened_at)
    for kind in (f.OtherResult, f.PoolTested):
        for entry in book.of(kind):
            fact = entry.fact
            assert isinstance(fact, f.OtherResult | f.PoolTested)
            if fact.infection == infection and fact.call == Call.POSITIVE:
                yield fact.sampled_on or book.happened_on(entry)


def _apart_days(book: Book, infection: str, *, on: date) -> Iterator[date]:
    """Last day of every time a dog was kept apart for it."""
    since: dict[str, date] = {}
    for entry in book.live:
        match entry.fact:
            case f.KeptApart(dog=dog, infection=what) if what == infection:
                since[dog] = book.happened_on(entry)
            case f.ApartEnded(dog=dog) | f.Left(dog=dog) if dog in since:
                del since[dog]
                yield book.happened_on(entry)
    if since:
        yield on


class NegativesOf:
    """Every negative about one infection, with the figures of its dog and day."""

    def __init__(
        self, *, book: Book, handbook: Handbook, infection: str, on: date
    ) -> None:
        self._book, self._handbook, self._infection = book, handbook, infection
        self._on = on
        values = handbook.infections[infection].values
        youngest = values.get("from_age_days")
        self._youngest = 0 if youngest is None else int(youngest.value)

    def all(self) -> tuple[Negative, ...]:
        """Oldest first; also those that do not count."""
        found = [*self._strips(), *self._others(), *self._pools()]
        return tuple(sorted((n for n in found if n.on <= self._on), key=_day))

    def _strips(self) -> Iterator[Negative]:
        for card in self._book.tests.values():
            kit = self._handbook.kits.get(card.kit)
            if kit is None or kit.infection != self._infection:
                continue
            if card.state != "read" or card.call is not Call.NEGATIVE:
                continue
            result = CaseResult(
                test=card.kit,
                call=card.call,
                on=self._book.day_of(card.started.happened_at),
                void_reasons=card.void_reasons,
                entry=card.started.entry,
                read_by=read_by(card),
            )
            yield self._one(result, card.dog)

    def _others(self) -> Iterator[Negative]:
        for entry in self._book.of(f.OtherResult):
            fact = entry.fact
            assert isinstance(fact, f.OtherResult)
            if fact.infection == self._infection and fact.call == Call.NEGATIVE:
                result = CaseResult(
                    test=fact.method,
                    call=Call.NEGATIVE,
                    on=fact.sampled_on or self._book.happened_on(entry),
                    days_sampled=fact.days_sampled,
                    entry=entry.entry,
                )
                yield self._one(result, fact.dog)

    def _pools(self) -> Iterator[Negative]:
        for entry in self._book.of(f.PoolTested):
            fact = entry.fact
            assert isinstance(fact, f.PoolTested)
            if fact.infection != self._infection or fact.call != Call.NEGATIVE:
                continue
            day = fact.sampled_on or self._book.happened_on(entry)
            result = CaseResult(
                test=fact.method, call=Call.NEGATIVE, on=day, entry=entry.entry
            )
            one = self._one(result, fact.dogs[0])
            yield replace(one, dogs=fact.dogs, is_pool=True)

    def _has_figures(self, method: str) -> bool:
        if method in self._handbook.kits:
            return True
        held = self._handbook.methods.get(method)
        return held is not None and any(
            each.infection == self._infection for each in held.performances
        )

    def _one(self, result: CaseResult, dog: str) -> Negative:
        assert result.on is not None
        if not self._has_figures(result.test):
            return Negative(on=result.on, dogs=(dog,), seen=None, why_not=NO_FIGURES)
        case = self._case(dog, result.on)
        seen = seen_in_case(self._handbook, result, case)
        why_not = seen.why_not
        if seen.counts and (case.age_days or 0) < self._youngest:
            why_not = TOO_YOUNG
        return Negative(on=result.on, dogs=(dog,), seen=seen, why_not=why_not)

    def _case(self, dog: str, on: date) -> DogCase:
        return case_from_book(
            book=self._book, dog=dog, infection=self._infection, on=on
        )


def _day(negative: Negative) -> date:
    return negative.on


def sorted_out(
    negatives: Sequence[Negative],
    *,
    population: frozenset[str],
    joined: Mapping[str, JoinedOn],
    since: date,
) -> tuple[list[Negative], tuple[NotCounted, ...]]:
    """Those that speak of the kennel since `since`, and why the others do not."""
    kept, why = [], Counter[Phrase]()
    for one in negatives:
        if one.on < since:
            continue
        if one.why_not is not None:
            why[one.why_not] += 1
            continue
        dogs = tuple(dog for dog in one.dogs if dog in population)
        if not dogs:
            why[NOT_HERE] += 1
        elif not one.is_pool and _was_aside(joined.get(dogs[0]), one.on):
            why[STILL_ASIDE] += 1
        else:
            kept.append(replace(one, dogs=dogs))
    return kept, tuple(NotCounted(why=w, tests=n) for w, n in why.most_common())


def _was_aside(joined: JoinedOn | None, on: date) -> bool:
    return (
        joined is not None
        and joined.arrived <= on
        and (joined.joined is None or on < joined.joined)
    )


def negative_rounds(
    negatives: Sequence[Negative], *, handbook: Handbook, infection: str
) -> tuple[NegativeRound, ...]:
    """Negatives of one day, test and figure put together as one round."""
    values = handbook.infections[infection].values
    keeps = values["sure_pool_keeps"].value
    dependence = handbook.infections[infection].dependence.repeats.mean
    alike: dict[tuple[date, str, BetaChance, bool], list[Negative]] = {}
    for one in negatives:
        if one.seen is None:
            continue
        figures = one.seen.performance
        key = (one.on, figures.test, figures.sensitivity, one.is_pool)
        alike.setdefault(key, []).append(one)
    rounds = []
    for (on, test, sensitivity, is_pool), found in alike.items():
        for layer in _layers(found):
            rounds.append(
                NegativeRound(
                    on=on,
                    test=test,
                    dogs=() if is_pool else tuple(one.dogs[0] for one in layer),
                    pools=tuple(one.dogs for one in layer) if is_pool else (),
                    sensitivity=sensitivity,
                    pool_sensitivity=replace(sensitivity, mean=sensitivity.mean * keeps)
                    if is_pool
                    else None,
                    dependence=dependence,
                )
            )
    return tuple(sorted(rounds, key=lambda r: r.on))


def _layers(found: Sequence[Negative]) -> list[list[Negative]]:
    """So that no dog comes up twice in one layer."""
    layers: list[list[Negative]] = []
    for one in found:
        for layer in layers:
            if not any(set(one.dogs) & set(other.dogs) for other in layer):
                layer.append(one)
                break
        else:
            layers.append([one])
    return layers
