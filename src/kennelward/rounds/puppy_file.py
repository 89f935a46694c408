"""A puppy's file: chip, vaccination, worming, weights, and when it may leave."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.handbook import Handbook
from kennelward.kennel import Book, DogCard
from kennelward.kennel import facts as f
from kennelward.litters import Chip, read_chip
from kennelward.programme import Action
from kennelward.terms import BadInput, Sourced

LEAVE = "young.leave_days"
PROGRAMME = "young."


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyToLeave:
    """From when a puppy may go to a new home, by the rule in force."""

    on: date
    rule: Sourced  # the number of days, with its source and whose it is


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """Something given to a dog."""

    on: date
    what: str  # "parvovirus, distemper", or the wormer as written
    entry: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PuppyFile:
    """What goes with a puppy."""

    card: DogCard
    age_days: int
    chip: Chip | None  # None where there is none, or the number cannot be right
    chip_doubt: str  # what is wrong with the number, or empty
    vaccinated: tuple[Given, ...]
    wormed: tuple[Given, ...]
    weight_g: float | None  # the latest
    leaves: ReadyToLeave
    lacks: tuple[str, ...]  # "chip", "vaccination", "worming": before it leaves
    due: tuple[Action, ...]  # open work of the programme for young dogs


def ready_to_leave(*, handbook: Handbook, born_on: date, on: date) -> ReadyToLeave:
    """The earliest day of leaving, by the handbook or the kennel's own overlay."""
    rule = handbook.programmes.values[LEAVE].on(on)
    return ReadyToLeave(on=born_on + timedelta(days=round(rule.value)), rule=rule)


def puppy_file(
    *,
    book: Book,
    handbook: Handbook,
    dog: str,
    on: date,
    actions: Sequence[Action] = (),
) -> PuppyFile:
    """One dog's file on a day; `actions` are the kennel's, from its plan."""
    card = book.dogs[dog]
    chip, doubt = chip_of(card.described.chip)
    vaccinated, wormed, weight = _given(book, dog, on=on)
    lacks = []
    if chip is None:
        lacks.append("chip")
    if not vaccinated:
        lacks.append("vaccination")
    if not wormed:
        lacks.append("worming")
    litter = card.described.litter
    return PuppyFile(
        card=card,
        age_days=card.age_days(on),
        chip=chip,
        chip_doubt=doubt,
        vaccinated=vaccinated,
        wormed=wormed,
        weight_g=weight,
        leaves=ready_to_leave(handbook=handbook, born_on=card.described.born_on, on=on),
        lacks=tuple(lacks),
        due=tuple(
            action
            for action in actions
            if action.rule.rule.startswith(PROGRAMME)
            and action.subject in (dog, litter)
            and action.subject
        ),
    )


def chip_of(text: str) -> tuple[Chip | None, str]:
    """The chip that was written down, and what is wrong with it, if anything."""
    if not text.strip():
        return None, ""
    try:
        return read_chip(text), ""
    except BadInput as wrong:
        return None, str(wrong)


def _given(
    book: Book, dog: str, *, on: date
) -> tuple[tuple[Given, ...], tuple[Given, ...], float | None]:
    vaccinated, wormed = [], []
    weight = None
    for entry in book.about(dog):
        day = book.happened_on(entry)
        if day > on:
            continue
        match entry.fact:
            case f.Vaccinated(dog=who, against=against) if who == dog:
                vaccinated.append(
                    Given(on=day, what=", ".join(against), entry=entry.entry)
                )
            case f.Wormed(dog=who) if who == dog:
                wormed.append(Given(on=day, what=entry.fact.note, entry=entry.entry))
            case f.Weighed(dog=who, weight_g=grams) if who == dog:
                weight = grams
    return tuple(vaccinated), tuple(wormed), weight
