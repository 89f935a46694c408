"""After a positive: whom to keep apart, whom to test, and where it may have come from.

Chances speak of this log alone: what was not written down is not in them.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.handbook import Caution, Handbook
from kennelward.kennel import Book, Contact, ContactHow
from kennelward.rounds.ahead_view import uid_of
from kennelward.rounds.plan_outbreak import PEOPLE_FIRST
from kennelward.rounds.spread_knowledge import knowledge_of
from kennelward.rounds.suspects import Suspect, contain, suspects
from kennelward.rounds.trace_beliefs import DogInLog, dogs_in
from kennelward.rounds.trace_log import LogFault, TraceLog, trace_log
from kennelward.rounds.trace_scenario import results_in, trace_worlds
from kennelward.rounds.trace_signs import signs_in
from kennelward.spread.knowledge import Grade, Knowledge, Known
from kennelward.spread.many_runs import Workers
from kennelward.spread.reach import (
    Step,
    could_be_infected,
    could_be_source,
    path_to,
)
from kennelward.spread.trace import (
    DogTraced,
    SignSeen,
    TestSeen,
    TooFewRuns,
    Traced,
    trace,
)
from kennelward.terms import BadInput, Phrase

DAYS_BACK = 60  # of the log; common practice, no source
DAYS_BACK_CHRONIC = 365
ONE_IN_TEN = 0.1
GUESSES = 3  # named on the page
NOT_IN_IT = frozenset(  # numbers of a look ahead that a tracing does not use
    {
        "arrival_infected", "visitor_infected", "death", "notice", "wash_keeps",
        "change_keeps", "cleaning_varies",
    }
)  # fmt: skip
RUNS = 1_536  # at first
MOST_RUNS = 32_768


@dataclass(frozen=True, slots=True, kw_only=True)
class TracedDog:
    """One dog beside the one that was found."""

    dog: str
    chance: DogTraced | None  # None where chances were refused
    if_unwritten: DogTraced | None  # the same, if one move in ten is missing
    may_have_it: bool  # some path through the log leads to it
    may_be_source: bool  # some path leads from it to the dog that was found
    suspect: Suspect | None  # where it is one itself
    reasons: tuple[Phrase, ...]
    last_met: date | None
    is_here: bool

    @property
    def has_positive(self) -> bool:
        """A strip or a laboratory found it, so that a test says little more."""
        return self.suspect is not None and self.suspect.because != "kept-apart"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tracing:
    """What the log says about one infection, starting from one dog."""

    dog: str  # the one that was found
    infection: str
    people_first: tuple[Caution, ...]  # to be read before anything else
    first: date
    on: date
    dogs: tuple[TracedDog, ...]  # by name
    found: DogTraced | None  # the dog itself
    results: int
    signs: int  # written down and weighed
    guesses: tuple[Known, ...]  # those of the numbers that may be furthest off
    grades: Mapping[Grade, int]  # how many of all numbers rest on what
    runs: int
    effective: float
    faults: tuple[LogFault, ...]
    seed: int

    @property
    def has_chances(self) -> bool:
        """False where too few runs explain the results: then only paths are shown."""
        return self.found is not None

    def act_first(self) -> tuple[TracedDog, ...]:
        """Dogs that are here, those first whose keeping apart spares most others."""
        return self._ranked("averted")

    def isolate_first(self) -> tuple[TracedDog, ...]:
        """Dogs that are here, the likeliest to have it first."""
        return self._ranked("infected_now")

    def test_first(self) -> tuple[TracedDog, ...]:
        """Dogs that are here, those first in which a test today would find it.

        Those with a positive of their own come last: they are acted on as it is.
        """
        ranked = self._ranked("found_now")
        return tuple(sorted(ranked, key=lambda one: one.has_positive))

    def likely_source(self) -> tuple[TracedDog, ...]:
        """Dogs that may have brought it in, likeliest first; those that left too."""
        able = [one for one in self.dogs if one.may_be_source]
        return tuple(sorted(able, key=lambda one: _order(one, "brought_in")))

    def _ranked(self, name: str) -> tuple[TracedDog, ...]:
        able = [one for one in self.dogs if one.may_have_it and one.is_here]
        return tuple(sorted(able, key=lambda one: _order(one, name)))


def _order(one: TracedDog, name: str) -> tuple[float, float, int, str]:
    chance = getattr(one.chance, name) if one.chance is not None else 0.0
    has_it = one.chance.infected_now if one.chance is not None else 0.0
    met = one.last_met.toordinal() if one.last_met is not None else 0
    return (-chance, -has_it, -met, one.dog)


def trace_and_contain(
    *,
    book: Book,
    handbook: Handbook,
    dog: str,
    infection: str,
    on: date,
    seed: int,
    runs: int = RUNS,
    workers: Workers | None = None,
) -> Tracing:
    """Trace an infection from a dog through the kennel's own book, as of `on`.

    The same answer comes out for any number of `workers`.

    Raises BadInput for an unknown dog or infection. Entries that cannot be are reported.
    """
    if dog not in book.dogs:
        raise BadInput(f"no dog {dog!r} in the book")
    if infection not in handbook.infections:
        names = ", ".join(handbook.infections)
        raise BadInput(f"infection must be one of {names}; got {infection!r}")
    held = handbook.infections[infection]
    back = DAYS_BACK if "spread_shedding_days" in held.values else DAYS_BACK_CHRONIC
    log = trace_log(book=book, first=on - timedelta(days=back), on=on)
    results = results_in(log=log, handbook=handbook, infection=infection)
    knowledge = knowledge_of(handbook=handbook, infection=infection)
    signs = signs_in(log=log, handbook=handbook, infection=infection)
    asked = _Asked(
        log=log, handbook=handbook, infection=infection, results=results, signs=signs,
        dogs=dogs_in(log=log, handbook=handbook, infection=infection, results=results),
        seed=seed, runs=runs, workers=workers,
    )  # fmt: skip
    plain = _traced(asked)
    unsure = _traced(asked, beside=plain)
    chances = _by_uid(plain)
    return Tracing(
        dog=dog,
        infection=infection,
        people_first=tuple(
            handbook.cautions[name] for name in PEOPLE_FIRST.get(infection, ())
        ),
        first=log.first,
        on=on,
        dogs=_others(book, handbook, log, dog, infection, chances, _by_uid(unsure)),
        found=chances.get(uid_of(dog)),
        results=len(results),
        signs=len(signs),
        guesses=tuple(k for k in knowledge.guesses if k.name not in NOT_IN_IT)[
            :GUESSES
        ],
        grades=_grades(knowledge),
        runs=plain.runs,
        effective=plain.effective,
        faults=log.faults,
        seed=seed,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What is asked of the tracing core."""

    log: TraceLog
    handbook: Handbook
    infection: str
    results: tuple[TestSeen, ...]
    signs: tuple[SignSeen, ...]
    dogs: tuple[DogInLog, ...]
    seed: int
    runs: int
    workers: Workers | None


