"""What sets rules going: how weaned puppies grow."""

from collections.abc import Iterator
from datetime import UTC, datetime, time

from kennelward.kennel import DogCard
from kennelward.kennel.facts import Weighed
from kennelward.litters import Weight, warnings
from kennelward.programme.anchor import Anchor
from kennelward.programme.litter_numbers import litter_numbers
from kennelward.programme.rules import Word
from kennelward.programme.view import View
from kennelward.programme.vocabulary import trigger

YOUNG_DAYS = 200


@trigger("not-gaining", shows=("days",))
def not_gaining(view: View, word: Word) -> Iterator[Anchor]:
    """A weaned puppy weighs no more than a week ago, by the litters room."""
    for dog, card in view.here.items():
        if view.days_ago(card.described.born_on) > YOUNG_DAYS:
            continue
        entries = view.of_dog(Weighed, dog)
        if len(entries) < 2:
            continue
        numbers = view.keep(
            "litter-numbers",
            lambda: litter_numbers(lambda path: view.rules.number(path, view.on)),
        )
        found = warnings(
            [
                Weight(at=entry.happened_at, weight_g=entry.fact.weight_g)
                for entry in entries
                if isinstance(entry.fact, Weighed)
            ],
            born_at=_born_at(view, card),
            model=numbers.growth,
        )
        for one in found:
            if one.code == "weaned-not-gaining":
                latest = entries[-1]
                yield Anchor(
                    subject=dog,
                    entry=latest.entry,
                    day=view.day(latest),
                    shows={"days": round(one.figure)},
                )


def _born_at(view: View, card: DogCard) -> datetime:
    litter = view.book.litters.get(card.described.litter)
    if litter is not None:
        return litter.whelped.happened_at
    return datetime.combine(card.described.born_on, time(12), tzinfo=UTC)
