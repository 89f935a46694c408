"""What a dog's results are worth: the case and the handbook's figures, put together."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from kennelward.evidence import (
    Circumstances,
    Condition,
    Dependence,
    Interpretation,
    ResultSeen,
    choose_performance,
    interpret,
    result_seen,
)
from kennelward.handbook import DogFacts, Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.rounds.case import CaseResult, DogCase, case_from_book
from kennelward.rounds.suspects import Exposure, exposures_by_dog
from kennelward.terms import BadInput, Call

CONDITIONS = {"pregnancy": Condition.PREGNANT, "brucella": Condition.BRUCELLA}
GROWN_DAYS = 730
DAYS_FROM_SURGE_TO_OVULATION = 2  # Hollinshead & Hanlon 2019, Theriogenology 125:37-42


@dataclass(frozen=True, slots=True, kw_only=True)
class DogInterpretation:
    """One dog, one infection: the case, its results and what they are worth."""

    dog: str
    infection: str
    case: DogCase
    results: tuple[CaseResult, ...]
    worth: Interpretation


def interpret_case(
    *,
    handbook: Handbook,
    case: DogCase,
    results: Sequence[CaseResult] = (),
    on_sample: Sequence[DogCase] = (),
) -> Interpretation:
    """The chance that the dog is infected (or pregnant) after `results`.

    `on_sample`: the dog's case on the day of each result's sample, one a result; where
    not given, `case` holds for all. Raises BadInput for an unknown infection or test.
    """
    if case.infection not in handbook.infections:
        known = ", ".join(sorted(handbook.infections))
        raise BadInput(f"infection must be one of {known}; got {case.infection!r}")
    cases = list(on_sample) or [case] * len(results)
    return interpret(
        prior=handbook.prior_for(case.infection, dog_facts(case)),
        results=[
            _seen(handbook, result, sampled)
            for result, sampled in zip(results, cases, strict=True)
        ],
        dependence=dependences(handbook, case.infection),
        condition=CONDITIONS.get(case.infection, Condition.INFECTED),
    )


def dog_facts(case: DogCase) -> DogFacts:
    """The case in the words of the handbook's priors.

    A dog of unknown age counts as grown.
    """
    return DogFacts(
        age_days=GROWN_DAYS if case.age_days is None else case.age_days,
        signs=case.signs,
        is_vaccinated=case.is_vaccinated,
        came_from=case.source,
        is_contact=bool(case.exposures),
        is_kennel_dog=case.housing == "kennel",
        mating_method=case.mating_method,
    )


def dependences(handbook: Handbook, infection: str) -> Mapping[str, Dependence]:
    """How results repeat each other, by what the tests of an infection see.

    Each names every test that sees the same thing, so that no number of them can make
    a negative raise the chance.
    """
    held = handbook.infections[infection].dependence
    figures = [p for kit in handbook.kits_for(infection) for p in kit.performances]
    figures += [
        found.performance
        for method in handbook.methods.values()
        for found in method.performances
        if found.infection == infection
    ]
    return {
        sees: replace(held, tests=tuple(p for p in figures if p.sees == sees))
        for sees in {p.sees for p in figures}
    }


def _seen(handbook: Handbook, result: CaseResult, case: DogCase) -> ResultSeen:
    around = circumstances(case)
    kit = handbook.kits.get(result.test)
    if kit is not None:
        performance = choose_performance(kit.performances, case=around)
        windows = kit.windows
    elif result.test in handbook.methods:
        performance = handbook.methods[result.test].performance_for(
            case.infection, days_sampled=result.days_sampled
        )
        windows = ()
    else:
        known = ", ".join(sorted([*handbook.kits, *handbook.methods]))
        raise BadInput(f"test must be one of {known}; got {result.test!r}")
    return result_seen(
        result.call,
        performance=performance,
        case=around,
        windows=windows,
        void_reasons=result.void_reasons,
        on=result.on,
        ref=result.entry,
    )


def circumstances(case: DogCase) -> Circumstances:
    """The case in evidence's words.

    For a pregnancy the surge is the best clock: ovulation gives it where no LH day is
    known, and mating dates count only where neither is.
    """
    days = dict(case.days_since)
    if case.infection == "pregnancy":
        if "lh" not in days and "ovulation" in days:
            days["lh"] = days["ovulation"] + DAYS_FROM_SURGE_TO_OVULATION
        if "lh" in days:
            days.pop("mating", None)
    return Circumstances(
        is_sick=bool(case.signs), is_vaccinated=case.is_vaccinated, days_since=days
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
        ).get(dog, ())
        results = results_of(
            book=book, handbook=handbook, dog=dog, infection=infection, on=on
        )
        if not results and not exposures:
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
    exposures: Sequence[Exposure],
) -> DogInterpretation:
    """One dog's interpretation for one infection."""

    def case_on(day: date) -> DogCase:
        return case_from_book(
            book=book, dog=dog, infection=infection, on=day, exposures=exposures
        )

    case = case_on(on)
    sampled = [case_on(result.on or on) for result in results]
    # The signs that made someone test belong to the prior even if they have passed.
    if not case.signs:
        ill = next((s for s in reversed(sampled) if s.signs), None)
        case = ill if ill is not None else case
    worth = interpret_case(
        handbook=handbook, case=case, results=results, on_sample=sampled
    )
    return DogInterpretation(
        dog=dog, infection=infection, case=case, results=tuple(results), worth=worth
    )


def results_of(
    *, book: Book, handbook: Handbook, dog: str, infection: str, on: date
) -> tuple[CaseResult, ...]:
    """The dog's results that speak about the infection as it may be now, oldest first.

    Results older than `same_episode_days` are left out, and those from before the end
    of a vet's course for it, or (pregnancy) from before the latest mating.
    """
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
