"""A case in the words of evidence and handbook: circumstances, figures, results seen."""

from collections.abc import Mapping
from dataclasses import replace

from kennelward.evidence import (
    TRAINED_EYES,
    Circumstances,
    Dependence,
    ResultSeen,
    choose_performance,
    in_hundred,
    result_seen,
)
from kennelward.handbook import DogFacts, Handbook, Kit
from kennelward.rounds.case import CaseResult, DogCase
from kennelward.terms import BadInput, Phrase

GROWN_DAYS = 730
READER_NOT_MEASURED = (
    "The reader alone read this strip. How often it is wrong has not been measured yet; "
    "the figures used are for trained human eyes."
)
READER_COUNTED_IN = (
    "The reader alone read this strip: that it misses {missed} of 100 lines and sees "
    "one in {imagined} of 100 strips without is counted in."
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
        is_mated_outside=case.is_mated_outside,
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


def seen_in_case(handbook: Handbook, result: CaseResult, case: DogCase) -> ResultSeen:
    """A result with the figures that fit the dog on the day of its sample.

    Raises BadInput for a test that the handbook does not know, or that has no figures
    for the infection.
    """
    around = circumstances(case, handbook=handbook)
    kit = handbook.kits.get(result.test)
    if kit is not None:
        performance = choose_performance(kit.performances, case=around)
        windows = kit.windows
    elif result.test in handbook.methods:
        method = handbook.methods[result.test]
        performance = method.performance_for(
            case.infection, days_sampled=result.days_sampled
        )
        windows = method.windows_for(case.infection)
    else:
        known = ", ".join(sorted([*handbook.kits, *handbook.methods]))
        raise BadInput(f"test must be one of {known}; got {result.test!r}")
    error = TRAINED_EYES
    if kit is not None and result.read_by == "reader":
        error = kit.reader_error or TRAINED_EYES
    seen = result_seen(
        result.call,
        performance=performance,
        case=around,
        windows=windows,
        void_reasons=result.void_reasons,
        reader=error,
        on=result.on,
        ref=result.entry,
    )
    if kit is not None and result.read_by == "reader" and seen.counts:
        seen = replace(seen, flags=(*seen.flags, reader_says(kit)))
    return seen


def reader_says(kit: Kit) -> Phrase:
    """What it means for the chance that the reader alone read the strip."""
    error = kit.reader_error
    if error is None:
        return Phrase(READER_NOT_MEASURED)
    return Phrase(
        READER_COUNTED_IN,
        {
            "missed": in_hundred(error.line_missed),
            "imagined": in_hundred(error.line_imagined),
        },
    )


def circumstances(case: DogCase, *, handbook: Handbook | None = None) -> Circumstances:
    """The case in evidence's words.

    For a pregnancy the surge is the best clock: ovulation gives it where no LH day is
    known, by the days that `handbook` has between the two (without it: not at all), and
    mating dates count only where neither is.
    """
    days = dict(case.days_since)
    if case.infection == "pregnancy":
        if "lh" not in days and "ovulation" in days and handbook is not None:
            between = handbook.programmes.number(
                "gestation.surge_to_ovulation_days", case.on
            )
            days["lh"] = days["ovulation"] + round(between)
        if "lh" in days:
            days.pop("mating", None)
    return Circumstances(
        is_sick=bool(case.signs), is_vaccinated=case.is_vaccinated, days_since=days
    )
