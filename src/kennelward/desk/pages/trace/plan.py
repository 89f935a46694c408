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
LEAST_SOURCE = 0.005  # a chance that is worth a line


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedDog:
    """A dog in its pen: its rank in the list, 0 for the one that was asked about."""

    name: str
    rank: int
    in_hundred: str  # empty: chances were refused
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedPen:
    """A pen of the sketch and its ranked dogs; a phone leaves out those without."""

    pen: YardPen
    dogs: tuple[RankedDog, ...]


def plan_of(book: Book, answer: Mapping[str, Any], *, on: date) -> list[RankedPen]:
    """Every pen in use, in the order of the round, with its ranked dogs."""
    ranks = {one["id"]: (n, one) for n, one in enumerate(answer["isolate_first"], 1)}
    found = []
    for pen in yard_of(book=book, on=on):
        dogs = []
        for line in pen.dogs:
            if line.dog == answer["id"]:
                dogs.append(RankedDog(name=line.name, rank=0, in_hundred=""))
            elif line.dog in ranks:
                rank, one = ranks[line.dog]
                chance = one.get("infected_now")
                told = "" if chance is None else in_hundred(chance["chance"])
                reason = next(iter(one["reasons"]), "")
                dogs.append(
                    RankedDog(name=line.name, rank=rank, in_hundred=told, reason=reason)
                )
        dogs.sort(key=lambda dog: dog.rank)
        found.append(RankedPen(pen=pen, dogs=tuple(dogs)))
    return found if any(one.dogs for one in found) else []


def in_hundreds(answer: Mapping[str, Any]) -> dict[str, Any]:
    """The answer with its chances as whole numbers of 100, for the page."""

    def one(told: Mapping[str, Any]) -> dict[str, Any]:
        made = dict(told)
        chance = told.get("infected_now")
        if chance is not None:
            missing = chance["if_one_move_in_ten_is_missing"]
            made["infected_now"] = {
                "in_hundred": in_hundred(chance["chance"]),
                "low": in_hundred(chance["low"]),
                "high": in_hundred(chance["high"]),
                "missing_in_hundred": "" if missing is None else in_hundred(missing),
            }
        source = told.get("brought_in")
        averted = told.get("averted")
        made["spares"] = amount(averted) if averted is not None else ""
        made["source_in_hundred"] = "" if source is None else in_hundred(source)
        low, high = told.get("brought_in_range") or (source, source)
        made["source_low"] = "" if low is None else in_hundred(low)
        made["source_high"] = "" if high is None else in_hundred(high)
        return made

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
        "do_now": [one(dog) for dog in answer["isolate_first"]],
        "spares_most": [
            one(dog)
            for dog in answer.get("act_first", ())
            if dog.get("averted", 0.0) >= LEAST_SPARED
        ],
        "likely_source": [
            one(dog)
            for dog in answer["likely_source"]
            if dog.get("brought_in", 1.0) >= LEAST_SOURCE
        ],
        "has_it_low": "" if low is None else in_hundred(low),
        "has_it_high": "" if high is None else in_hundred(high),
        "numbers": sum(numbers.values()),
        "published": numbers.get(Grade.PUBLISHED.value, 0),
        "recorded": numbers.get(Grade.RECORDS.value, 0),
        "guessed": numbers.get(Grade.GUESS.value, 0),
        "guesses": answer.get("guesses", ()),
        "has_it_in_hundred": "" if has_it is None else in_hundred(has_it),
        "itself_in_hundred": "" if itself is None else in_hundred(itself),
        "itself_low": "" if least is None else in_hundred(least),
        "itself_high": "" if most is None else in_hundred(most),
    }
