"""`kennelward interpret`: what a result, or several, means for one dog."""

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from kennelward.cli.minutes import (
    Command,
    Minutes,
    handbook_minutes,
    leaflet_option,
)
from kennelward.cli.shared_options import (
    console,
    json_option,
    on_option,
    print_json,
    today_utc,
)
from kennelward.kennel.facts import MATING_METHODS, SIGNS
from kennelward.terms import BadInput, Call

if TYPE_CHECKING:
    from kennelward.evidence import Interpretation
    from kennelward.handbook import Handbook, Kit
    from kennelward.rounds import CaseResult, DogCase

HOUSINGS = ("kennel", "household")
SOURCES = ("home", "breeder", "commercial", "shelter", "imported", "unknown")
MET = ("pen-mate", "littermate", "dam", "mate")
DAYS_A_WEEK = 7
DAYS_A_MONTH = 30.4375  # mean month of the Gregorian year, 365.25 / 12

# option -> the event it counts days from, in the words of evidence
EVENT_OF = {
    "arrived_days": "arrival",
    "vaccinated_days": "live-vaccine",
    "treated_until_days": "course-end",
    "exposed_days": "exposure",
    "ill_days": "illness",
    "mated_days": "mating",
    "lh_days": "lh",
    "ovulated_days": "ovulation",
    "whelped_days": "whelping",
    "lost_days": "pregnancy-loss",
}


def _days(name: str, says: str) -> Callable[[Command], Command]:
    return click.option(name, type=click.IntRange(0, 9000), metavar="DAYS", help=says)


@click.command()
@click.option("--kit", required=True, help="Which kit, such as giardia-antigen.")
@click.option(
    "--result",
    "results",
    multiple=True,
    metavar="RESULT",
    help="positive, faint, negative, trace, invalid or unreadable; or another method's, "
    "such as flotation=negative, or flotation=negative:3 for samples of three days. "
    "Several in the order they were sampled.",
)
@click.option("--age-weeks", type=click.FloatRange(0, 1300))
@click.option("--age-months", type=click.FloatRange(0, 300))
@click.option(
    "--sign", "signs", multiple=True, type=click.Choice(SIGNS), help="May be repeated."
)
@_days("--arrived-days", "Days since the dog came in.")
@_days("--vaccinated-days", "Days since a live vaccine against this infection.")
@_days("--treated-until-days", "Days since the end of a course a vet wrote.")
@_days("--exposed-days", "Days since the last possible exposure.")
@_days("--ill-days", "Days since the first signs.")
@_days("--mated-days", "Days since the last mating or insemination.")
@_days("--lh-days", "Days since the LH surge.")
@_days("--ovulated-days", "Days since ovulation.")
@_days("--whelped-days", "Days since she whelped.")
@_days("--lost-days", "Days since a pregnancy was lost.")
@click.option("--housing", type=click.Choice(HOUSINGS), default="kennel")
@click.option("--came-from", type=click.Choice(SOURCES), default="unknown")
@click.option(
    "--met",
    multiple=True,
    type=click.Choice(MET),
    help="How the dog met one that is suspect; may be repeated.",
)
@click.option(
    "--vaccinated/--not-vaccinated", "is_vaccinated", default=None, help="Ever, at all."
)
@click.option("--mating", "mating_method", type=click.Choice(MATING_METHODS))
@click.option(
    "--minutes", type=click.FloatRange(min=0), help="After the drops, when it was read."
)
@leaflet_option
@click.option("--expired", is_flag=True, help="The strip was past its printed date.")
@on_option
@json_option
def command(
    kit: str,
    results: tuple[str, ...],
    on: date | None,
    as_json: bool,
    expired: bool,
    minutes: float | None,
    leaflet: Minutes | None,
    **known: Any,
) -> None:
    """What results mean for one dog: the chance before, now, and had it been negative.

    Chances are 0 to 1 in JSON; low and high hold 90 %. Never a diagnosis: that is the
    vet's.
    """
    from kennelward.handbook import load_handbook
    from kennelward.rounds import interpret_case

    handbook = load_handbook()
    the_kit = _kit(handbook, kit)
    void = _void_reasons(
        leaflet or handbook_minutes(the_kit), minutes=minutes, expired=expired
    )
    found = interpret_case(
        handbook=handbook,
        case=_case(the_kit, on=on or today_utc(), **known),
        results=[
            _result(text, kit=kit, handbook=handbook, void=void) for text in results
        ],
    )
    if as_json:
        print_json(as_plain(found))
    else:
        _print(found)


