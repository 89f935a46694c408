"""How likely each dog carries the infection today, as far as the book says anything."""

from kennelward.kennel import DogCard
from kennelward.rounds.ahead_view import View, uid_of
from kennelward.rounds.case import case_from_book
from kennelward.rounds.suspects import exposures_by_dog, suspects
from kennelward.rounds.worth import dog_facts, dog_worth
from kennelward.spread.knowledge import Grade, Known
from kennelward.terms import Phrase


def chances(view: View, cards: tuple[DogCard, ...]) -> dict[str, str]:
    """Dog id to the name of its number; the numbers go to `infected`."""
    exposed = exposures_by_dog(
        book=view.book, handbook=view.handbook, infection=view.infection, on=view.on
    )
    held = {
        s.dog
        for s in suspects(
            book=view.book,
            handbook=view.handbook,
            infection=view.infection,
            on=view.on,
        )
    }
    named = {}
    for card in cards:
        if card.dog not in held and card.dog not in exposed:
            if view.settings.everyone_may_carry:
                named[card.dog] = _prior_number(view, card)
            continue
        for worth in dog_worth(
            book=view.book, handbook=view.handbook, dog=card.dog, on=view.on
        ):
            if worth.infection == view.infection:
                chance = worth.worth.chance
                named[card.dog] = _number(
                    view, card, (chance.low, chance.median, chance.high)
                )
        if card.dog not in named:  # kept apart on a suspicion alone
            named[card.dog] = _prior_number(view, card)
    if not view.settings.everyone_may_carry:
        view.assume(
            Phrase(
                "Only suspects and dogs that met one may carry it today. That no "
                "other dog does is assumed, not known."
            )
        )
    return named


def _number(view: View, card: DogCard, chance: tuple[float, float, float]) -> str:
    name = f"infected_{uid_of(card.dog)}"
    low, middle, high = chance
    view.infected.append(
        Known(
            name=name,
            value=middle,
            low=low,
            high=high,
            says=f"Chance that {card.name} carries it today",
            source="the book, weighed by the handbook's figures",
            grade=Grade.RECORDS,
            is_chance=True,
            unit="chance",
        )
    )
    return name


def _prior_number(view: View, card: DogCard) -> str:
    case = case_from_book(
        book=view.book, dog=card.dog, infection=view.infection, on=view.on
    )
    base = view.handbook.priors[view.infection].base_for(dog_facts(case)).chance
    spread = base.interval()
    return _number(view, card, (spread.low, spread.median, spread.high))
