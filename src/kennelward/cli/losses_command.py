"""`kennelward losses`: stillborn puppies and early deaths, judged as a run of litters."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kennelward.cli.due_command import the_book
from kennelward.cli.shared_options import (
    console,
    data_option,
    json_option,
    on_option,
    print_json,
)

if TYPE_CHECKING:
    from kennelward.handbook import Handbook
    from kennelward.kennel import Book
    from kennelward.litters import ParentLoss
    from kennelward.programme import LossPattern

NEXT_BORN = 6  # size of the litter that "what it would take" speaks of


@click.command()
@on_option
@click.option("--kennel", default=None, help="Which kennel, where there are several.")
@data_option
@json_option
def command(
    on: date | None, kennel: str | None, data: Path | None, as_json: bool
) -> None:
    """How losses stand: the usual loss here, each litter beside it, the slow alarm.

    Uses the kennel's own book, or the made-up demo's where there is none.
    """
    book, handbook, day, is_demo = the_book(data, kennel=kennel, on=on)
    told = as_plain(book=book, handbook=handbook, on=day)
    if as_json:
        print_json(told)
        return
    if is_demo:
        console().print("A made-up kennel: nothing here is real.", style="dim")
    _print(told)


def as_plain(*, book: "Book", handbook: "Handbook", on: date) -> dict[str, Any]:
    """The review as JSON; chances 0 to 1, lost means stillborn or dead by day 7."""
    from kennelward.rounds import (
        dated_litters,
        kennel_losses,
        loss_pattern,
        next_litter_to_alarm,
        parents_compared,
        pregnancies_lost,
    )

    known: dict[str, Any] = {"book": book, "handbook": handbook, "on": on}
    judged = kennel_losses(**known)
    pattern = loss_pattern(**known)
    losses = {one.litter: one.loss for one in dated_litters(**known)}
    lost = pregnancies_lost(**known)
    return {
        "call_vet": pattern.is_raised,
        "baseline": judged.baseline,
        "effective_puppies": judged.effective_puppies,
        "year": {
            "born": judged.year_born,
            "lost": judged.year_lost,
            "chance": judged.year_chance,
            "flag": judged.year_flag.value,
        },
        "year_chance": judged.year_chance,
        "alarm": judged.alarm,
        "standing": judged.standing,
        "limit": handbook.litters(on).losses.limit,
        "next_litter": {
            "born": NEXT_BORN,
            "lost_to_alarm": next_litter_to_alarm(**known, born=NEXT_BORN),
        },
        "delay": _delay(**known),
        "whole_litters_lost": judged.whole_litters_lost,
        "pattern": _pattern(pattern, book=book),
        "pregnancies": {
            "ended": lost.pregnancies,
            "lost": lost.lost,
            "expected_lost": lost.expected,
            "chance": lost.chance,
        },
        "litters": [
            {
                "litter": book.litters[litter].name,
                "born": losses[litter].born,
                "lost": losses[litter].lost,
                "chance": chance,
                "flag": flag.value,
            }
            for litter, chance, flag in judged.litters
        ],
        "dams": _parents(parents_compared(**known, role="dam"), book=book),
        "sires": _parents(parents_compared(**known, role="sire"), book=book),
    }


def _pattern(pattern: "LossPattern", *, book: "Book") -> dict[str, Any]:
    return {
        "is_pattern": pattern.is_pattern,
        "is_clustered": pattern.is_clustered,
        "signs": [
            {
                "kind": sign.kind,
                "day": sign.day.isoformat(),
                "dam": book.name_of(sign.dam),
                "sires": [book.name_of(sire) for sire in sign.sires],
                "puppies": sign.count,
                "day_of_pregnancy": sign.day_of_pregnancy,
            }
            for sign in pattern.signs
        ],
    }


def _delay(**known: Any) -> dict[str, Any] | None:
    from kennelward.rounds import losses_delay

    found = losses_delay(**known)
    if found is None:
        return None
    return {
        "litters_a_year": found.litters_a_year,
        "years_to_notice": found.detection_years,
        "litters_to_notice": found.detection_litters,
        "years_between_false_alarms": found.false_alarm_years,
        "litters_between_false_alarms": found.false_alarm_litters,
        "false_alarm_in_a_year": found.false_alarm_in_a_year,
    }


def _parents(found: "tuple[ParentLoss, ...]", *, book: "Book") -> list[dict[str, Any]]:
    return [
        {
            "name": book.name_of(one.parent),
            "litters": one.litters,
            "raw": one.raw,
            "shrunk": one.shrunk,
            "low": one.low,
            "high": one.high,
            "chance_worse": one.chance_worse,
        }
        for one in found
    ]


def _print(told: dict[str, Any]) -> None:
    out = console()
    if told["call_vet"]:
        out.print(
            "People first: gloves, eye and mouth cover; pregnant or immune-suppressed "
            "people and children stay away.",
            style="bold",
        )
        out.print(
            "Keep dead puppies and afterbirth sealed and cool, not in a food fridge. "
            "Call the vet about these losses and a Brucella work-up; other causes look "
            "the same.",
            style="bold",
        )
        for sign in told["pattern"]["signs"]:
            kind = sign["kind"].replace("-", " ")
            out.print(f"  {sign['day']} {sign['dam']}: {kind}", markup=False)
    out.print(f"Usual loss a puppy here: {100 * told['baseline']:.1f} of 100")
    for one in told["litters"]:
        out.print(
            f"{one['litter']}: {one['lost']} of {one['born']} lost, as many or more in "
            f"{100 * one['chance']:.1f} of 100 such litters",
            markup=False,
        )
    out.print(
        "Slow alarm: " + ("signals" if told["alarm"] else "quiet; no proof of safety")
    )
    needed, delay = told["next_litter"]["lost_to_alarm"], told["delay"]
    if needed is not None:
        out.print(f"A next litter of {NEXT_BORN} that loses {needed} would raise it.")
    if delay is not None:
        out.print(
            f"At {delay['litters_a_year']:.1f} litters a year it takes about "
            f"{delay['years_to_notice']:.1f} years to notice that losses doubled, and is "
            f"wrong about once in {delay['years_between_false_alarms']:.0f} years."
        )
    for role in ("dams", "sires"):
        for one in told[role][:3]:
            out.print(
                f"{role[:-1].title()} {one['name']}, {one['litters']} litter(s): "
                f"{100 * one['shrunk']:.0f} of 100 lost, between "
                f"{100 * one['low']:.0f} and {100 * one['high']:.0f}",
                markup=False,
            )
