"""The kennel's losses judged as a run: baseline, alarm and its delay, dams and sires."""

from collections.abc import Sequence
from datetime import date

from kennelward import programme
from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.litters import (
    AlarmDelay,
    DatedLitter,
    LossReview,
    LostPregnancies,
    ParentLoss,
    alarm_delay,
    compare_parents,
    losses_to_alarm,
    lost_pregnancies,
    review,
)
from kennelward.programme import LossPattern

DAYS_A_YEAR = 365.25


def dated_litters(
    *, book: Book, handbook: Handbook, on: date
) -> tuple[DatedLitter, ...]:
    """Every litter with puppies: born, and lost by the end of the early days."""
    return programme.dated_litters(
        book=book, on=on, early_death_days=handbook.litters(on).early_death_days
    )


def kennel_losses(*, book: Book, handbook: Handbook, on: date) -> LossReview:
    """The kennel's litters judged as a run: stillborn, and dead in the early days."""
    return review(
        dated_litters(book=book, handbook=handbook, on=on),
        on=on,
        model=handbook.litters(on).losses,
    )


def parents_compared(
    *, book: Book, handbook: Handbook, on: date, role: str
) -> tuple[ParentLoss, ...]:
    """Each dam's or sire's losses beside the kennel's; worst first.

    `role` is "dam" or "sire". Litters whose parent is not in the book are left out.
    """
    model = handbook.litters(on).losses
    kennel = kennel_losses(book=book, handbook=handbook, on=on).baseline
    pairs = []
    for one in dated_litters(book=book, handbook=handbook, on=on):
        card = book.litters[one.litter]
        parent = card.dam if role == "dam" else card.sire
        if parent:
            pairs.append((parent, one.loss))
    return compare_parents(pairs, kennel=kennel, model=model)


def losses_delay(*, book: Book, handbook: Handbook, on: date) -> AlarmDelay | None:
    """How slow and how often wrong the alarm is at the kennel's litters a year.

    None without a litter in the days that the alarm looks back over.
    """
    model = handbook.litters(on).losses
    recent = _recent(
        dated_litters(book=book, handbook=handbook, on=on),
        on=on,
        days=model.look_back_days,
    )
    if not recent:
        return None
    first = min(one.born_on for one in recent)
    years = max(1.0, ((on - first).days + 1) / DAYS_A_YEAR)
    return alarm_delay(
        litters_a_year=len(recent) / years,
        sizes=[one.loss.born for one in recent],
        chance=kennel_losses(book=book, handbook=handbook, on=on).baseline,
        model=model,
        steps=100,
    )


def next_litter_to_alarm(
    *, book: Book, handbook: Handbook, on: date, born: int = 6
) -> int | None:
    """Puppies lost of a next litter of `born` that would raise the slow alarm."""
    found = kennel_losses(book=book, handbook=handbook, on=on)
    return losses_to_alarm(
        standing=found.standing,
        born=born,
        chance=found.baseline,
        model=handbook.litters(on).losses,
    )


def loss_pattern(*, book: Book, handbook: Handbook, on: date) -> LossPattern:
    """Losses of the last year that point to Brucella, with what each one is."""
    return programme.loss_pattern(book=book, rules=handbook.programmes, on=on)


def pregnancies_lost(*, book: Book, handbook: Handbook, on: date) -> LostPregnancies:
    """Pregnancies lost in the days looked back over, beside what is usual."""
    model = handbook.litters(on).losses

    def within(kind: type[f.Fact]) -> int:
        return sum(
            0 <= (on - book.happened_on(entry)).days <= model.look_back_days
            for entry in book.of(kind)
        )

    lost = within(f.PregnancyLost)
    return lost_pregnancies(
        lost=lost,
        pregnancies=lost + within(f.Whelped),
        share=model.pregnancy_lost_share,
        years=model.look_back_days / DAYS_A_YEAR,
    )


def _recent(
    litters: Sequence[DatedLitter], *, on: date, days: int
) -> list[DatedLitter]:
    return [one for one in litters if (on - one.born_on).days <= days]
