"""A tracing as JSON: chances 0 to 1; `low` and `high`: a 90 % range.

The range holds what is not known of the spread, and the number of runs.
"""

from typing import Any

from kennelward.kennel import Book
from kennelward.rounds.trace_and_contain import TracedDog, Tracing


def tracing_as_plain(traced: Tracing, *, book: Book) -> dict[str, Any]:
    """Everything the page says."""

    def one(dog: TracedDog) -> dict[str, Any]:
        return _dog(dog, book=book)

    return {
        "dog": book.name_of(traced.dog),
        "id": traced.dog,
        "agent": traced.infection,
        "people_first": [str(caution.says) for caution in traced.people_first],
        "on": traced.on.isoformat(),
        "log_from": traced.first.isoformat(),
        "results": traced.results,
        "signs": traced.signs,
        "runs": traced.runs,
        "effective_runs": traced.effective,
        "has_chances": traced.has_chances,
        "seed": traced.seed,
        "act_first": [one(dog) for dog in traced.act_first()],
        "isolate_first": [one(dog) for dog in traced.isolate_first()],
        "test_first": [book.name_of(dog.dog) for dog in traced.test_first()],
        "likely_source": [one(dog) for dog in traced.likely_source()],
        "infected_itself": traced.found.infected_now if traced.found else None,
        "infected_itself_range": [traced.found.low, traced.found.high]
        if traced.found
        else None,
        "brought_in_itself": traced.found.brought_in if traced.found else None,
        "brought_in_itself_range": [traced.found.source_low, traced.found.source_high]
        if traced.found
        else None,
        "left_out": [
            {
                "entries": list(fault.entries),
                "on": fault.on.isoformat(),
                "says": str(fault.says),
            }
            for fault in traced.faults
        ],
        "numbers": {grade.value: n for grade, n in sorted(traced.grades.items())},
        "guesses": [known.says for known in traced.guesses],
        "holds_for": "this log as it is written; tests and written signs are weighed",
    }


def _dog(dog: TracedDog, *, book: Book) -> dict[str, Any]:
    chance = dog.chance
    told: dict[str, Any] = {
        "dog": book.name_of(dog.dog),
        "id": dog.dog,
        "is_here": dog.is_here,
        "suspect_since": dog.suspect.since.isoformat() if dog.suspect else None,
        "may_have_it": dog.may_have_it,
        "may_be_source": dog.may_be_source,
        "last_met": dog.last_met.isoformat() if dog.last_met else None,
        "reasons": [str(reason) for reason in dog.reasons],
    }
    if chance is not None:
        told["infected_now"] = {
            "chance": chance.infected_now,
            "low": chance.low,
            "high": chance.high,
            "if_one_move_in_ten_is_missing": None,
            "if_one_move_in_ten_is_missing_range": None,
        }
        if unwritten := dog.if_unwritten:
            told["infected_now"] |= {
                "if_one_move_in_ten_is_missing": unwritten.infected_now,
                "if_one_move_in_ten_is_missing_range": [unwritten.low, unwritten.high],
            }
        told["found_now"] = chance.found_now
        told["found_now_range"] = [chance.found_low, chance.found_high]
        told["brought_in"] = chance.brought_in
        told["brought_in_range"] = [chance.source_low, chance.source_high]
        told["averted"] = chance.averted
    return told
