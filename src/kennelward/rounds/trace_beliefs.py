"""What is thought of each dog before its results and signs, as tracing starts from it.

The same starting chances as on the page of one result, so that a dog which met nobody
comes to the same: the handbook's, for a dog of this age and origin, without signs and
without contacts. Signs count beside the results, contacts are what is simulated.
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import floor

from kennelward.handbook import Handbook
from kennelward.kennel import facts as f
from kennelward.rounds.ahead_view import uid_of
from kennelward.rounds.case import DogCase, case_from_book, is_vaccinated
from kennelward.rounds.seen import dog_facts
from kennelward.rounds.trace_log import TraceLog
from kennelward.spread.kennel_now import YOUNG_DAYS
from kennelward.spread.trace import Believed, TestSeen


@dataclass(frozen=True, slots=True, kw_only=True)
class DogInLog:
    """One dog of the log: when it came in, and what is thought of it. Days of the log."""

    dog: str
    uid: int
    pen: str  # its first
    came: float  # 0 or before: here from the start
    born: float
    is_vaccinated: bool  # grown, with a course against it
    vaccinations: tuple[float, ...]  # of one without
    litter: str
    at_first: (
        float  # chance that it has it when it comes; 0 for a puppy born in the log
    )
    believed: Believed  # on an average day up to its last result, or its last day


def dogs_in(
    *,
    log: TraceLog,
    handbook: Handbook,
    infection: str,
    results: tuple[TestSeen, ...] = (),
) -> tuple[DogInLog, ...]:
    """Every dog of the log, by id."""
    last = {one.dog: one.day for one in sorted(results, key=lambda one: one.day)}
    found = []
    for dog in sorted({stay.dog for stay in log.stays}):
        first = next(stay for stay in log.stays if stay.dog == dog)
        card = log.book.dogs[dog]
        came = log.day(first.since)
        here_on = log.first + timedelta(days=max(0, floor(came)))
        until = log.now
        if card.left is not None:
            until = min(until, log.day(card.left.happened_at))
        until = min(until, last.get(uid_of(dog), until))
        until = min(max(until, came, 0.0), log.now)
        day = log.first + timedelta(days=min(floor(until), log.days - 1))
        is_born = (
            card.described.born_on > log.first and card.described.origin == "born-here"
        )
        young = card.age_days(here_on) < YOUNG_DAYS
        vaccinated = bool(
            is_vaccinated(book=log.book, dog=dog, infection=infection, on=here_on)
        )
        found.append(
            DogInLog(
                dog=dog,
                uid=uid_of(dog),
                pen=first.pen,
                came=came,
                born=float((card.described.born_on - log.first).days),
                is_vaccinated=vaccinated and not young,
                vaccinations=()
                if vaccinated and not young
                else _vaccinations(log, dog, infection),
                litter=card.described.litter or dog,
                at_first=0.0
                if is_born
                else starting_chance(log, handbook, infection, dog, here_on),
                believed=Believed(
                    dog=uid_of(dog),
                    day=until,
                    chance=starting_chance(log, handbook, infection, dog, day),
                ),
            )
        )
    return tuple(found)


def starting_chance(
    log: TraceLog, handbook: Handbook, infection: str, dog: str, on: date
) -> float:
    """The handbook's chance for such a dog without signs or contacts, its median."""
    case = case_from_book(book=log.book, dog=dog, infection=infection, on=on)
    return _median(handbook, case, signs=())


def sign_ratio(
    log: TraceLog,
    handbook: Handbook,
    infection: str,
    *,
    dog: str,
    signs: tuple[str, ...],
    on: date,
) -> float:
    """What signs are worth in this dog: the odds with them, by those without.

    1 where the handbook's starting chances make no difference.
    """
    case = case_from_book(book=log.book, dog=dog, infection=infection, on=on)
    without, having = (_median(handbook, case, signs=seen) for seen in ((), signs))
    return max(1.0, having / (1 - having) * (1 - without) / without)


def _median(handbook: Handbook, case: DogCase, *, signs: tuple[str, ...]) -> float:
    """The starting chance of a case with these signs and no contacts."""
    facts = dog_facts(replace(case, signs=signs, exposures=()))
    return handbook.prior_for(case.infection, facts).medians()[-1]


def _vaccinations(log: TraceLog, dog: str, infection: str) -> tuple[float, ...]:
    """Days of those that were written down."""
    days = []
    for entry in log.book.about(dog):
        fact = entry.fact
        if isinstance(fact, f.Vaccinated) and infection in fact.against:
            days.append(float((log.book.happened_on(entry) - log.first).days))
    return tuple(sorted(days))
