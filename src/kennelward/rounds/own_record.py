"""What this kennel's own results say of dogs of the same kind."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.evidence import OwnRecord, ResultSeen, post_test
from kennelward.handbook import DogFacts, Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.rounds.case import CaseResult, case_from_book
from kennelward.rounds.seen import dog_facts, seen_in_case
from kennelward.rounds.suspects import Exposure
from kennelward.terms import Call

SAYS = (
    "This kennel's own record ({positive} of {dogs} such dogs tested positive lately) "
    "makes it about {n} in 100."
)


@dataclass(frozen=True, slots=True)
class _Found:
    """One dog of the record: its chance before and after the result that counts for it."""

    before: float
    after: float
    is_positive: bool

    @property
    def settled(self) -> float:
        """Share of the doubt about this dog that its result took away, 0 to 1."""
        doubt = self.before * (1 - self.before)
        return max(0.0, 1 - self.after * (1 - self.after) / doubt) if doubt else 0.0


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
    dog: the laboratory's latest, else its first strip that counts. A dog counts for the
    share of doubt that its result settled, so that a strip's false alarms are not taken
    for infected dogs. Source: docs/methods/evidence.md, section 2; our own rule.
    """
    values = handbook.infections[infection].values
    if "own_record_days" not in values:
        return None
    priors = handbook.priors[infection]
    base = priors.base_for(facts).id
    since = on - timedelta(days=int(values["own_record_days"].value))
    found: list[_Found] = []
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
            found.append(_weighed(seen, held.chance.mean))
    if not found:
        return None
    return OwnRecord(
        found=sum(one.settled * one.after for one in found),
        tested=sum(one.settled for one in found),
        weight=values["own_record_weight"].value,
        says=SAYS,
        positive=sum(one.is_positive for one in found),
        dogs=len(found),
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


def _weighed(seen: ResultSeen, before: float) -> _Found:
    is_positive = seen.call is Call.POSITIVE
    after = post_test(
        before,
        sensitivity=seen.performance.sensitivity.mean,
        specificity=seen.performance.specificity.mean,
        result=seen.call,
    )
    return _Found(before=before, after=after, is_positive=is_positive)
