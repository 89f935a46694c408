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
        return _by(lines, lambda line: line.litter, _("Of no litter here"))
    if by == "pen":
        order = {card.name: i for i, card in enumerate(round_order(place.book))}
        groups = _by(lines, lambda line: line.pen, _("In no pen"))
        return sorted(groups, key=lambda group: order.get(group.heading, len(order)))
    return [Group(heading="", lines=tuple(lines))] if lines else []


def _by(
    lines: list[DogLine], heading_of: Callable[[DogLine], str], rest: str
) -> list[Group]:
    found: dict[str, list[DogLine]] = {}
    for line in lines:
        found.setdefault(heading_of(line), []).append(line)
    named = sorted((name for name in found if name), key=str.casefold)
    groups = [Group(heading=name, lines=tuple(found[name])) for name in named]
    if "" in found:
        groups.append(Group(heading=rest, lines=tuple(found[""])))
    return groups
