"""The book's log as scenarios that the tracing core can run, one a set of numbers."""

from dataclasses import replace
from datetime import date
from math import floor

from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.rounds.ahead_view import uid_of
from kennelward.rounds.case import case_from_book
from kennelward.rounds.seen import dog_facts
from kennelward.rounds.spread_knowledge import chosen_test, knowledge_of
from kennelward.rounds.trace_log import TraceLog
from kennelward.spread import course_of as made
from kennelward.spread.knowledge import World, drawn_world
from kennelward.spread.model import Dog, Event, Happens, Place, Scenario
from kennelward.spread.trace import TestSeen
from kennelward.terms import Call, stream

WORLDS = 6  # sets of numbers, drawn from their ranges, equally likely
ROUND_AT = 0.3  # of a day
STEP = 0.0005
A_YEAR = 365.0  # lifelong carriers: as far back as the book is asked
UNWRITTEN_FOR = 0.25  # days that a move which was not written down lasts


def trace_worlds(
    *,
    log: TraceLog,
    handbook: Handbook,
    infection: str,
    seed: int,
    unwritten: float = 0,
) -> tuple[Scenario, ...]:
    """The log under several sets of numbers.

    `unwritten`: share of all moves that is thought to be missing; so many short visits
    to other pens are drawn and put in, others in each world.
    """
    knowledge = knowledge_of(handbook=handbook, infection=infection)
    test = chosen_test(handbook, infection, "").setting
    pens = sorted(log.book.pens, key=lambda p: (log.book.pens[p].described.order, p))
    moved = _events(log, pens)
    dogs = _dogs(log, handbook, infection, pens)
    worlds = []
    for number in range(WORLDS):
        world = drawn_world(knowledge, seed=seed, number=number)
        held = moved + _cleanings(log, pens, world)
        if unwritten > 0:
            held += _unwritten(
                log, moved, pens, share=unwritten, seed=seed, number=number
            )
        worlds.append(
            Scenario(
                dogs=dogs,
                places=_places(log, pens, world),
                events=held,
                course=replace(
                    made.course_of(knowledge, world), carried_days=_carried_days(world)
                ),
                test=made.kind_of_test(
                    world, delay_days=test.delay_days, window=test.window
                ),
                days=log.days,
            )
        )
    return tuple(worlds)


def results_in(
    *, log: TraceLog, handbook: Handbook, infection: str
) -> tuple[TestSeen, ...]:
    """All results that count, on the day of the sample. A trace counts as a positive."""
    book, found = log.book, []
    known = {stay.dog for stay in log.stays}
    for card in book.tests.values():
        kit = handbook.kits.get(card.kit)
        if kit is None or kit.infection != infection or card.dog not in known:
            continue
        is_seen = card.call in (Call.POSITIVE, Call.TRACE)
        if not (card.counts and (is_seen or card.call is Call.NEGATIVE)):
            continue
        found.append((card.dog, book.day_of(card.started.happened_at), is_seen))
    for entry in book.of(f.OtherResult):
        fact = entry.fact
        if isinstance(fact, f.OtherResult) and fact.infection == infection:
            day = fact.sampled_on or book.happened_on(entry)
            if fact.dog in known:
                found.append((fact.dog, day, fact.call == Call.POSITIVE))
    return tuple(
        TestSeen(
            dog=uid_of(dog), day=float((day - log.first).days), is_positive=positive
        )
        for dog, day, positive in sorted(found)
        if log.first <= day <= log.on
    )


def _dogs(
    log: TraceLog, handbook: Handbook, infection: str, pens: list[str]
) -> tuple[Dog, ...]:
    found = []
    for dog in sorted({stay.dog for stay in log.stays}):
        first = next(stay for stay in log.stays if stay.dog == dog)
        came = log.day(first.since)
        found.append(
            Dog(
                uid=uid_of(dog),
                home=pens.index(first.pen),
                arrives_on=float(floor(came)) if came > 0 else -1.0,
                chance_infected=_chance(log.book, handbook, infection, dog, log.first),
            )
        )
    return tuple(found)


