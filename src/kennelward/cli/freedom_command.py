"""`kennelward freedom`: how sure the kennel can be that an infection is absent."""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kennelward.cli.due_command import the_book
from kennelward.cli.group import REFUSED
from kennelward.cli.shared_options import (
    Day,
    console,
    data_option,
    json_option,
    now,
    on_option,
    print_json,
)
from kennelward.terms import BadInput

if TYPE_CHECKING:
    from kennelward.evidence import FreedomPlan
    from kennelward.kennel import Book
    from kennelward.rounds import Assumptions, Sureness, SurePlan

# option -> what is taken for granted
TAKEN = {
    "since": "starts_on",
    "infected_share": "infected_share",
    "absent_at_start": "absent_at_start",
    "unwritten": "unwritten_a_year",
    "brought_home": "brought_home",
    "young_risk": "young_risk",
}


@click.command()
@click.option("--infection", default=None, help="Which; all of them without.")
@on_option
@click.option("--since", type=Day(), help="The first day that is counted.")
@click.option(
    "--infected-share", type=float, help="Of the dogs, were it here; 0.001 to 0.5."
)
@click.option(
    "--absent-at-start",
    type=float,
    help="Chance absent on the first day; 0.01 to 0.99.",
)
@click.option(
    "--unwritten", type=float, help="Chance a year that it comes in unseen; 0 to 0.9."
)
@click.option(
    "--brought-home", type=float, help="Chance by one mating outside; 0 to 0.9."
)
@click.option(
    "--young-risk", type=float, help="How much likelier young dogs are; 0.05 to 20."
)
@click.option("--plan-by", type=Day(), help="Plan tests up to this day.")
@click.option(
    "--wanted",
    type=float,
    default=0.95,
    show_default=True,
    help="The chance the plan is to reach.",
)
@click.option("--kennel", default=None, help="Which kennel, where there are several.")
@data_option
@json_option
@click.pass_context
def command(
    ctx: click.Context,
    /,
    infection: str | None,
    on: date | None,
    plan_by: date | None,
    wanted: float,
    kennel: str | None,
    data: Path | None,
    as_json: bool,
    **taken: Any,
) -> None:
    """How sure the kennel can be that an infection is absent: a chance, never a verdict.

    Counts the book's negatives that count, less what came in since. Refused while a
    suspect is open. Uses the made-up demo's book where there is none. Chances are 0 to 1
    in JSON; low and high hold 90 %.
    """
    from kennelward.rounds import how_sure, infections_of, plan_sure

    book, handbook, day, is_demo = the_book(data, kennel=kennel, on=on)
    _check_today(book, day)
    answers = []
    for name in [infection] if infection else infections_of(handbook):
        assumptions = _taken(book, handbook, name, day, taken)
        sure = how_sure(
            book=book,
            handbook=handbook,
            infection=name,
            on=day,
            assumptions=assumptions,
        )
        plan = None
        if plan_by is not None:
            plan = plan_sure(
                sure, book=book, handbook=handbook, by=plan_by, wanted=wanted
            )
        answers.append((sure, plan))
    if as_json:
        plain = [as_plain(sure, plan, book=book) for sure, plan in answers]
        print_json(plain[0] if infection else plain)
    else:
        if is_demo:
            console().print("A made-up kennel: nothing here is real.", style="dim")
        for sure, plan in answers:
            _print(sure, plan, book=book)
    if all(sure.refused is not None for sure, _ in answers):
        ctx.exit(REFUSED)


def _check_today(book: "Book", day: date) -> None:
    today = book.day_of(now())
    if day > today:
        raise BadInput(
            f"--on must be a day up to {today}, got {day}; --plan-by looks ahead"
        )


def _taken(
    book: "Book", handbook: Any, infection: str, on: date, said: dict[str, Any]
) -> "Assumptions":
    from kennelward.rounds import usual_assumptions

    usual = usual_assumptions(book=book, handbook=handbook, infection=infection, on=on)
    changed = {TAKEN[name]: value for name, value in said.items() if value is not None}
    return replace(usual, **changed)


