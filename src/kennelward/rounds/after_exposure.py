"""What came after a dog's tests for Brucella: an exposure, losses not yet answered.

A negative speaks of the day of its sample. One from before the last possible exposure,
or from before losses that may be Brucella, is told and does not count.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from kennelward.evidence import Interpretation, ResultSeen
from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.programme import LossPattern
from kennelward.rounds.case import last_exposure, last_outside_mating
from kennelward.rounds.losses import loss_pattern
from kennelward.rounds.suspects import Exposure
from kennelward.terms import Call, Phrase

BRUCELLA = "brucella"

BEFORE_EXPOSURE = Phrase(
    "From before the last possible exposure of {exposed}: it says nothing of what came "
    "after."
)
BEFORE_LOSSES = Phrase(
    "From before the losses of {lost}: it says nothing of what came after."
)
NO_LONGER_HOLDS = {
    "mated-lost": Phrase(
        "The last test was before the outside mating of {exposed} and the losses of "
        "{lost}: what it said then does not hold now. "
        "Gloves, no mating, and ask the vet."
    ),
    "exposed-lost": Phrase(
        "The last test was before the last possible exposure of {exposed} and the losses "
        "of {lost}: what it said then does not hold now. "
        "Gloves, no mating, and ask the vet."
    ),
    "lost": Phrase(
        "The last test was before the losses of {lost}: what it said then does not hold "
        "now. "
        "Gloves, no mating, and ask the vet."
    ),
    "mated": Phrase(
        "The last test was before the outside mating of {exposed}: what it said then "
        "does not hold now. "
        "Gloves, no mating, and ask the vet."
    ),
    "exposed": Phrase(
        "The last test was before the last possible exposure of {exposed}: what it said "
        "then does not hold now. "
        "Gloves, no mating, and ask the vet."
    ),
}
LOSSES_OPEN = Phrase(
    "The losses of {lost} may be Brucella, and no laboratory has answered since: no "
    "number here counts them in. "
    "Gloves, no mating, and ask the vet."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LaterEvents:
    """The last days on which a dog may have caught it, or on which it looked like it."""

    exposed_on: date | None = None
    is_mating: bool = False  # the exposure is a mating outside
    lost_on: date | None = None  # its last losses that may be Brucella
    is_answered: bool = False  # by a laboratory, from a sample after the losses

    def outdated(self, seen: ResultSeen) -> ResultSeen:
        """The result, not counted where it is a negative from before."""
        if not seen.counts or seen.call is not Call.NEGATIVE or seen.on is None:
            return seen
        if self.exposed_on is not None and seen.on < self.exposed_on:
            day = {"exposed": self.exposed_on.isoformat()}
            why = Phrase(BEFORE_EXPOSURE.template, day)
        elif self.lost_on is not None and seen.on < self.lost_on:
            why = Phrase(BEFORE_LOSSES.template, {"lost": self.lost_on.isoformat()})
        else:
            return seen
        return replace(seen, counts=False, why_not=why)

    def caution(self, seen: Sequence[ResultSeen]) -> Phrase | None:
        """What is said in place of a low number; None where the number may stand."""
        if any(one.call in (Call.POSITIVE, Call.TRACE) for one in seen):
            return None
        last = max(
            (one.on for one in seen if one.call is Call.NEGATIVE and one.on),
            default=None,
        )
        is_exposed = _is_after(self.exposed_on, last)
        is_lost = _is_after(self.lost_on, last)
        if not is_exposed and not is_lost:
            is_open = self.lost_on is not None and not self.is_answered
            return self._with_days(LOSSES_OPEN) if is_open else None
        parts = []
        if is_exposed:
            parts.append("mated" if self.is_mating else "exposed")
        if is_lost:
            parts.append("lost")
        return self._with_days(NO_LONGER_HOLDS["-".join(parts)])

    def _with_days(self, phrase: Phrase) -> Phrase:
        days = {"exposed": self.exposed_on, "lost": self.lost_on}
        return Phrase(
            phrase.template,
            {
                name: day.isoformat()
                for name, day in days.items()
                if day is not None and f"{{{name}}}" in phrase.template
            },
        )


def _is_after(day: date | None, last: date | None) -> bool:
    return day is not None and last is not None and last < day


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenLosses:
    """Losses that no laboratory has answered: dog to the day of its latest."""

    dogs: Mapping[str, date]
    is_raised: bool  # they ask for a Brucella work-up


def later_events(
    *,
    book: Book,
    handbook: Handbook,
    dog: str,
    on: date,
    exposures: Sequence[Exposure] = (),
) -> LaterEvents:
    """What may have changed since the dog's tests for Brucella, up to `on`."""
    exposed = last_exposure(
        book=book, dog=dog, infection=BRUCELLA, on=on, exposures=exposures
    )
    mated = last_outside_mating(book=book, dog=dog, on=on)
    lost = None
    if _may_have_lost(book, dog):
        found = loss_pattern(book=book, handbook=handbook, on=on)
        lost = _latest_losses(book, found).get(dog)
    return LaterEvents(
        exposed_on=exposed,
        is_mating=exposed is not None and exposed == mated,
        lost_on=lost,
        is_answered=lost is not None and _is_answered(book, dog, since=lost, on=on),
    )


def said_with(
    worth: Interpretation, *, later: LaterEvents, seen: Sequence[ResultSeen]
) -> Interpretation:
    """The interpretation, led by a caution where its low number would mislead."""
    caution = later.caution(seen)
    return worth if caution is None else replace(worth, in_words=caution)


def open_losses(*, book: Book, handbook: Handbook, on: date) -> OpenLosses:
    """Losses of the last year that may be Brucella and that no laboratory has answered."""
    found = loss_pattern(book=book, handbook=handbook, on=on)
    latest = {
        dog: day
        for dog, day in _latest_losses(book, found).items()
        if not _is_answered(book, dog, since=day, on=on)
    }
    return OpenLosses(dogs=latest, is_raised=found.is_raised and bool(latest))


def _latest_losses(book: Book, found: LossPattern) -> dict[str, date]:
    """Dams, and sires where a work-up is asked for, with the day of the latest loss."""
    latest: dict[str, date] = {}
    for sign in found.signs:
        for dog in (sign.dam, *(sign.sires if found.is_raised else ())):
            if dog in book.dogs:
                latest[dog] = max(sign.day, latest.get(dog, sign.day))
    return latest


def _is_answered(book: Book, dog: str, *, since: date, on: date) -> bool:
    """True where a laboratory or a culture spoke of a sample from since then."""
    return any(
        isinstance(entry.fact, f.OtherResult)
        and entry.fact.infection == BRUCELLA
        and since <= (entry.fact.sampled_on or book.happened_on(entry)) <= on
        for entry in book.about(dog)
    )


def _may_have_lost(book: Book, dog: str) -> bool:
    """True for a dog that was ever mated or whelped: others have no losses to ask for."""
    return any(
        isinstance(entry.fact, f.Mated | f.Whelped | f.PregnancyLost)
        for entry in book.about(dog)
    )
