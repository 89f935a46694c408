"""What this kennel's own results say of dogs of the same kind."""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from kennelward.evidence import OwnRecord, ResultSeen, record_from_results
from kennelward.handbook import DogFacts, Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.rounds.case import CaseResult, case_from_book
from kennelward.rounds.seen import dog_facts, seen_in_case
from kennelward.rounds.suspects import Exposure
from kennelward.terms import Call

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
    for other, (day, test) in _tested(book, handbook, infection, since, on).items():
        if other == dog:
            continue
        case = case_from_book(
            book=book,
            dog=other,
            infection=infection,
            on=day,
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
) -> dict[str, tuple[date, CaseResult]]:
    """By dog, the result that counts for it and its day."""
    found: dict[str, tuple[date, CaseResult]] = {}
    kits = {kit.kit for kit in handbook.kits_for(infection)}
    strips = sorted(
        (card for card in book.tests.values() if card.kit in kits and card.counts),
        key=lambda card: card.started.happened_at,
    )
    for card in strips:
        day = book.day_of(card.started.happened_at)
        if since <= day <= on and card.call.is_result:
            found.setdefault(card.dog, (day, CaseResult(test=card.kit, call=card.call)))
    for entry in book.of(f.OtherResult):
        fact = entry.fact
        if isinstance(fact, f.OtherResult) and fact.infection == infection:
            day = fact.sampled_on or book.happened_on(entry)
            if since <= day <= on:
                result = CaseResult(
                    test=fact.method,
                    call=Call(fact.call),
                    days_sampled=fact.days_sampled,
                )
                found[fact.dog] = (day, result)
    return found