def as_plain(
    sure: "Sureness", plan: "SurePlan | None", *, book: "Book"
) -> dict[str, Any]:
    """The answer as JSON; `chance` is of absence, in fewer than `fewer_than` dogs."""
    taken = sure.assumptions
    return {
        "infection": sure.infection,
        "on": sure.on.isoformat(),
        "chance": sure.today.chance.as_json() if sure.today else None,
        "fewer_than": sure.infected,
        "dogs": len(sure.dogs),
        "tests": sure.tests,
        "refused": str(sure.refused) if sure.refused else None,
        "in_words": [str(one) for one in sure.says],
        "suspects": [book.name_of(dog) for dog in sure.suspects],
        "in_quarantine": [book.name_of(dog) for dog in sure.set_aside],
        "not_counted": [
            {"why": str(one.why), "tests": one.tests} for one in sure.not_counted
        ],
        "introductions": [
            {"on": one.on.isoformat(), "says": one.says, "chance": one.chance.mean}
            for one in sure.introductions
        ],
        "assumptions": {
            "since": taken.starts_on.isoformat(),
            "infected_share": taken.infected_share,
            "absent_at_start": taken.absent_at_start,
            "unwritten": taken.unwritten_a_year,
            "brought_home": taken.brought_home,
            "young_risk": taken.young_risk,
        },
        "curve": [
            {"on": point.on.isoformat(), "chance": point.chance.as_json()}
            for point in (sure.curve.points if sure.curve else ())
        ],
        "plan": _plan_as_plain(plan, book=book) if plan else None,
    }


def _plan_as_plain(plan: "SurePlan", *, book: "Book") -> dict[str, Any]:
    found = plan.plan
    return {
        "kit": plan.kit,
        "by": plan.by.isoformat(),
        "wanted": plan.wanted,
        "refused": str(plan.refused) if plan.refused else None,
        "in_words": [str(one) for one in plan.says],
        "is_reached": found.is_reached if found else False,
        "chance": found.chance if found else None,
        "price_cents": found.price_cents if found and plan.cents_each else None,
        "gap_cents": found.gap_cents if found and plan.cents_each else None,
        "rounds": _rounds(found, book=book),
        "left_out": [book.name_of(dog) for dog in plan.left_out],
    }


def _rounds(plan: "FreedomPlan | None", *, book: "Book") -> list[dict[str, Any]]:
    return [
        {"on": one.on.isoformat(), "dogs": [book.name_of(dog) for dog in one.dogs]}
        for one in (plan.rounds if plan else ())
    ]


def _print(sure: "Sureness", plan: "SurePlan | None", *, book: "Book") -> None:
    from kennelward.cli.words import hang

    out = console()
    out.print(f"\n {sure.infection.capitalize()}", style="bold")
    for says in sure.says:
        out.print(hang("", str(says)))
    if sure.curve is not None:
        taken = sure.assumptions
        out.print(
            hang(
                "Takes",
                f"counted since {taken.starts_on}, starting at "
                f"{100 * taken.absent_at_start:.0f} in 100; infected would be "
                f"{sure.infected} of {len(sure.dogs)} dogs; by ways not written "
                f"{100 * taken.unwritten_a_year:g} in 100 a year, by a mating outside "
                f"{100 * taken.brought_home:g} in 100",
            )
        )
    for one in sure.not_counted:
        out.print(hang("Not", f"{one.tests} negatives do not count. {one.why}"))
    for came in sure.introductions:
        chance = f"{100 * came.chance.mean:.2g} in 100"
        out.print(hang("Came in", f"{came.on} {came.says}, {chance}"))
    if plan is not None:
        _print_plan(plan, book=book)


def _print_plan(plan: "SurePlan", *, book: "Book") -> None:
    from kennelward.cli.words import hang

    out = console()
    for number, says in enumerate(plan.says):
        out.print(hang("" if number else "Plan", str(says)))
    if plan.left_out and plan.refused is None:
        out.print(
            hang("", f"Dogs whose negative would not count yet: {len(plan.left_out)}")
        )
    if plan.plan is None or not plan.plan.is_reached:
        return
    for one in plan.plan.rounds:
        names = ", ".join(book.name_of(dog) for dog in one.dogs)
        out.print(hang("", f"{one.on}: {names}"))
