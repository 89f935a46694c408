"""The list of dogs: found by words, grouped by pen or by litter."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from kennelward.desk.pages.shell.dog_lines import DogLine, dog_lines
from kennelward.desk.pages.shell.here import Here
from kennelward.kennel import round_order

WAYS = ("pen", "litter", "name", "away")


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Dogs under one heading."""

    heading: str
    lines: tuple[DogLine, ...]


def list_of_dogs(*, place: Here, wanted: str, by: str) -> dict[str, Any]:
    """What the list page shows. Words are looked for in name, pen, litter and chip."""
    book = place.book
    by = by if by in WAYS else "pen"
    away = by == "away"
    cards = [card for card in book.dogs.values() if card.is_here != away]
    lines = dog_lines(cards=cards, book=book, on=place.on)
    all_words = wanted.casefold().split()
    if all_words:
        lines = [
            line
            for line in lines
            if all(word in line.words.casefold() for word in all_words)
        ]
    return {
        "groups": grouped(lines, place, by),
        "by": by,
        "q": wanted,
        "here_count": sum(card.is_here for card in book.dogs.values()),
        "away_count": sum(not card.is_here for card in book.dogs.values()),
        "pen_count": len(book.pens),
        "ways": [
            ("pen", _("Pen")),
            ("litter", _("Litter")),
            ("name", _("Name")),
            ("away", _("Away")),
        ],
    }


def grouped(lines: list[DogLine], place: Here, by: str) -> list[Group]:
    """Lines under headings; pens stand in the order of the round."""
    if by == "litter":
        groups = _by(lines, lambda line: (line.litter_id, line.litter))
        names = sorted(groups, key=lambda key: key[1].casefold())
        order = [litter for litter, _name in names if litter]
        rest = _("Of no litter here")
    elif by == "pen":
        groups = _by(lines, lambda line: (line.pen_id, line.pen))
        order = [card.pen for card in round_order(place.book)]
        rest = _("In no pen")
    else:
        return [Group(heading="", lines=tuple(lines))] if lines else []
    turn = {found: number for number, found in enumerate(order)}
    return [
        Group(heading=name or rest, lines=tuple(groups[key, name]))
        for key, name in sorted(groups, key=lambda one: turn.get(one[0], len(turn)))
    ]


def _by(
    lines: list[DogLine], key_of: Callable[[DogLine], tuple[str, str]]
) -> dict[tuple[str, str], list[DogLine]]:
    """Lines by id and name: two pens of one name stay two."""
    found: dict[tuple[str, str], list[DogLine]] = {}
    for line in lines:
        found.setdefault(key_of(line), []).append(line)
    return found
