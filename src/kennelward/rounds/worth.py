"""What a dog's results are worth: the case and the handbook's figures, put together."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial

from kennelward.evidence import (
    BetaChance,
    Condition,
    Interpretation,
    OwnRecord,
    Prior,
    ResultSeen,
    interpret,
    prior,
)
from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.rounds.after_exposure import (
    BRUCELLA,
    LaterEvents,
    later_events,
    said_with,
)
from kennelward.rounds.case import CaseResult, DogCase, case_from_book
from kennelward.rounds.figures import is_own, with_own_figures
from kennelward.rounds.own_record import own_record
from kennelward.rounds.results_in_book import read_by
from kennelward.rounds.seen import circumstances, dependences, dog_facts, seen_in_case
from kennelward.rounds.suspects import Exposure, exposures_by_dog
from kennelward.terms import BadInput, Call

START_SAYS = "Started at about {n} in 100, as given."
CONDITIONS = {"pregnancy": Condition.PREGNANT, "brucella": Condition.BRUCELLA}

__all__ = [
    "DogInterpretation",
    "circumstances",
    "condition_of",
    "dependences",
    "dog_facts",
    "dog_worth",
    "interpret_case",
    "interpretation_of",
    "results_of",
    "weigh_case",
    "worth_of",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """A case weighed: what it started from, what was seen, what it comes to."""

    prior: Prior
    seen: tuple[ResultSeen, ...]  # one a result, in their order
    worth: Interpretation


@dataclass(frozen=True, slots=True, kw_only=True)
class DogInterpretation:
    """One dog, one infection: the case, its results and what they are worth."""

    dog: str
    infection: str
    case: DogCase
    results: tuple[CaseResult, ...]
    worth: Interpretation
    prior: Prior
    seen: tuple[ResultSeen, ...]  # one a result, in their order
    by_handbook: Interpretation | None = None  # where leaflet figures took part


def condition_of(infection: str) -> Condition:
    """How the chance of an infection, or of pregnancy, is worded."""
    return CONDITIONS.get(infection, Condition.INFECTED)


def interpret_case(
    *,
    handbook: Handbook,
    case: DogCase,
    results: Sequence[CaseResult] = (),
    on_sample: Sequence[DogCase] = (),
    own_record: OwnRecord | None = None,
) -> Interpretation:
    """The chance that the dog is infected (or pregnant) after `results`.

    `on_sample`: the dog's case on the day of each result's sample, one a result; where
    not given, `case` holds for all. `own_record`: the kennel's own results of such
    dogs. Raises BadInput for an unknown infection or test, or a sample after the day of
    the case.
    """
    return weigh_case(
        handbook=handbook,
        case=case,
        results=results,
        on_sample=on_sample,
        own_record=own_record,
    ).worth


def weigh_case(
    *,
    handbook: Handbook,
    case: DogCase,
    results: Sequence[CaseResult] = (),
    on_sample: Sequence[DogCase] = (),
    own_record: OwnRecord | None = None,
    start: BetaChance | None = None,
    later: LaterEvents | None = None,
) -> Weighed:
    """As `interpret_case`, with the prior and the results as they were weighed.

    `start`: a chance to begin with in place of the handbook's. `later`: what came after
    some of the results, so that they count no more.
    """
    if case.infection not in handbook.infections:
        known = ", ".join(sorted(handbook.infections))
        raise BadInput(f"infection must be one of {known}; got {case.infection!r}")
    for result in results:
        if result.on is not None and result.on > case.on:
            raise BadInput(
                f"{result.test} was sampled on {result.on}, after {case.on}; allowed "
                f"are days up to {case.on}"
            )
    cases = list(on_sample) or [case] * len(results)
    before = handbook.prior_for(case.infection, dog_facts(case))
    if start is not None:
        before = prior(start, says=START_SAYS)
    if own_record is not None:
        before = replace(before, own_record=own_record)
    seen = tuple(
        seen_in_case(handbook, result, sampled)
        for result, sampled in zip(results, cases, strict=True)
    )
    if later is not None:
        seen = tuple(later.outdated(one) for one in seen)
    worth = interpret(
        prior=before,
        results=seen,
        dependence=dependences(handbook, case.infection),
        condition=condition_of(case.infection),
    )
    if later is not None:
        worth = said_with(worth, later=later, seen=seen)
    return Weighed(prior=before, seen=seen, worth=worth)


def interpretation_of(
    *,
    handbook: Handbook,
    ours: Handbook,
    case: DogCase,
    results: Sequence[CaseResult],
    start: BetaChance | None = None,
) -> DogInterpretation:
    """A dog that is in no book; `handbook` with figures given, `ours` without."""
    found = weigh_case(handbook=handbook, case=case, results=results, start=start)
    by_handbook = None
    if any(seen.counts and is_own(seen.performance) for seen in found.seen):
        by_handbook = weigh_case(
            handbook=ours, case=case, results=results, start=start
        ).worth
    return DogInterpretation(
        dog="",
        infection=case.infection,
        case=case,
        results=tuple(results),
        worth=found.worth,
        prior=found.prior,
        seen=found.seen,
        by_handbook=by_handbook,
    )


def dog_worth(
    *, book: Book, handbook: Handbook, dog: str, on: date
) -> tuple[DogInterpretation, ...]:
    """One interpretation for each infection that the dog has a result, sign or exposure of.

    Pregnancy only where the bitch was mated or tested.
    """
    found = []
    for infection in handbook.infections:
        exposures = exposures_by_dog(
            book=book, handbook=handbook, infection=infection, on=on
        )
        results = results_of(
            book=book, handbook=handbook, dog=dog, infection=infection, on=on
        )
        if not results and not exposures.get(dog):
            continue
        found.append(
            worth_of(
                book=book,
                handbook=handbook,
                dog=dog,
                infection=infection,
                on=on,
                results=results,
                exposures=exposures,
            )
        )
    return tuple(found)


def worth_of(
    *,
    book: Book,
    handbook: Handbook,
    dog: str,
    infection: str,
    on: date,
    results: Sequence[CaseResult],
    exposures: Mapping[str, Sequence[Exposure]],
) -> DogInterpretation:
    """One dog's interpretation for one infection; `exposures` by dog, of all dogs.

    With the figures of the kennel's own leaflets, and its own record of such dogs.
    """

    case, sampled = _cases(
        book, dog, infection, on=on, results=results, exposures=exposures.get(dog, ())
    )
    record = own_record(
        book=book,
        handbook=handbook,
        dog=dog,
        facts=dog_facts(case),
        infection=infection,
        on=on,
        exposures=exposures,
    )
    later = None
    if infection == BRUCELLA:
        met = exposures.get(dog, ())
        later = later_events(
            book=book, handbook=handbook, dog=dog, on=on, exposures=met
        )
    weigh = partial(
        weigh_case,
        case=case,
        results=results,
        on_sample=sampled,
        own_record=record,
        later=later,
    )
    found = weigh(handbook=with_own_figures(book=book, handbook=handbook))
    by_handbook = None
    if any(seen.counts and is_own(seen.performance) for seen in found.seen):
        by_handbook = weigh(handbook=handbook).worth
    return DogInterpretation(
        dog=dog,
        infection=infection,
        case=case,
        results=tuple(results),
        worth=found.worth,
        prior=found.prior,
        seen=found.seen,
        by_handbook=by_handbook,
    )


def _cases(
    book: Book,
    dog: str,
    infection: str,
    *,
    on: date,
    results: Sequence[CaseResult],
    exposures: Sequence[Exposure],
) -> tuple[DogCase, list[DogCase]]:
    """The dog as it is, and as it was on the day of each sample."""

    def case_on(day: date) -> DogCase:
        return case_from_book(
            book=book, dog=dog, infection=infection, on=day, exposures=exposures
        )

    case = case_on(on)
    sampled = [case_on(result.on or on) for result in results]
    # The signs that made someone test belong to the prior even if they have passed.
    if not case.signs:
        ill = next((s for s in reversed(sampled) if s.signs), None)
        if ill is not None:
            case = replace(ill, on=case.on, days_since=case.days_since)
    return case, sampled


def results_of(
    *,
    book: Book,
    handbook: Handbook,
    dog: str,
    infection: str,
    on: date,
    since: date | None = None,
) -> tuple[CaseResult, ...]:
    """The dog's results that speak about the infection as it may be now, oldest first.

    Results older than `same_episode_days` are left out, and those from before the end
    of a vet's course for it, or (pregnancy) from before the latest mating. `since`: all
    from that day on instead.
    """
    if since is None:
        since = _episode_start(book, handbook, dog, infection=infection, on=on)
    found: list[tuple[date, CaseResult]] = []
    for card in book.tests_of(dog):
        kit = handbook.kits.get(card.kit)
        day = book.day_of(card.started.happened_at)
        if kit is None or kit.infection != infection or card.state != "read":
            continue
        if since <= day <= on:
            result = CaseResult(
                test=card.kit,
                call=card.call,
                on=day,
                void_reasons=card.void_reasons,
                entry=card.started.entry,
                read_by=read_by(card),
            )
            found.append((day, result))
    for entry in book.about(dog):
        fact = entry.fact
        if not isinstance(fact, f.OtherResult) or fact.infection != infection:
            continue
        day = fact.sampled_on or book.happened_on(entry)
        if since <= day <= on:
            result = CaseResult(
                test=fact.method,
                call=Call(fact.call),
                on=day,
                days_sampled=fact.days_sampled,
                entry=entry.entry,
            )
            found.append((day, result))
    return tuple(result for _, result in sorted(found, key=lambda pair: pair[0]))


def _episode_start(
    book: Book, handbook: Handbook, dog: str, *, infection: str, on: date
) -> date:
    days = int(handbook.infections[infection].values["same_episode_days"].value)
    start = on - timedelta(days=days)
    for entry in book.about(dog):
        day = book.happened_on(entry)
        match entry.fact:
            case f.CourseWritten(infection=what, ends_on=ends) if what == infection:
                # What was found before the course is no evidence of what is there after.
                start = max(start, ends) if ends < on else start
            case f.Mated(dam=dam) if (
                infection == "pregnancy" and dam == dog and day <= on
            ):
                start = max(start, day)
    return start
