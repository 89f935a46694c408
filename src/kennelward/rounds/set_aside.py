"""Results of a dog that say nothing of now, each with the reason."""

from dataclasses import dataclass
from datetime import date

from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.rounds.case import CaseResult
from kennelward.terms import Call, Phrase

COURSE_SAYS = (
    "Of before the end of the vet's course ({ended}): it says what was there then, and "
    "nothing of what is there now. It clears nothing."
)
MATED_SAYS = "Of before the mating of {mated}: it says nothing of this pregnancy."
OLD_SAYS = "Older than {days} days: too long ago to say anything of now."


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAside:
    """A result that takes no part in the dog's chance today, and why."""

    result: CaseResult
    why: Phrase


def set_aside(
    *,
    book: Book,
    handbook: Handbook,
    dog: str,
    infection: str,
    on: date,
    used: frozenset[str] = frozenset(),
) -> tuple[SetAside, ...]:
    """The dog's read results that are not among `used` (entry ids), oldest first."""
    found = []
    for result in _all_results(book, handbook, dog, infection):
        if result.on is None or result.on > on or result.entry in used:
            continue
        why = _why(book, handbook, dog, infection, taken=result.on, on=on)
        if why is not None:
            found.append(SetAside(result=result, why=why))
    return tuple(sorted(found, key=lambda one: one.result.on or on))


def _all_results(
    book: Book, handbook: Handbook, dog: str, infection: str
) -> list[CaseResult]:
    kits = {kit.kit for kit in handbook.kits_for(infection)}
    found = [
        CaseResult(
            test=card.kit,
            call=card.call,
            on=book.day_of(card.started.happened_at),
            entry=card.started.entry,
        )
        for card in book.tests_of(dog)
        if card.kit in kits and card.state == "read"
    ]
    for entry in book.about(dog):
        fact = entry.fact
        if isinstance(fact, f.OtherResult) and fact.infection == infection:
            found.append(
                CaseResult(
                    test=fact.method,
                    call=Call(fact.call),
                    on=fact.sampled_on or book.happened_on(entry),
                    days_sampled=fact.days_sampled,
                    entry=entry.entry,
                )
            )
    return found


def _why(
    book: Book, handbook: Handbook, dog: str, infection: str, *, taken: date, on: date
) -> Phrase | None:
    for entry in reversed(book.about(dog)):
        match entry.fact:
            case f.CourseWritten(infection=what, ends_on=ended) if what == infection:
                if taken < ended < on:
                    return Phrase(COURSE_SAYS, {"ended": ended.isoformat()})
            case f.Mated(dam=dam) if infection == "pregnancy" and dam == dog:
                mated = book.happened_on(entry)
                if taken < mated <= on:
                    return Phrase(MATED_SAYS, {"mated": mated.isoformat()})
    days = int(handbook.infections[infection].values["same_episode_days"].value)
    return Phrase(OLD_SAYS, {"days": days}) if (on - taken).days > days else None