def _chance(
    book: Book, handbook: Handbook, infection: str, dog: str, first: date
) -> float:
    """What was thought before the log began; nothing for a puppy born in it."""
    card = book.dogs[dog]
    if card.described.born_on > first and card.described.origin == "born-here":
        return 0.0
    came = first
    if card.arrived is not None:
        came = max(first, book.happened_on(card.arrived))
    case = case_from_book(book=book, dog=dog, infection=infection, on=came)
    base = handbook.priors[infection].base_for(dog_facts(case)).chance
    return float(base.interval().median)


def _places(log: TraceLog, pens: list[str], world: World) -> tuple[Place, ...]:
    found = []
    for pen in pens:
        is_yard = log.book.pens[pen].described.pen_kind == "yard"
        surface = "soil" if is_yard else "floor"
        found.append(
            Place(
                decay=made.decay(world, surface),
                cleaning_works=made.works(world, surface),
            )
        )
    return tuple(found)


def _events(log: TraceLog, pens: list[str]) -> tuple[Event, ...]:
    """Moves, leavings, matings here, and a round through all pens a day."""
    found = []
    number = {pen: n for n, pen in enumerate(pens)}
    last = float(log.days) - 0.001
    stays_of: dict[str, int] = {}
    for stay in log.stays:
        at = log.day(stay.since)
        if stays_of.setdefault(stay.dog, 0) and 0 < at < last:
            found.append(
                Event(at=at, what=Happens.MOVE, a=uid_of(stay.dog), b=number[stay.pen])
            )
        stays_of[stay.dog] += 1
    for dog in stays_of:
        gone = log.book.dogs[dog].left
        if gone is not None and 0 < log.day(gone.happened_at) < last:
            found.append(
                Event(at=log.day(gone.happened_at), what=Happens.LEAVE, a=uid_of(dog))
            )
    for entry in log.book.of(f.Mated):
        fact, at = entry.fact, log.day(entry.happened_at)
        is_here = isinstance(fact, f.Mated) and {fact.dam, fact.sire} <= set(stays_of)
        if isinstance(fact, f.Mated) and is_here and 0 < at < last:
            dam, sire = uid_of(fact.dam), uid_of(fact.sire)
            found.append(Event(at=at, what=Happens.MATE, a=dam, b=sire))
    for day in range(log.days):
        for n in range(len(pens)):
            at = day + ROUND_AT + STEP * n
            found.append(Event(at=at, what=Happens.VISIT, a=n))
    return tuple(found)


def _cleanings(log: TraceLog, pens: list[str], world: World) -> tuple[Event, ...]:
    return tuple(
        Event(
            at=done.at,
            what=Happens.CLEAN,
            a=pens.index(done.pen),
            x=made.logs(world, done.product),
        )
        for done in log.cleanings
        if done.pen in pens and 0 < done.at < log.days - 0.001
    )


def _carried_days(world: World) -> float:
    """How long before a carrier may have caught it: a whole course, or a year."""
    if world.value("shedding_days", 0.0) <= 0:
        return A_YEAR
    return world.value("latency_days") + world.value("shedding_days")


def _unwritten(
    log: TraceLog,
    events: tuple[Event, ...],
    pens: list[str],
    *,
    share: float,
    seed: int,
    number: int,
) -> tuple[Event, ...]:
    """Short visits to other pens that nobody wrote down, drawn at random."""
    rng = stream(seed, "spread.unwritten", replicate=number)
    moves = sum(event.what is Happens.MOVE for event in events)
    dogs = sorted({stay.dog for stay in log.stays})
    found = []
    for _ in range(round(moves * share / (1 - share))):
        dog = dogs[int(rng.integers(len(dogs)))]
        at = float(rng.uniform(0.1, max(0.2, log.days - 1.0)))
        pen = int(rng.integers(len(pens)))
        home = _pen_at(log, dog, at + UNWRITTEN_FOR)
        if home is None or floor(at) >= log.days - 1:
            continue
        found += [
            Event(at=at, what=Happens.MOVE, a=uid_of(dog), b=pen),
            Event(
                at=at + UNWRITTEN_FOR,
                what=Happens.MOVE,
                a=uid_of(dog),
                b=pens.index(home),
            ),
        ]
    return tuple(found)


def _pen_at(log: TraceLog, dog: str, at: float) -> str | None:
    for stay in log.stays:
        until = float(log.days) if stay.until is None else log.day(stay.until)
        if stay.dog == dog and log.day(stay.since) <= at < until:
            return stay.pen
    return None
