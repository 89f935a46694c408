"""The pattern of losses that points to Brucella: late abortions, stillborn, early deaths.

Never a verdict: other causes look the same. It says what to do until the vet has
answered, people first.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.kennel import Book, Entry, LitterCard
from kennelward.kennel.facts import PregnancyLost
from kennelward.litters import LossFlag, LossModel
from kennelward.programme.attempts import Attempt, attempts
from kennelward.programme.litter_numbers import loss_model
from kennelward.programme.losses import reviewed
from kennelward.programme.rules import ProgrammeRules
from kennelward.programme.view import View

LATE_LOSS, LOSS = "late-loss", "loss"
WHOLE_LITTER, STILLBORN, EARLY_DEATHS = "whole-litter", "stillborn", "early-deaths"
ALONE = (LATE_LOSS, LOSS, WHOLE_LITTER)  # each asks for a work-up by itself


@dataclass(frozen=True, slots=True, kw_only=True)
class LossSign:
    """One loss of the last year that counts towards the pattern."""

    kind: str  # late-loss | loss | whole-litter | stillborn | early-deaths
    day: date
    entry: str
    dam: str
    sires: tuple[str, ...]  # dogs of this book
    litter: str = ""
    count: int = 0  # puppies
    day_of_pregnancy: int | None = None  # of a lost pregnancy


@dataclass(frozen=True, slots=True, kw_only=True)
class LossPattern:
    """What the losses of the last year look like together."""

    signs: tuple[LossSign, ...]  # oldest first
    is_pattern: bool  # as many signs as make the pattern
    is_clustered: bool  # more than chance explains, by the alarm

    @property
    def is_raised(self) -> bool:
        """True where the vet is asked for a Brucella work-up."""
        alone = any(sign.kind in ALONE for sign in self.signs)
        return alone or self.is_pattern or self.is_clustered

    @property
    def is_kennel_wide(self) -> bool:
        """True where it is about the kennel and not about one pair."""
        return self.is_pattern or self.is_clustered


def loss_pattern(*, book: Book, rules: ProgrammeRules, on: date) -> LossPattern:
    """The pattern of a kennel's losses on a day."""
    return pattern_of(View(book=book, rules=rules, on=on))


def pattern_of(view: View) -> LossPattern:
    """The same, made once a view."""
    return view.keep("loss-pattern", lambda: _pattern(view))


def _pattern(view: View) -> LossPattern:
    model = loss_model(lambda path: view.rules.number(path, view.on))
    signs = sorted(
        [*_lost_pregnancies(view, model), *_lost_puppies(view, model)],
        key=lambda sign: (sign.day, sign.entry, sign.kind),
    )
    found = reviewed(view)
    causes = {sign.entry if not sign.litter else sign.litter for sign in signs}
    return LossPattern(
        signs=tuple(signs),
        is_pattern=len(causes) >= model.pattern_signs,
        is_clustered=found.alarm
        or found.year_flag is LossFlag.RED
        or found.whole_litters_lost >= model.whole_litters,
    )


def _lost_pregnancies(view: View, model: LossModel) -> Iterator[LossSign]:
    for entry in view.recent(PregnancyLost, days=model.year_days):
        fact = entry.fact
        if not isinstance(fact, PregnancyLost) or view.days_ago(view.day(entry)) < 0:
            continue
        attempt = _attempt_ended_by(view, fact.dam, entry)
        day = view.day(entry)
        carried = None
        if attempt is not None:
            carried = (day - (attempt.lh or attempt.last_mating)).days
        is_late = (
            carried is not None
            and model.late_loss_from_days <= carried <= model.late_loss_to_days
        )
        yield LossSign(
            kind=LATE_LOSS if is_late else LOSS,
            day=day,
            entry=entry.entry,
            dam=fact.dam,
            sires=_sires(view, attempt),
            day_of_pregnancy=carried,
        )


def _lost_puppies(view: View, model: LossModel) -> Iterator[LossSign]:
    for litter, card in sorted(view.book.litters.items()):
        born = view.day(card.whelped)
        if not 0 <= view.days_ago(born) < model.year_days:
            continue
        attempt = _attempt_ended_by(view, card.dam, card.whelped)
        sires = (card.sire,) if card.sire in view.book.dogs else _sires(view, attempt)
        for kind, day, entry, count in _of_litter(view, card, model):
            yield LossSign(
                kind=kind,
                day=day,
                entry=entry,
                dam=card.dam,
                sires=sires,
                litter=litter,
                count=count,
            )


def _of_litter(
    view: View, card: LitterCard, model: LossModel
) -> Iterator[tuple[str, date, str, int]]:
    """Kind, day, entry and puppies of what a litter lost."""
    born = view.day(card.whelped)
    within = timedelta(days=view.number("births.early_death_days"))
    early = [e for e in card.deaths if view.day(e) <= min(born + within, view.on)]
    if is_whole_litter(view, card):
        last = early[-1] if early else card.whelped
        yield WHOLE_LITTER, view.day(last), last.entry, card.stillborn + len(early)
        return
    if card.stillborn >= model.pattern_lost_puppies:
        yield STILLBORN, born, card.whelped.entry, card.stillborn
    if len(early) >= model.pattern_lost_puppies:
        yield EARLY_DEATHS, view.day(early[-1]), early[-1].entry, len(early)


def is_whole_litter(view: View, card: LitterCard) -> bool:
    """True where every puppy was stillborn or dead within the first days."""
    within = timedelta(days=view.number("births.whole_litter_days"))
    born = view.day(card.whelped)
    died = sum(view.day(entry) <= born + within for entry in card.deaths)
    return card.born_alive + card.stillborn > 0 and died >= card.born_alive


def _attempt_ended_by(view: View, dam: str, entry: Entry) -> Attempt | None:
    for attempt in attempts(view).get(dam, ()):
        if attempt.ended is not None and attempt.ended.entry == entry.entry:
            return attempt
    return None


def _sires(view: View, attempt: Attempt | None) -> tuple[str, ...]:
    """Dogs of this book that she was mated with in that season."""
    if attempt is None:
        return ()
    named = (getattr(mating.fact, "sire", "") for mating in attempt.matings)
    return tuple(dict.fromkeys(sire for sire in named if sire in view.book.dogs))
