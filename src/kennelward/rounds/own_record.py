"""What this kennel's own results say of dogs of the same kind."""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from kennelward.evidence import OwnRecord, ResultSeen, record_from_results
from kennelward.handbook import DogFacts, Handbook
from kennelward.kennel import Book
from kennelward.rounds.case import CaseResult, case_from_book
from kennelward.rounds.results_in_book import results_in_book
from kennelward.rounds.seen import dog_facts, seen_in_case
from kennelward.rounds.suspects import Exposure

SAYS = (
    "This kennel's own record (other such dogs tested lately without signs or contact: "
    "{dogs}, of them positive: {positive}) makes it about {n} in 100."
)


def own_record(
    *,
    book: Book,
    handbook: Handbook,
    dog: str,
    facts: DogFacts,
    infection: str,
    on: date,
    exposures: Mapping[str, Sequence[Exposure]],
) -> OwnRecord | None:
    """The kennel's other dogs of the same kind, tested lately; None where there are none.

    Of the same kind: the handbook starts them at the same chance, and nothing that moves
    that chance (signs, contact) was known of them when they were sampled. One result a
    dog: the laboratory's latest, else its first strip that counts. The tests' mistakes are
    weighed, so that false alarms are not taken for findings
    (`evidence.record_from_results`). Which dogs count is our own rule.
    """
    values = handbook.infections[infection].values
    if "own_record_days" not in values:
        return None
    priors = handbook.priors[infection]
    base = priors.base_for(facts).id
    since = on - timedelta(days=int(values["own_record_days"].value))
    found: list[ResultSeen] = []
    for other, test in _tested(book, handbook, infection, since, on).items():
        if other == dog:
            continue
        case = case_from_book(
            book=book,
            dog=other,
            infection=infection,
            on=test.on or on,
            exposures=exposures.get(other, ()),
        )
        known = dog_facts(case)
        held = priors.base_for(known)
        if held.id != base or any(step.when.fits(known) for step in priors.steps):
            continue
        seen = seen_in_case(handbook, test, case)
        if seen.counts:
            found.append(seen)
    return record_from_results(
        priors.base_for(facts).chance,
        found,
        weight=values["own_record_weight"].value,
        says=SAYS,
    )


def _tested(
    book: Book, handbook: Handbook, infection: str, since: date, on: date
) -> dict[str, CaseResult]:
    """By dog, the result that stands for it: the vet's latest, else the first strip."""
    found: dict[str, CaseResult] = {}
    kits = {kit.kit for kit in handbook.kits_for(infection)}
    told = results_in_book(
        book=book, handbook=handbook, infection=infection, since=since, on=on
    )
    for dog, result in told:
        if result.test not in kits:
            found[dog] = result
        elif result.call.is_result:
            found.setdefault(dog, result)
    return found
