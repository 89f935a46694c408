"""How often each person and the reader of photos saw the same on a strip."""

from dataclasses import dataclass

from kennelward.evidence import Estimate, proportion_ci
from kennelward.kennel import Book, Entry
from kennelward.kennel.cards import MOST_CAUTIOUS_FIRST
from kennelward.kennel.facts import StripMeasured, StripSeen
from kennelward.terms import Call


@dataclass(frozen=True, slots=True, kw_only=True)
class EyesAgreement:
    """One person's first looks beside the reader's first readable photo of the strip.

    Neither is the truth. A person's first look is saved before the reader is asked,
    so it is not led by it.
    """

    person: str
    both: int  # strips that both could call
    same: int
    reader_saw_more: int  # the reader's call asks for more care
    person_saw_more: int
    share: Estimate  # of `both` that are the same, with its 95 % limits


def eyes_agreement(book: Book) -> tuple[EyesAgreement, ...]:
    """One row for each person with a strip that the reader called too, by name."""
    first: dict[str, tuple[str, Call]] = {}
    read: dict[str, Call] = {}
    for entry in sorted(book.entries, key=lambda one: one.happened_at):
        _take(entry, first, read)
    pairs: dict[str, list[tuple[Call, Call]]] = {}
    for test, (person, call) in first.items():
        if test in read and test in book.tests and call is not Call.UNREADABLE:
            pairs.setdefault(person, []).append((call, read[test]))
    return tuple(_row(person, seen) for person, seen in sorted(pairs.items()))


def _take(
    entry: Entry, first: dict[str, tuple[str, Call]], read: dict[str, Call]
) -> None:
    """The first look and the first readable photo of each strip.

    A look that a second one replaced still counts here: it is what the eyes saw first.
    """
    fact = entry.fact
    if isinstance(fact, StripSeen):
        first.setdefault(fact.test, (entry.recorded_by, Call(fact.call)))
    elif isinstance(fact, StripMeasured) and fact.call != Call.UNREADABLE:
        read.setdefault(fact.test, Call(fact.call))


def _row(person: str, seen: list[tuple[Call, Call]]) -> EyesAgreement:
    rank = {call: i for i, call in enumerate(MOST_CAUTIOUS_FIRST)}
    same = sum(eye is reader for eye, reader in seen)
    return EyesAgreement(
        person=person,
        both=len(seen),
        same=same,
        reader_saw_more=sum(rank[reader] < rank[eye] for eye, reader in seen),
        person_saw_more=sum(rank[eye] < rank[reader] for eye, reader in seen),
        share=proportion_ci(same, len(seen), method="wilson"),
    )
