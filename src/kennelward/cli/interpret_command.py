"""`kennelward interpret`: what a result, or several, means for one dog."""

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from kennelward.cli.interpret_answer import as_plain, print_answer
from kennelward.cli.interpret_input import (
    cents,
    chance_said,
    result_of,
    the_kit,
    void_reasons,
    with_said_figures,
)
from kennelward.cli.minutes import (
    Command,
    Minutes,
    handbook_minutes,
    leaflet_option,
)
from kennelward.cli.shared_options import (
    json_option,
    on_option,
    print_json,
    today_utc,
)
from kennelward.kennel.facts import MATING_METHODS, SIGNS
from kennelward.terms import BadInput

if TYPE_CHECKING:
    from kennelward.handbook import Handbook, Kit
    from kennelward.rounds import DogCase, DogInterpretation, NextStepAdvice

HOUSINGS = ("kennel", "household")
SOURCES = ("home", "breeder", "commercial", "shelter", "imported", "unknown")
MET = ("pen-mate", "littermate", "dam", "mate")
PRICES = ("visit_price", "laboratory_price", "strip_price")
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


def _price(name: str, says: str) -> Callable[[Command], Command]:
    return click.option(name, type=click.FloatRange(min=0), metavar="MONEY", help=says)


@click.command()
@click.option("--kit", required=True, help="Which kit, such as giardia-antigen.")
@click.option(
    "--result",
    "results",
    multiple=True,
    metavar="RESULT",
    help="positive, faint, negative, trace, invalid or unreadable; or another method's, "
    "such as flotation=negative, or flotation=negative:3 for samples of three days; "
    "@2026-03-31 behind it names the day. Several in the order they were sampled.",
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
@click.option(
    "--read-by",
    type=click.Choice(("person", "reader")),
    default="person",
    help="Who read the strip; the reader's own error is counted in.",
)
@click.option(
    "--prior", "start", metavar="CHANCE", help="Start at this chance, 0 to 1."
)
@click.option(
    "--sensitivity",
    metavar="CHANCE",
    help="Of your kit: 0.83, or counts off its leaflet such as 58/60.",
)
@click.option(
    "--specificity", metavar="CHANCE", help="The same for dogs that do not have it."
)
@_price("--visit-price", "What a clinic visit costs you.")
@_price("--laboratory-price", "What a laboratory test costs you.")
@_price("--strip-price", "What one strip costs you.")
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
    **said: Any,
) -> None:
    """What results mean for one dog: the chance before, now, and had it been negative.

    Chances are 0 to 1 in JSON; low and high hold 90 %. Never a diagnosis: that is the
    vet's.
    """
    from kennelward.handbook import load_handbook
    from kennelward.rounds import chance_story, interpretation_of

    today = on or today_utc()
    handbook = load_handbook()
    held = the_kit(handbook, kit)
    void = void_reasons(
        leaflet or handbook_minutes(held), minutes=minutes, expired=expired
    )
    own = with_said_figures(
        handbook,
        kit,
        sensitivity=said.pop("sensitivity"),
        specificity=said.pop("specificity"),
    )
    start, read_by = said.pop("start"), said.pop("read_by")
    prices = {name: cents(said.pop(name)) for name in PRICES}
    found = interpretation_of(
        handbook=own,
        ours=handbook,
        case=_case(held, on=today, **said),
        results=[
            result_of(
                text, kit=kit, handbook=handbook, void=void, read_by=read_by, on=today
            )
            for text in results
        ],
        start=chance_said("prior", start) if start is not None else None,
    )
    advice = _advice(own, found, prices)
    if as_json:
        story = chance_story(handbook=own, found=found)
        print_json(as_plain(found, story=story, advice=advice))
    else:
        print_answer(found, advice)


def _advice(
    handbook: "Handbook", found: "DogInterpretation", prices: "dict[str, int]"
) -> "NextStepAdvice | None":
    """The next step by the prices given; None for pregnancy, or without a result."""
    from kennelward.rounds import advise_by_prices

    if not found.results:
        return None
    return advise_by_prices(
        handbook=handbook,
        found=found,
        visit_cents=prices["visit_price"],
        laboratory_cents=prices["laboratory_price"],
        strip_cents=prices["strip_price"],
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
