"""`kennelward due-date`: when a bitch is due, from what is known. Opens no book."""

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any, cast

import click

from kennelward.cli.shared_options import (
    Day,
    console,
    json_option,
    on_option,
    print_json,
    today_utc,
)
from kennelward.kennel.facts import MATING_METHODS, PROGESTERONE_UNITS

if TYPE_CHECKING:
    from kennelward.litters import BreedingFacts, LitterNumbers

NEEDED = (
    "give --ovulation, --lh, --mated, --mated-between, --progesterone, --season or "
    "--scan-age"
)
SHOWN_FROM = 0.001  # days with a smaller chance are left out of the JSON


class Moment(click.ParamType[datetime]):
    """A day and a time at home, written 2026-03-31T06:30."""

    name = "DATETIME"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> datetime:
        """The moment, or a usage error that shows the form."""
        if isinstance(value, datetime):
            return value
        try:
            return datetime.fromisoformat(value)
        except ValueError:
            self.fail(
                f"{value!r} is no moment; write it as 2026-03-31T06:30", param, ctx
            )


@click.command()
@click.option("--ovulation", type=Day(), help="The day of ovulation, as the vet says.")
@click.option("--lh", type=Day(), help="The day of the LH surge.")
@click.option("--season", type=Day(), help="The first day of the season.")
@click.option("--mated", type=Day(), multiple=True, help="A mating; may be repeated.")
@click.option(
    "--mated-between",
    type=(Day(), Day()),
    multiple=True,
    metavar="FIRST LAST",
    help="A mating that nobody saw: its first and last possible day.",
)
@click.option(
    "--method",
    type=click.Choice(MATING_METHODS),
    default="natural",
    help="How the semen came in, for all matings.",
)
@click.option(
    "--progesterone",
    type=(Day(), float),
    multiple=True,
    metavar="DATE VALUE",
    help="A progesterone value, in season or near the end; may be repeated.",
)
@click.option(
    "--unit",
    type=click.Choice(PROGESTERONE_UNITS),
    default="ng/mL",
    help="Unit of the progesterone values.",
)
@click.option(
    "--scan-age",
    type=(Day(), click.IntRange(14, 65)),
    multiple=True,
    metavar="DATE DAYS",
    help="On a scan the vet found her so many days from ovulation.",
)
@click.option(
    "--x-ray", type=click.IntRange(1, 25), help="Puppies counted on an X-ray."
)
@click.option("--scan", type=click.IntRange(1, 25), help="Puppies counted on a scan.")
@click.option(
    "--litter-size", type=click.IntRange(1, 25), help="Puppies, known for sure."
)
@click.option("--temperature-drop", type=Moment(), help="When her temperature fell.")
@on_option
@json_option
def command(as_json: bool, on: date | None, **known: Any) -> None:
    """The likeliest day of birth, and the days that hold it in 8 of 10 pregnancies.

    Everything known is combined. With --on she has not whelped before that day.
    """
    from kennelward.handbook import load_handbook

    facts = the_facts(on=on, **known)
    numbers = load_handbook().litters(on or today_utc())
    told = as_plain(facts, numbers=numbers, on=on)
    if as_json:
        print_json(told)
        return
    _print(told)


def the_facts(
    *,
    on: date | None,
    mated: tuple[date, ...],
    mated_between: tuple[tuple[date, date], ...],
    method: str,
    progesterone: tuple[tuple[date, float], ...],
    unit: str,
    scan_age: tuple[tuple[date, int], ...],
    x_ray: int | None,
    scan: int | None,
    temperature_drop: datetime | None,
    **days: Any,
) -> "BreedingFacts":
    """What was typed, as facts. Raises UsageError where nothing dates the pregnancy."""
    from kennelward.litters import (
        AgedByScan,
        BreedingFacts,
        Mating,
        MatingMethod,
        Progesterone,
        PuppyCount,
        TemperatureDrop,
        progesterone_ng_per_ml,
    )

    how = MatingMethod(method)
    matings = [Mating(on=day, method=how) for day in mated]
    matings += [
        Mating(on=last, since=first, method=how) for first, last in mated_between
    ]
    dated = [days["ovulation"], days["lh"], days["season"], matings, progesterone]
    if not any(dated) and not scan_age:
        raise click.UsageError(NEEDED)
    counts = [("scan", scan), ("x-ray", x_ray)]
    return BreedingFacts(
        ovulation_on=days["ovulation"],
        lh_on=days["lh"],
        season_on=days["season"],
        matings=tuple(matings),
        progesterone=tuple(
            Progesterone(on=day, ng_per_ml=progesterone_ng_per_ml(value=v, unit=unit))
            for day, v in progesterone
        ),
        aged=tuple(AgedByScan(on=day, days_from_ovulation=n) for day, n in scan_age),
        counts=tuple(PuppyCount(method=by, count=n) for by, n in counts if n),
        litter_size=days["litter_size"],
        temperature_drop=TemperatureDrop(at=temperature_drop)
        if temperature_drop is not None
        else None,
        not_born_by=on - timedelta(days=1) if on is not None else None,
    )