def _traced(
    asked: _Asked, *, beside: Traced | TooFewRuns | None = None
) -> Traced | TooFewRuns:
    """The log as it is; `beside` an answer to that, with one move in ten more."""
    return trace(
        worlds=trace_worlds(
            log=asked.log,
            handbook=asked.handbook,
            infection=asked.infection,
            dogs=asked.dogs,
            seed=asked.seed,
            unwritten=0.0 if beside is None else ONE_IN_TEN,
        ),
        results=asked.results,
        signs=asked.signs,
        believed=tuple(one.believed for one in asked.dogs),
        now=asked.log.now,
        seed=asked.seed,
        runs=asked.runs,
        most_runs=MOST_RUNS if beside is None else MOST_RUNS // 2,
        like=beside if isinstance(beside, Traced) else None,
        workers=asked.workers,
    )


def _grades(knowledge: Knowledge) -> Mapping[Grade, int]:
    """How many of the numbers that a tracing uses rest on what."""
    return Counter(
        known.grade
        for name, known in knowledge.numbers.items()
        if name not in NOT_IN_IT
    )


def _by_uid(traced: Traced | TooFewRuns) -> Mapping[int, DogTraced]:
    if isinstance(traced, TooFewRuns):
        return {}
    return {one.dog: one for one in traced.dogs}


