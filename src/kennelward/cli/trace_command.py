"""`kennelward trace`: after a positive, whom to keep apart and test, and where from."""

import os
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from kennelward.cli.due_command import the_book
from kennelward.cli.shared_options import (
    console,
    data_option,
    json_option,
    on_option,
    print_json,
)
from kennelward.terms import BadInput

if TYPE_CHECKING:
    from rich.console import Console

    from kennelward.kennel import Book
    from kennelward.rounds.trace_and_contain import TracedDog, Tracing
    from kennelward.spread.trace import DogTraced

SHOWN = 8  # dogs of a list
RANGES = {  # of each chance, the names of its ends
    "infected_now": ("low", "high"),
    "found_now": ("found_low", "found_high"),
    "brought_in": ("source_low", "source_high"),
}


@click.command()
@click.argument("dog")
@click.option("--agent", required=True, help="parvovirus, giardia or brucella.")
@click.option("--seed", type=click.IntRange(0, 2**40), default=1, show_default=True)
@on_option
@click.option("--kennel", default=None, help="Which kennel, where there are several.")
@data_option
@json_option
def command(
    dog: str,
    agent: str,
    seed: int,
    on: date | None,
    kennel: str | None,
    data: Path | None,
    as_json: bool,
) -> None:
    """Trace an infection from DOG, by name or id, through the kennel's own book.

    Uses the kennel's own book, or the made-up demo's where there is none.
    """
    book, handbook, day, is_demo = the_book(data, kennel=kennel, on=on)
    from kennelward.rounds.trace_and_contain import trace_and_contain
    from kennelward.rounds.trace_json import tracing_as_plain

    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        traced = trace_and_contain(
            book=book,
            handbook=handbook,
            dog=_dog(book, dog),
            infection=agent,
            on=day,
            seed=seed,
            workers=pool,
        )
    if as_json:
        print_json(tracing_as_plain(traced, book=book))
        return
    _print(traced, book=book, is_demo=is_demo)


def _dog(book: "Book", named: str) -> str:
    if named in book.dogs:
        return named
    found = [
        card.dog
        for card in book.dogs.values()
        if card.name.casefold() == named.casefold()
    ]
    if len(found) != 1:
        raise BadInput(
            f"{len(found)} dogs are called {named!r}; name one of the book's dogs, or its id"
        )
    return found[0]


def _print(traced: "Tracing", *, book: "Book", is_demo: bool) -> None:
    from kennelward.spread.knowledge import Grade

    out = console()
    if is_demo:
        out.print("A made-up kennel: nothing here is real.", style="dim")
    for caution in traced.people_first:
        out.print(str(caution.says), style="bold", markup=False)
    for fault in traced.faults:
        out.print(
            f"Left out, {_day(fault.on)}: {fault.says} ({', '.join(fault.entries)})",
            markup=False,
        )
    if not traced.has_chances:
        out.print(
            f"Only {traced.effective:.0f} of {traced.runs} runs explain the results: too "
            "few to rank by. These are the dogs that a path through the log leads to."
        )
    name = book.name_of(traced.dog)
    out.print(
        f"The book from {_day(traced.first)} to {_day(traced.on)}; weighed: results "
        f"{traced.results}, spells of signs {traced.signs}."
    )
    out.print(f"{name} stays apart until the vet says otherwise.", markup=False)
    if traced.found is not None:
        out.print(
            f"{name}: {_hundred(traced.found.infected_now)} that it has it now "
            f"({_range(traced.found.low, traced.found.high)} with what is not known), if "
            "the log is complete, by all results. The page of its result speaks of the day "
            "of the sample, so the two can differ. Act on the higher.",
            markup=False,
        )
    if traced.has_chances:
        of = sum(traced.grades.values())
        out.print(
            "If the log is complete, these may have it; in brackets, how far what is "
            f"not known could move each chance. Of the {of} numbers it is worked out "
            f"from, {traced.grades.get(Grade.GUESS, 0)} are our guess."
        )
    _print_lists(out, traced, book=book)


def _print_lists(out: "Console", traced: "Tracing", *, book: "Book") -> None:
    _list(out, "Keep apart first:", traced.isolate_first(), book, "infected_now")
    _list(
        out,
        "Whose keeping apart spares most others:",
        traced.act_first(),
        book,
        "averted",
    )
    _list(
        out,
        "Test first (the chance that it has it and a test today finds it):",
        traced.test_first(),
        book,
        "found_now",
    )
    _list(
        out,
        "May have brought it in, if the log is complete; more than one may have:",
        traced.likely_source(),
        book,
        "brought_in",
    )
    if traced.found is not None:
        told = _with_range(traced.found, "brought_in")
        out.print(f"  {book.name_of(traced.dog)} itself: {told}.", markup=False)
    if traced.guesses:
        says = "; ".join(known.says for known in traced.guesses)
        out.print(f"Guesses that may be furthest off: {says}.", markup=False)
    out.print(
        "These chances hold if the log is complete. A likely source is no evidence "
        "against anybody. A negative test lowers a chance, never to zero. That no sign "
        "was written down speaks for no dog. No chance here ends a precaution. "
        "A litter stays with its dam and is kept apart as one.",
        style="dim",
    )


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _hundred(chance: float) -> str:
    from kennelward.evidence import in_hundred

    return f"{in_hundred(chance)} of 100"


def _range(low: float, high: float) -> str:
    from kennelward.evidence import in_hundred

    return f"{in_hundred(low)} to {in_hundred(high)}"


def _with_range(chance: "DogTraced", name: str) -> str:
    """`32 of 100 (20 to 41)`."""
    low, high = RANGES[name]
    return (
        f"{_hundred(getattr(chance, name))} "
        f"({_range(getattr(chance, low), getattr(chance, high))})"
    )


def _list(
    out: object, title: str, dogs: "tuple[TracedDog, ...]", book: "Book", name: str
) -> None:
    from rich.console import Console

    from kennelward.rounds.outbreak_words import amount

    assert isinstance(out, Console)
    out.print(title, style="bold")
    if not dogs:
        out.print("  no other dog that the log leads to")
    for one in dogs[:SHOWN]:
        told = ""
        if one.chance is not None and name == "averted":
            told = (
                " left where it is it may pass it on to about "
                f"{amount(one.chance.averted)} more."
            )
        elif one.chance is not None:
            told = f" {_with_range(one.chance, name)}."
            if name == "infected_now" and one.if_unwritten is not None:
                told += (
                    f" If one move in ten was not written down: "
                    f"{_with_range(one.if_unwritten, name)}."
                )
        if name == "brought_in" and not one.is_here:
            told += " No longer here."
        why = ""
        if name == "infected_now":
            why = " ".join(str(reason) for reason in one.reasons)
        out.print(f"  {book.name_of(one.dog)}:{told} {why}", markup=False)
    if len(dogs) > SHOWN:
        out.print(f"  and {len(dogs) - SHOWN} more")
