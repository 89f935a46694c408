"""The book's litters as the loss alarm takes them."""

from datetime import date

from kennelward.kennel import Book
from kennelward.litters import DatedLitter, LitterLoss, LossReview, review
from kennelward.programme.litter_numbers import loss_model
from kennelward.programme.view import View


def dated_litters(
    *, book: Book, on: date, early_death_days: int
) -> tuple[DatedLitter, ...]:
    """Every litter with puppies up to `on`: born, and lost by the early days' end."""
    found = []
    for card in book.litters.values():
        born_on = book.happened_on(card.whelped)
        born = card.born_alive + card.stillborn
        if born_on > on or born == 0:
            continue
        early = [
            death
            for death in card.deaths
            if (book.happened_on(death) - born_on).days <= early_death_days
            and book.happened_on(death) <= on
        ]
        lost = min(born, card.stillborn + len(early))
        found.append(
            DatedLitter(
                litter=card.litter,
                born_on=born_on,
                loss=LitterLoss(born=born, lost=lost),
            )
        )
    return tuple(sorted(found, key=lambda one: (one.born_on, one.litter)))


def litters_of(view: View) -> tuple[DatedLitter, ...]:
    """The kennel's litters, made once."""
    return view.keep(
        "dated-litters",
        lambda: dated_litters(
            book=view.book,
            on=view.on,
            early_death_days=view.number("births.early_death_days"),
        ),
    )


def reviewed(view: View) -> LossReview:
    """The kennel's litters judged as a run, made once."""
    model = loss_model(lambda path: view.rules.number(path, view.on))
    return view.keep(
        "loss-review", lambda: review(litters_of(view), on=view.on, model=model)
    )
