"""Picking a dog: those with signs or kept apart come first."""

from dataclasses import dataclass

from kennelward.desk.pages.shell.dog_lines import DogLine, dog_line
from kennelward.desk.pages.shell.here import Here


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """Dogs to pick from, in two groups."""

    pressing: tuple[DogLine, ...]  # signs, or kept apart
    others: tuple[DogLine, ...]


def dogs_to_pick(place: Here) -> Choices:
    """All dogs that are here, one line each."""
    cards = place.book.dogs_here
    lines = {
        card.dog: dog_line(card=card, book=place.book, on=place.on) for card in cards
    }
    pressing = [c.dog for c in cards if c.signs or c.apart is not None]
    return Choices(
        pressing=tuple(lines[dog] for dog in pressing),
        others=tuple(line for dog, line in lines.items() if dog not in set(pressing)),
    )