def as_plain(
    facts: "BreedingFacts", *, numbers: "LitterNumbers", on: date | None
) -> dict[str, Any]:
    """The answer as JSON; `low` to `high` hold 80 %."""
    from kennelward.litters import (
        due_date,
        each_fact_says,
        expected_litter,
        is_overdue,
        pregnancy_windows,
        surge_day,
    )

    model = numbers.due_date
    due = due_date(facts, model=model)
    windows = pregnancy_windows(facts, days=numbers.test_days, model=model)
    surge = surge_day(facts, model=model)
    size = expected_litter(facts, model=model.litter_size)
    last = max((mating.on for mating in facts.matings), default=None)
    return {
        "median": due.median.isoformat(),
        "low": due.low.isoformat(),
        "high": due.high.isoformat(),
        "interval": 0.80,
        "because": list(due.because),
        "each_alone": [
            _span(one) | {"fact": one.fact}
            for one in each_fact_says(facts, model=model)
        ],
        "days": [
            {
                "day": (due.first_day + timedelta(days=number)).isoformat(),
                "chance": chance,
            }
            for number, chance in enumerate(due.chances)
            if chance >= SHOWN_FROM
        ],
        "surge": _span(surge),
        "puppies": {
            name: facts.litter_size or getattr(size, name)
            for name in ("likely", "low", "high")
        },
        "strip_earliest": windows.strip_earliest.isoformat(),
        "strip_negative_counts_from": windows.negative_counts_from.isoformat(),
        "scan": [windows.scan.first.isoformat(), windows.scan.last.isoformat()],
        "x_ray_count": [
            windows.x_ray_count.first.isoformat(),
            windows.x_ray_count.last.isoformat(),
        ],
        "overdue": on is not None
        and is_overdue(
            due=due,
            on=on,
            lh_on=facts.lh_on,
            last_mating_on=last,
            days=numbers.test_days,
        ),
    }


def _span(one: Any) -> dict[str, str]:
    return {name: getattr(one, name).isoformat() for name in ("median", "low", "high")}


def _print(told: dict[str, Any]) -> None:
    out = console()
    median = date.fromisoformat(cast(str, told["median"]))
    if told["overdue"]:
        out.print("[bold]Past her time: call the vet now.[/bold]", markup=True)
    out.print(f"[bold]Due {median:%a %d %b %Y}[/bold]", markup=True)
    out.print(f"8 of 10 such pregnancies: {told['low']} to {told['high']}")
    out.print(f"Known from: {', '.join(told['because'])}")
    if len(told["each_alone"]) > 1:
        for one in told["each_alone"]:
            out.print(f"  {one['fact']} alone: {one['low']} to {one['high']}")
    puppies = told["puppies"]
    out.print(
        f"Puppies: {puppies['likely']} likely; 8 of 10 such litters have "
        f"{puppies['low']} to {puppies['high']}"
    )
    counts = told["strip_negative_counts_from"]
    out.print(f"A negative pregnancy strip counts from {counts}; repeat any single one")
    out.print("Scan {} to {}".format(*told["scan"]))
    out.print("X-ray for counting {} to {}".format(*told["x_ray_count"]))
    out.print("A sick bitch, or one past her days, goes to the vet whatever this says.")
