"""The sketch of the yard with the dogs of a tracing in their pens."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from kennelward.desk.pages.pens.yard import YardPen, yard_of
from kennelward.evidence import in_hundred
from kennelward.kennel import Book
from kennelward.rounds.outbreak_words import amount
from kennelward.spread.knowledge import Grade

LEAST_SPARED = 0.1  # dogs; a smaller share of a dog is no reason to hurry
SHOWN = 8  # dogs of the list that stand open; the rest is folded
LEAST_SOURCE = 0.005  # a chance that is worth a line


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedDog:
    """A dog in its pen: its rank in the list, 0 for the one that was asked about."""

    name: str
    rank: int
    in_hundred: str  # empty: chances were refused
    low: str = ""
    high: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedPen:
    """A pen of the sketch and its ranked dogs, those first that the list shows at once."""

    pen: YardPen
    dogs: tuple[RankedDog, ...]
    more: tuple[RankedDog, ...]


def plan_of(book: Book, answer: Mapping[str, Any], *, on: date) -> list[RankedPen]:
    """Every pen in use, in the order of the round, with its ranked dogs."""
    ranks = {one["id"]: (n, one) for n, one in enumerate(answer["isolate_first"], 1)}
    found = []
    for pen in yard_of(book=book, on=on):
        dogs = [
            RankedDog(name=line.name, rank=0, in_hundred="")
            if line.dog == answer["id"]
            else _ranked(line.name, *ranks[line.dog])
            for line in pen.dogs
            if line.dog == answer["id"] or line.dog in ranks
        ]
        dogs.sort(key=lambda dog: dog.rank)
        found.append(
            RankedPen(
                pen=pen,
                dogs=tuple(dog for dog in dogs if dog.rank <= SHOWN),
                more=tuple(dog for dog in dogs if dog.rank > SHOWN),
            )
        )
    return found


def _ranked(name: str, rank: int, told: Mapping[str, Any]) -> RankedDog:
    chance = told.get("infected_now")
    if chance is None:
        return RankedDog(name=name, rank=rank, in_hundred="")
    return RankedDog(
        name=name,
        rank=rank,
        in_hundred=in_hundred(chance["chance"]),
        low=in_hundred(chance["low"]),
        high=in_hundred(chance["high"]),
    )


def _told(value: float | None) -> str:
    return "" if value is None else in_hundred(value)


def _dog_in_hundreds(told: Mapping[str, Any]) -> dict[str, Any]:
    """One dog of the answer, its chances in words; those kept by earlier versions too."""
    made = dict(told)
    chance = told.get("infected_now")
    if chance is not None:
        ends = chance.get("if_one_move_in_ten_is_missing_range") or (None, None)
        made["infected_now"] = {
            "in_hundred": in_hundred(chance["chance"]),
            "low": in_hundred(chance["low"]),
            "high": in_hundred(chance["high"]),
            "missing_in_hundred": _told(chance["if_one_move_in_ten_is_missing"]),
            "missing_low": _told(ends[0]),
            "missing_high": _told(ends[1]),
        }
    averted, source = told.get("averted"), told.get("brought_in")
    low, high = told.get("brought_in_range") or (source, source)
    return made | {
        "spares": amount(averted) if averted is not None else "",
        "source_in_hundred": _told(source),
        "source_low": _told(low),
        "source_high": _told(high),
    }


def in_hundreds(answer: Mapping[str, Any]) -> dict[str, Any]:
    """The answer with its chances as whole numbers of 100, for the page."""

    low, high = answer.get("infected_itself_range") or (None, None)
    least, most = answer.get("brought_in_itself_range") or (None, None)
    numbers = answer.get("numbers", {})
    itself, has_it = answer["brought_in_itself"], answer["infected_itself"]
    return {
        **answer,
        "log_from": date.fromisoformat(answer["log_from"]),
        "on": date.fromisoformat(answer["on"]),
        "left_out": [
            {**fault, "on": date.fromisoformat(fault["on"])}
            for fault in answer["left_out"]
        ],
        "signs": answer.get("signs", 0),
        "do_now": [_dog_in_hundreds(dog) for dog in answer["isolate_first"]],
        "spares_most": [
            _dog_in_hundreds(dog)
            for dog in answer.get("act_first", ())
            if dog.get("averted", 0.0) >= LEAST_SPARED
        ],
        "likely_source": [
            _dog_in_hundreds(dog)
            for dog in answer["likely_source"]
            if dog.get("brought_in", 1.0) >= LEAST_SOURCE
        ],
        "has_it_low": _told(low),
        "has_it_high": _told(high),
        "numbers": sum(numbers.values()),
        "published": numbers.get(Grade.PUBLISHED.value, 0),
        "recorded": numbers.get(Grade.RECORDS.value, 0),
        "guessed": numbers.get(Grade.GUESS.value, 0),
        "guesses": answer.get("guesses", ()),
        "has_it_in_hundred": _told(has_it),
        "itself_in_hundred": _told(itself),
        "itself_low": _told(least),
        "itself_high": _told(most),
    }
