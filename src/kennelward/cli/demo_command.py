"""`kennelward demo`: the main job on a made-up kennel, told in the terminal."""

from datetime import date
from typing import TYPE_CHECKING, Any

import click

from kennelward.cli.shared_options import (
    console,
    json_option,
    on_option,
    print_json,
    progress,
    today_utc,
)

if TYPE_CHECKING:
    from kennelward.demo.main_job import MainJob


@click.command()
@on_option
@json_option
def command(on: date | None, as_json: bool) -> None:
    """Read the demo's strip photos and say what each means, what to do, what is due.

    Nothing is written anywhere. Everything about the kennel is invented.
    """
    from kennelward.demo import demo_jobs
    from kennelward.demo.main_job import do_main_job
    from kennelward.handbook import load_handbook

    day = on or today_utc()
    handbook = load_handbook()
    with progress(unit="photos") as bar:
        task = bar.add_task("reading", total=len(demo_jobs(on=day)))
        done = do_main_job(
            on=day, handbook=handbook, each_read=lambda: bar.advance(task)
        )
    if as_json:
        print_json(as_plain(done))
        return
    from kennelward.cli.report import report

    out = console()
    for part in report(done, handbook=handbook):
        out.print(part)


def as_plain(done: "MainJob") -> dict[str, Any]:
    """The main job as JSON."""
    from kennelward.cli.due_command import as_plain as due_as_plain
    from kennelward.cli.interpret_answer import worth_as_plain

    return {
        "made_up": True,
        "on": done.on.isoformat(),
        "strips": [
            {
                "dog": done.book.name_of(job.dog),
                "kit": job.kit,
                "photo": job.photo,
                "call": outcome.reading.call.value,
                "faint": outcome.reading.is_faint,
                "person": None
                if outcome.outcome.test.person_call is None
                else outcome.outcome.test.person_call.value,
                "void": [str(phrase) for phrase in outcome.outcome.void_says],
                "worth": None
                if outcome.outcome.worth is None
                else worth_as_plain(outcome.outcome.worth.worth),
                "meaning": [str(phrase) for phrase in outcome.outcome.meaning],
                "actions": [str(action.says) for action in outcome.outcome.actions],
                "exposed": sorted(
                    {done.book.name_of(c.dog) for c in outcome.outcome.exposed}
                ),
                "cautions": [caution.id for caution in outcome.outcome.cautions],
            }
            for job, outcome in done.read
        ],
        "due": [
            due_as_plain(item, book=done.book)
            for item in done.plan.due.items
            if item.is_open
        ],
        "shelf": [
            {
                "kit": need.kit,
                "usable": need.usable_now,
                "due": need.needed,
                "short": need.short,
                "expire_unused": need.expiring,
                "order": order.count,
                "order_by": order.order_by.isoformat() if order.order_by else None,
                "because": str(order.because),
            }
            for need, order in zip(done.shelf.needs, done.shelf.orders, strict=True)
        ],
    }
