"""`kennelward timing`: when a strip can answer, from a day alone. Opens no book."""

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from kennelward.cli.interpret_command import DAYS_A_MONTH, DAYS_A_WEEK, SOURCES
from kennelward.cli.minutes import Command
from kennelward.cli.shared_options import (
    Day,
    console,
    json_option,
    on_option,
    print_json,
    today_utc,
)
from kennelward.kennel.facts import MATING_METHODS, SIGNS
from kennelward.terms import BadInput

if TYPE_CHECKING:
    from kennelward.evidence import DayWorth
    from kennelward.handbook import Handbook
    from kennelward.rounds import DogCase, KitAnswer

# option -> the event it is the day of, in the words of evidence
EVENT_OF = {
    "mated": "mating",
    "lh": "lh",
    "ovulated": "ovulation",
    "exposed": "exposure",
    "arrived": "arrival",
    "ill_since": "illness",
    "live_vaccine": "live-vaccine",
    "treated_until": "course-end",
}
EVERY_DAYS = 7  # rows of the table on a terminal


def _day(name: str, says: str) -> Callable[[Command], Command]:
    return click.option(name, type=Day(), default=None, help=says)


@click.command()
@click.option("--kit", required=True, help="Which kit, such as relaxin.")
@_day("--mated", "The last mating or insemination.")
@_day("--lh", "The LH surge.")
@_day("--ovulated", "Ovulation, as the vet says.")
@_day("--exposed", "The last possible exposure.")
@_day("--arrived", "The day the dog came in.")
@_day("--ill-since", "The first day of signs.")
@_day("--live-vaccine", "A live vaccine against this infection.")
@_day("--treated-until", "The end of a course a vet wrote.")
@click.option(
    "--worth",
    type=float,
    default=0.05,
    show_default=True,
    help="The chance that a negative may leave, 0 to 1.",
)
@_day("--tested", "The day of a negative that is to be repeated.")
@click.option("--age-weeks", type=click.FloatRange(0, 1300))
@click.option("--age-months", type=click.FloatRange(0, 300))
@click.option(
    "--sign", "signs", multiple=True, type=click.Choice(SIGNS), help="May be repeated."
)
@click.option("--came-from", type=click.Choice(SOURCES), default="unknown")
@click.option(
    "--vaccinated/--not-vaccinated", "is_vaccinated", default=None, help="Ever, at all."
)
@click.option("--mating", "mating_method", type=click.Choice(MATING_METHODS))
@on_option
@json_option
def command(
    kit: str,
    worth: float,
    tested: date | None,
    on: date | None,
    as_json: bool,
    **said: Any,
) -> None:
    """When a strip can answer: what a negative and a positive would be worth by day.

    Give one day to count from. "One strip never gets there" is an answer. Chances are 0
    to 1 in JSON; low and high hold 90 %.
    """
    from kennelward.handbook import load_handbook
    from kennelward.rounds import when_can_answer

    days = {event: said.pop(name) for name, event in EVENT_OF.items()}
    given = {event: day for event, day in days.items() if day is not None}
    if len(given) != 1:
        options = ", ".join(f"--{name.replace('_', '-')}" for name in EVENT_OF)
        raise click.UsageError(f"give one day to count from, with one of {options}")
    ((event, anchor),) = given.items()
    handbook = load_handbook()
    today = on or today_utc()
    found = when_can_answer(
        handbook=handbook,
        kit=kit,
        event=event,
        anchor=anchor,
        on=today,
        case=_case(handbook, kit, on=today, **said),
        worth=worth,
        tested_on=tested,
    )
    if as_json:
        print_json(as_plain(found))
    else:
        _print(found)


def _case(
    handbook: "Handbook",
    kit: str,
    *,
    on: date,
    age_weeks: float | None,
    age_months: float | None,
    signs: tuple[str, ...],
    came_from: str,
    is_vaccinated: bool | None,
    mating_method: str | None,
) -> "DogCase | None":
    from kennelward.rounds import DogCase

    if age_weeks is not None and age_months is not None:
        raise BadInput("give --age-weeks or --age-months, not both")
    if kit not in handbook.kits:
        return None  # the question itself says which kits there are
    age = None
    if age_weeks is not None:
        age = round(age_weeks * DAYS_A_WEEK)
    elif age_months is not None:
        age = round(age_months * DAYS_A_MONTH)
    return DogCase(
        infection=handbook.kits[kit].infection,
        on=on,
        age_days=age,
        signs=signs,
        source=came_from,
        is_vaccinated=is_vaccinated,
        mating_method=mating_method or "",
    )


def as_plain(found: "KitAnswer") -> dict[str, Any]:
    """The answer as JSON: chances 0 to 1, `low` and `high` hold 90 %."""
    told = found.timing
    return {
        "kit": found.kit,
        "event": found.event,
        "day": told.anchor.isoformat(),
        "on": found.on.isoformat(),
        "worth": found.worth,
        "chance_before": told.before.as_json(),
        "today": _worth(found.today),
        "negative_counts_from": found.counts_from.isoformat(),
        "answers_from": told.reaches.on.isoformat() if told.reaches else None,
        "one_strip_gets_there": told.reaches is not None,
        "best": _worth(told.best),
        "after_repeat": told.after_repeat.as_json(),
        "repeat_on": told.repeat_on.isoformat(),
        "retest_on": found.retest_on.isoformat(),
        "in_words": [str(one) for one in found.says],
        "flags": [str(one) for one in found.flags],
        "takes": str(found.takes),
        "source": found.source,
        "provenance": found.provenance.value,
        "curve": [_worth(worth) for worth in told.curve],
    }


def _worth(worth: "DayWorth") -> dict[str, Any]:
    return {
        "day": worth.day,
        "on": worth.on.isoformat(),
        "sensitivity": worth.sensitivity,
        "if_negative": worth.if_negative.as_json(),
        "if_positive": worth.if_positive.as_json(),
        "negative_counts": worth.negative_counts,
        "positive_counts": worth.positive_counts,
    }


def _print(found: "KitAnswer") -> None:
    from kennelward.cli.words import hang
    from kennelward.evidence import in_hundred

    out = console()
    for number, says in enumerate(found.says):
        out.print(hang("" if number else "Answers", str(says), style="bold"))
    out.print(hang("Test", f"(again) on {found.retest_on}"))
    for flag in found.flags:
        out.print(hang("But", str(flag)))
    out.print(hang("Takes", str(found.takes)))
    out.print(hang("Source", f"{found.source} ({found.provenance.value})", style="dim"))
    out.print()
    out.print(
        " Of 100 dogs like this one, still infected after a negative", style="dim"
    )
    if found.infection == "pregnancy":
        out.print(" (pregnant, in bitches)", style="dim")
    for worth in found.timing.curve:
        if worth.day % EVERY_DAYS == 0:
            left = in_hundred(worth.if_negative.median)
            note = "" if worth.negative_counts else "   does not count yet"
            out.print(f"   day {worth.day:>3}  {worth.on}  {left:>5}{note}")
    out.print(
        hang(
            "", "A strip is a screening aid: confirmation and treatment are the vet's."
        )
    )