def _kit(handbook: "Handbook", name: str) -> "Kit":
    if name not in handbook.kits:
        raise BadInput(
            f"no kit {name!r} in the handbook; use one of {', '.join(handbook.kits)}"
        )
    return handbook.kits[name]


def _void_reasons(
    window: Minutes, *, minutes: float | None, expired: bool
) -> tuple[str, ...]:
    """The book's words for what makes a strip's result void."""
    found = ["expired"] if expired else []
    if minutes is not None and minutes < window.first:
        found.append("read-early")
    if minutes is not None and minutes > window.last:
        found.append("read-late")
    return tuple(found)


def _result(
    text: str, *, kit: str, handbook: "Handbook", void: tuple[str, ...]
) -> "CaseResult":
    """`negative`, `flotation=negative` or `flotation=negative:3`."""
    from kennelward.rounds import CaseResult

    test, is_other, said = text.rpartition("=")
    said, _, sampled = said.partition(":")
    if is_other and test not in handbook.methods and test not in handbook.kits:
        known = ", ".join([*handbook.methods, *handbook.kits])
        raise BadInput(f"no test {test!r} in the handbook; use one of {known}")
    word = "positive" if said == "faint" else said
    if word not in set(Call):
        raise BadInput(
            f"--result {text}: {said!r} is no result; use one of {', '.join(Call)}, faint"
        )
    if sampled and not (sampled.isdigit() and 1 <= int(sampled) <= 10):
        raise BadInput(f"--result {text}: days sampled are 1 to 10, got {sampled!r}")
    is_strip = not is_other or test in handbook.kits
    return CaseResult(
        test=test or kit,
        call=Call(word),
        days_sampled=int(sampled or 1),
        void_reasons=void if is_strip else (),
    )


def _case(
    kit: "Kit",
    *,
    on: date,
    age_weeks: float | None,
    age_months: float | None,
    signs: tuple[str, ...],
    housing: str,
    came_from: str,
    met: tuple[str, ...],
    is_vaccinated: bool | None,
    mating_method: str | None,
    **days: int | None,
) -> "DogCase":
    from kennelward.rounds import DogCase

    if age_weeks is not None and age_months is not None:
        raise BadInput("give --age-weeks or --age-months, not both")
    age = None
    if age_weeks is not None:
        age = round(age_weeks * DAYS_A_WEEK)
    elif age_months is not None:
        age = round(age_months * DAYS_A_MONTH)
    return DogCase(
        infection=kit.infection,
        on=on,
        age_days=age,
        signs=signs,
        source=came_from,
        housing=housing,
        days_since={
            EVENT_OF[name]: count for name, count in days.items() if count is not None
        },
        is_vaccinated=is_vaccinated,
        exposures=met,
        mating_method=mating_method or "",
    )


def as_plain(found: "Interpretation") -> dict[str, Any]:
    """The answer as JSON: chances 0 to 1, `low` and `high` hold 90 %."""
    return {
        "chance": found.chance.as_json(),
        "chance_before": found.chance_before.median,
        "chance_if_negative": found.chance_if_negative.median,
        "chance_if_positive": found.chance_if_positive.median,
        "informative": found.informative,
        "act_as_suspect": found.act_as_suspect,
        "reasons": [str(reason) for reason in found.reasons],
        "in_words": str(found.in_words),
        "of": found.condition.value,
        "interval": 0.90,
        "intervals": {
            "chance_before": found.chance_before.as_json(),
            "chance_if_negative": found.chance_if_negative.as_json(),
            "chance_if_positive": found.chance_if_positive.as_json(),
        },
    }


def _print(found: "Interpretation") -> None:
    from kennelward.cli.words import hang, in_hundred

    out = console()
    out.print(hang("Means", str(found.in_words), style="bold"))
    if found.informative:
        out.print(hang("", f"Had the last result been negative: {in_hundred(found)}."))
    else:
        out.print(hang("", "No result counted: the chance is as it was before."))
    for number, reason in enumerate(found.reasons):
        out.print(hang("" if number else "Because", str(reason)))
    if found.act_as_suspect:
        out.print(hang("Act", "as for a suspect, whatever the chance"))
    out.print(
        hang(
            "", "A strip is a screening aid: confirmation and treatment are the vet's."
        )
    )