def _others(
    book: Book,
    handbook: Handbook,
    log: TraceLog,
    dog: str,
    infection: str,
    chances: Mapping[int, DogTraced],
    unsure: Mapping[int, DogTraced],
) -> tuple[TracedDog, ...]:
    values = handbook.infections[infection].values
    paths = log.contacts(survival_days=float(values["pen_used_after_days"].value))
    onward = could_be_infected(paths, source=dog, since=0.0)
    back = could_be_source(paths, found_in=dog, at=float(log.days), since=0.0)
    met: dict[str, list[Contact]] = {}
    for contact in contain(
        book=book, handbook=handbook, dog=dog, infection=infection, on=log.on
    ):
        met.setdefault(contact.dog, []).append(contact)
    found_too = {
        one.dog: one
        for one in suspects(
            book=book, handbook=handbook, infection=infection, on=log.on
        )
    }
    found = []
    names = sorted(
        {stay.dog for stay in log.stays} - {dog}, key=lambda d: (book.name_of(d), d)
    )
    for other in names:
        uid = uid_of(other)
        contacts = met.get(other, [])
        reasons = [_reason(book, dog, contact) for contact in contacts[:3]]
        if not reasons and other in onward:
            reasons.append(_by_way(book, path_to(onward, other)[-1]))
        suspect = found_too.get(other)
        if suspect is not None:
            reasons.insert(0, _suspected(suspect))
        found.append(
            TracedDog(
                dog=other,
                chance=chances.get(uid),
                if_unwritten=unsure.get(uid),
                may_have_it=other in onward or other in back or bool(contacts),
                may_be_source=other in back,
                suspect=suspect,
                reasons=tuple(reasons),
                last_met=max((c.last for c in contacts), default=None),
                is_here=book.dogs[other].is_here,
            )
        )
    return tuple(found)


def _suspected(suspect: Suspect) -> Phrase:
    values = {"day": f"{suspect.since.day} {suspect.since:%B}"}
    if suspect.because == "kept-apart":
        return Phrase("Kept apart since {day}.", values)
    return Phrase("A suspect itself since {day}.", values)


def _by_way(book: Book, step: Step) -> Phrase:
    return Phrase(
        "By way of {through}, in {pen}.",
        {"through": book.name_of(step.by), "pen": book.name_of(step.place)},
    )


def _reason(book: Book, dog: str, contact: Contact) -> Phrase:
    values = {
        "dog": book.name_of(dog),
        "pen": book.name_of(contact.pen) if contact.pen else "",
        "first": f"{contact.first.day} {contact.first:%B}",
        "last": f"{contact.last.day} {contact.last:%B}",
    }
    one_day = contact.first == contact.last
    match contact.how:
        case ContactHow.SAME_PEN if one_day:
            return Phrase("Shared {pen} with {dog} on {first}.", values)
        case ContactHow.SAME_PEN if (contact.last - contact.first).days == 1:
            return Phrase("Shared {pen} with {dog} on {first} and {last}.", values)
        case ContactHow.SAME_PEN:
            return Phrase("Shared {pen} with {dog} from {first} to {last}.", values)
        case ContactHow.PEN_USED_AFTER:
            return Phrase("Came into {pen} after {dog}, on {first}.", values)
        case ContactHow.MATING:
            return Phrase("Mated with {dog} on {first}.", values)
        case _:
            return Phrase(
                "Same litter as {dog}, or its dam, from {first} to {last}.", values
            )
