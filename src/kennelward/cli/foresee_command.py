"""`kennelward foresee`: what may happen, and which policy is worth it.

The same command answers to `outlook`. Pages and help say "what may happen", since
"outlook" sounds like a forecast; see docs/methods/spread.md.
"""

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
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
    progress,
)

if TYPE_CHECKING:
    from kennelward.rounds import OutbreakAnswer, Prepared
    from kennelward.spread.compare import PlanResult
    from kennelward.spread.many_runs import Workers
    from kennelward.spread.policies import PolicyText

ORDERS = ("sick_days", "outbreak", "cases", "cost")
USUAL_DAYS = {"brucella": 540}
LARGEST_FILE = 200_000  # bytes of a policies file


@click.command()
@click.option("--agent", required=True, help="parvovirus, giardia or brucella.")
@click.option(
    "--policies",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Your own policies, a TOML file; they are tried with the ready ones.",
)
@click.option(
    "--now", "now_ids", multiple=True, metavar="POLICY", help="A policy in use today."
)
@click.option("--test", default="", help="Kit or method that is used.")
@click.option("--days", type=click.IntRange(7, 1100), help="How far ahead.")
@click.option("--by", type=click.Choice(ORDERS), default="sick_days", show_default=True)
@click.option("--search", is_flag=True, help="Every combination, up to 150 plans.")
@click.option(
    "--everyone", is_flag=True, help="Dogs without any suspicion may carry it, too."
)
@click.option(
    "--worlds", type=click.IntRange(2, 2000), default=40, show_default=True,
    help="Draws of what is not known.",
)  # fmt: skip
@click.option(
    "--runs", type=click.IntRange(2, 100_000), default=100, show_default=True,
    help="Runs of each plan in each world.",
)  # fmt: skip
@click.option("--seed", type=click.IntRange(0, 2**40), default=1, show_default=True)
@click.option(
    "--workers", type=click.IntRange(1, 64), default=None,
    help="Threads, all cores without it; the numbers stay the same.",
)  # fmt: skip
@click.option("--scheduler", default="", help="Address of a Dask cluster to run on.")
@on_option
@click.option("--kennel", default=None, help="Which kennel, where there are several.")
@data_option
@json_option
def command(
    agent: str,
    policies: Path | None,
    now_ids: tuple[str, ...],
    test: str,
    days: int | None,
    by: str,
    search: bool,
    everyone: bool,
    worlds: int,
    runs: int,
    seed: int,
    workers: int | None,
    scheduler: str,
    on: date | None,
    kennel: str | None,
    data: Path | None,
    as_json: bool,
) -> None:
    """What may happen: the kennel carried on many times, with policies side by side.

    Uses the kennel's own book, or the made-up demo's where there is none. A picture of
    many kennels like yours, not a forecast for a dog.
    """
    book, handbook, day, is_demo = the_book(data, kennel=kennel, on=on)
    from kennelward.rounds import (
        AheadSettings,
        Asked,
        answer_as_plain,
        prepare_outbreak,
    )
    from kennelward.spread.compare import Amount

    asked = Asked(
        infection=agent,
        test=test,
        settings=AheadSettings(
            days=days or USUAL_DAYS.get(agent, 180), everyone_may_carry=everyone
        ),
        now=now_ids,
        own=_own(policies, tuple(handbook.infections)),
        by=by,
        is_search=search,
        seed=seed,
        amount=Amount(worlds=worlds, runs=runs),
    )
    prepared = prepare_outbreak(book=book, handbook=handbook, on=day, asked=asked)
    answer = _run(prepared, workers=workers, scheduler=scheduler)
    if as_json:
        print_json(answer_as_plain(answer, name_of=book.name_of))
    else:
        suspects = [book.name_of(dog) for dog in answer.suspects]
        _print(answer, suspects=suspects, is_demo=is_demo)


def _run(
    prepared: "Prepared", *, workers: int | None, scheduler: str
) -> "OutbreakAnswer":
    """The runs, with a progress bar."""
    from kennelward.rounds import plan_outbreak

    threads = workers or os.cpu_count() or 1
    with _workers(threads, scheduler) as hands, progress(unit="runs") as bar:
        task = bar.add_task("Running", total=prepared.runs)
        return plan_outbreak(
            prepared,
            workers=hands,
            said=lambda done, total: bar.update(task, completed=done, total=total),
        )


