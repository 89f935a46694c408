"""The book's log as scenarios that the tracing core can run, one a set of numbers."""

from collections.abc import Sequence
from dataclasses import replace
from math import floor

from kennelward.handbook import Handbook
from kennelward.kennel import facts as f
from kennelward.rounds.ahead_view import uid_of
from kennelward.rounds.case import CaseResult, case_from_book
from kennelward.rounds.figures import with_own_figures
from kennelward.rounds.seen import seen_in_case
from kennelward.rounds.spread_knowledge import chosen_test, knowledge_of
from kennelward.rounds.trace_beliefs import DogInLog
from kennelward.rounds.trace_log import TraceLog
from kennelward.rounds.worth import results_of
from kennelward.spread import course_of as made
from kennelward.spread.knowledge import World, drawn_world
from kennelward.spread.model import Course, Dog, Event, Happens, Place, Scenario
from kennelward.spread.scenario_of import protection_of
from kennelward.spread.trace import TestSeen
from kennelward.spread.trace_draws import mean_shedding, sheds_share
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
    dogs: Sequence[DogInLog],
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
    worlds = []
    for number in range(WORLDS):
        world = drawn_world(knowledge, seed=seed, number=number)
        held = moved + _cleanings(log, pens, world)
        if unwritten > 0:
            held += _unwritten(
                log, moved, pens, share=unwritten, seed=seed, number=number
            )
        course = replace(
            made.course_of(knowledge, world),
            carried_days=_carried_days(world),
            chance_death=0.0,  # the book says who is alive
        )
        worlds.append(
            Scenario(
                dogs=_dogs(dogs, pens, world, course, days=log.days, seed=seed),
                places=_places(log, pens, world),
                events=held,
                course=course,
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
    """All results that count, on the day of the sample. A trace counts as a positive.

    Each with the figures of its own test for this dog on that day, and of who read it.
    """
    handbook = with_own_figures(book=log.book, handbook=handbook)
    found = []
    for dog in sorted({stay.dog for stay in log.stays}):
        for result in results_of(
            book=log.book, handbook=handbook, dog=dog, infection=infection, on=log.on,
            since=log.first,
        ):  # fmt: skip
            seen = _seen(log, handbook, infection, dog, result)
            if seen is not None:
                found.append(seen)
    return tuple(sorted(found, key=lambda one: (one.day, one.dog)))


def _seen(
    log: TraceLog, handbook: Handbook, infection: str, dog: str, result: CaseResult
) -> TestSeen | None:
    day = result.on or log.on
    if not log.first <= day <= log.on or result.void_reasons:
        return None
    is_seen = result.call in (Call.POSITIVE, Call.TRACE)
    case = case_from_book(book=log.book, dog=dog, infection=infection, on=day)
    known = seen_in_case(
        handbook, replace(result, call=Call.POSITIVE) if is_seen else result, case
    )
    if not known.counts:
        return None
    sensitivity, specificity = (
        chance.interval().median
        for chance in (known.performance.sensitivity, known.performance.specificity)
    )
    missed, imagined = known.reader.line_missed, known.reader.line_imagined
    return TestSeen(
        dog=uid_of(dog),
        day=log.noon(day),
        is_positive=is_seen,
        sensitivity=sensitivity * (1 - missed) + (1 - sensitivity) * imagined,
        specificity=specificity * (1 - imagined) + (1 - specificity) * missed,
    )


def _dogs(
    dogs: Sequence[DogInLog],
    pens: list[str],
    world: World,
    course: Course,
    *,
    days: int,
    seed: int,
) -> tuple[Dog, ...]:
    """The log's dogs in this world: what each is thought to bring in if it is alone."""
    found = []
    sheds, lasts = sheds_share(course), mean_shedding(course)
    for one in dogs:
        since = max(one.came, 0.0)
        if course.is_chronic:
            more = max(0.0, one.believed.chance - one.at_first)
            rate = more / max(days - since, 1.0)
        else:
            rate = one.believed.chance / lasts
        has = protection_of(
            world, born=one.born, on=since, is_vaccinated=one.is_vaccinated,
            litter=one.litter, seed=seed,
        )  # fmt: skip
        found.append(
            Dog(
                uid=one.uid,
                home=pens.index(one.pen),
                arrives_on=float(floor(one.came)) if one.came > 0 else -1.0,
                chance_infected=min(1.0, one.at_first / sheds),
                from_outside=rate,
                susceptibility=has.susceptibility,
                protected_until=has.protected_until,
                blocked_until=has.blocked_until,
                vaccinations=one.vaccinations,
            )
        )
    return tuple(found)


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
