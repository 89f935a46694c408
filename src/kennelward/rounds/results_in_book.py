"""The results of one infection that the book holds, of every dog."""

from datetime import date

from kennelward.handbook import Handbook
from kennelward.kennel import Book, TestCard
from kennelward.kennel import facts as f
from kennelward.rounds.case import CaseResult
from kennelward.terms import Call


def results_in_book(
    *, book: Book, handbook: Handbook, infection: str, since: date, on: date
) -> list[tuple[str, CaseResult]]:
    """Dog and result from `since` to `on`, oldest first: strips that count, and the vet's."""
    found: list[tuple[str, CaseResult]] = []
    kits = {kit.kit for kit in handbook.kits_for(infection)}
    for card in book.tests.values():
        day = book.day_of(card.started.happened_at)
        if card.kit in kits and card.counts and since <= day <= on:
            result = CaseResult(
                test=card.kit, call=card.call, on=day, read_by=read_by(card)
            )
            found.append((card.dog, result))
    for entry in book.of(f.OtherResult):
        fact = entry.fact
        if isinstance(fact, f.OtherResult) and fact.infection == infection:
            day = fact.sampled_on or book.happened_on(entry)
            if since <= day <= on:
                result = CaseResult(
                    test=fact.method,
                    call=Call(fact.call),
                    on=day,
                    days_sampled=fact.days_sampled,
                )
                found.append((fact.dog, result))
    found.sort(key=lambda each: (each[1].on or since, each[0], each[1].test))
    return found


def read_by(card: TestCard) -> str:
    """Whose reading made the call that counts: "person", "reader" or "both"."""
    person, reader = card.person_call, card.reader_call
    if person is None:
        return "reader" if reader is not None else "person"
    if reader is None or reader is Call.UNREADABLE:
        return "person"
    if person is reader:
        return "both"
    return "reader" if card.call is reader else "person"