def _own(path: Path | None, infections: tuple[str, ...]) -> "tuple[PolicyText, ...]":
    if path is None:
        return ()
    from kennelward.handbook.spread_policies import policies_from_text
    from kennelward.terms import BadInput

    content = path.read_bytes()
    if len(content) > LARGEST_FILE:
        raise BadInput(f"{path.name}: more than {LARGEST_FILE} bytes; split it")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(f"{path.name}: is not UTF-8 text; save it as UTF-8") from error
    return policies_from_text(text, file=path.name, infections=infections)


@contextmanager
def _workers(threads: int, scheduler: str) -> "Iterator[Workers | None]":
    """Threads here, or a Dask cluster; None for this thread alone."""
    if scheduler:
        from kennelward.cli.dask_workers import DaskWorkers

        with DaskWorkers(scheduler) as cluster:
            yield cluster
    elif threads > 1:
        from concurrent.futures import ThreadPoolExecutor

        with ThreadPoolExecutor(threads) as pool:
            yield pool
    else:
        yield None


def _print(answer: "OutbreakAnswer", *, suspects: Sequence[str], is_demo: bool) -> None:
    from kennelward.rounds.outbreak_words import BY_WORDS

    out = console()
    if is_demo:
        out.print("A made-up kennel: nothing here is real.", style="dim")
    for caution in answer.people_first:
        out.print(str(caution.says), style="bold", markup=False)
    out.print()
    if suspects:
        out.print(
            f"Suspects today: {', '.join(suspects)}. Keep them apart, whatever plan you "
            "choose.",
            markup=False,
        )
    for phrase in answer.says:
        out.print(str(phrase), markup=False)
    found = answer.comparison
    by = BY_WORDS[found.by]
    out.print(
        f"\nPlans, best first by {by}. The first is what you do now.", markup=False
    )
    for one in found.all:
        alike = len(found.alike) > 1 and one.plan.id in found.alike
        mark = " (not to be told apart from the best)" if alike else ""
        out.print("\n" + ("; ".join(one.plan.says) or "Nothing") + mark, style="bold")
        for line in _plan_lines(one, is_now=one is found.now, answer=answer):
            out.print(f"  {line}", markup=False)
    _print_what_it_rests_on(answer)
    if not answer.is_fast:
        out.print("Numba is not installed: the plain engine answered, slowly.")


def _print_what_it_rests_on(answer: "OutbreakAnswer") -> None:
    from kennelward.rounds.outbreak_words import amount
    from kennelward.spread.knowledge import Grade

    out = console()
    guessed = sum(known.grade is Grade.GUESS for known in answer.numbers)
    out.print(
        f"\nOf the {len(answer.numbers)} numbers it is worked out from, {guessed} are our "
        "guess. It begins with the dogs, moves and results that are in the book: what "
        "was not written down is not in it."
    )
    if answer.matters:
        out.print("Guesses that matter most:")
        for known in answer.matters:
            out.print(f"  {known.says} ({amount(known.low)} to {amount(known.high)})")
    out.print("Taken as given:")
    for phrase in answer.assumed:
        out.print(f"  {phrase}", markup=False)


def _plan_lines(
    one: "PlanResult", *, is_now: bool, answer: "OutbreakAnswer"
) -> "Iterator[str]":
    """What one plan led to, with the range of what is not known in brackets."""
    from kennelward.rounds.outbreak_words import amount, difference_words
    from kennelward.spread.policies import PRICE_NAMES

    def told(name: str, scale: float = 1) -> str:
        held = one.figures[name]
        mean, low, high = (
            amount(scale * value) for value in (held.mean, held.low, held.high)
        )
        return f"{mean} ({low} to {high})"

    yield f"outbreaks in 100: {told('outbreak', 100)}; further cases: {told('cases')}, "
    yield f"  in 9 runs of 10 at most {amount(one.cases.high)}"
    yield f"dog-days ill: {told('sick_days')}; deaths: {told('deaths')}; "
    yield f"  litters hit: {told('litters')}"
    yield f"dog-days apart: {told('apart_days')}; days closed: {told('closed_days')}; "
    yield f"  tests: {told('tests')}"
    if answer.prices.is_said:
        parts = "; ".join(
            f"{PRICE_NAMES[name]} {amount(part.mean / 100)}"
            for name, part in one.costs.items()
            if part.mean >= 1
        )
        yield (
            f"cost: {told('cost', 0.01)}, in 9 runs of 10 at "
            f"most {amount(one.cost.high / 100)}; the cheapest, or as cheap, in "
            f"{round(10 * one.cheapest)} of 10 worlds"
            + (f" ({parts})" if parts else "")
        )
    if not is_now:
        yield f"dog-days ill against now: {difference_words(one.difference['sick_days'])}"
