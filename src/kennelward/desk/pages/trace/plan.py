"""The sketch of the yard with the dogs of a tracing in their pens."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from kennelward.desk.pages.pens.yard import YardPen, yard_of
from kennelward.kennel import Book
from kennelward.rounds.outbreak_words import amount


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedDog:
    """A dog in its pen: its rank in the list, 0 for the one that was found."""

    name: str
    rank: int
    in_hundred: int | None
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedPen:
    """A pen of the sketch and its ranked dogs."""

    pen: YardPen
    dogs: tuple[RankedDog, ...]


def plan_of(book: Book, answer: Mapping[str, Any], *, on: date) -> list[RankedPen]:
    """Pens with a ranked dog, in the order of the round."""
    ranks = {one["id"]: (n, one) for n, one in enumerate(_ordered(answer), 1)}
    found = []
    for pen in yard_of(book=book, on=on):
        dogs = []
        for line in pen.dogs:
            if line.dog == answer["id"]:
                dogs.append(RankedDog(name=line.name, rank=0, in_hundred=None))
            elif line.dog in ranks:
                rank, one = ranks[line.dog]
                chance = one.get("infected_now")
                told = None if chance is None else round(100 * chance["chance"])
                reason = next(iter(one["reasons"]), "")
                dogs.append(
                    RankedDog(name=line.name, rank=rank, in_hundred=told, reason=reason)
                )
        if dogs:
            dogs.sort(key=lambda dog: dog.rank)
            found.append(RankedPen(pen=pen, dogs=tuple(dogs)))
    return found


def _ordered(answer: Mapping[str, Any]) -> Sequence[Mapping[str, Any]]:
    """The order of "do now"; answers kept from before it was known go by chance."""
    found: Sequence[Mapping[str, Any]] = (
        answer.get("act_first") or answer["isolate_first"]
    )
    return found


def in_hundreds(answer: Mapping[str, Any]) -> dict[str, Any]:
    """The answer with its chances as whole numbers of 100, for the page."""

    def one(told: Mapping[str, Any]) -> dict[str, Any]:
        made = dict(told)
        chance = told.get("infected_now")
        if chance is not None:
            missing = chance["if_one_move_in_ten_is_missing"]
            made["infected_now"] = {
                "in_hundred": round(100 * chance["chance"]),
                "missing_in_hundred": None if missing is None else round(100 * missing),
            }
        source = told.get("brought_in")
        averted = told.get("averted")
        made["spares"] = amount(averted) if averted is not None else ""
        made["source_in_hundred"] = None if source is None else round(100 * source)
        return made

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
        "do_now": [one(dog) for dog in _ordered(answer)],
        "likeliest": [one(dog) for dog in answer["isolate_first"]],
        "likely_source": [one(dog) for dog in answer["likely_source"]],
        "has_it_in_hundred": None if has_it is None else round(100 * has_it),
        "itself_in_hundred": None if itself is None else round(100 * itself),
    }
