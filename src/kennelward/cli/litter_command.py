"""`kennelward litter`: the litters of the book, or how one of them grows."""

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
from kennelward.terms import BadInput

if TYPE_CHECKING:
    from kennelward.handbook import Handbook
    from kennelward.kennel import Book, LitterCard
    from kennelward.litters import Trend


@click.command()
@click.argument("name", required=False)
@on_option
@click.option("--kennel", default=None, help="Which kennel, where there are several.")
@data_option
@json_option
def command(
    name: str | None,
    on: date | None,
    kennel: str | None,
    data: Path | None,
    as_json: bool,
) -> None:
    """Every litter, or with NAME one litter and how each of its puppies grows.

    Uses the kennel's own book, or the made-up demo's where there is none.
    """
    book, handbook, _, is_demo = the_book(data, kennel=kennel, on=on)
    cards = sorted(
        book.litters.values(), key=lambda card: card.whelped.happened_at, reverse=True
    )
    if name is not None:
        cards = [card for card in cards if name.casefold() == card.name.casefold()]
        if not cards:
            known = ", ".join(card.name for card in book.litters.values()) or "none"
            raise BadInput(f"no litter {name!r} in this book; there are: {known}")
    told = [
        as_plain(card, book=book, handbook=handbook, with_puppies=bool(name))
        for card in cards
    ]
    if as_json:
        print_json(told)
        return
    out = console()
    if is_demo:
        out.print("A made-up kennel: nothing here is real.", style="dim")
    for one in told:
        out.print(
            f"{one['name']}: {one['dam']}, born {one['born_on']}, "
            f"{one['born_alive']} alive, {one['stillborn']} stillborn, "
            f"{one['died']} died; may leave from {one['leave_from']}",
            markup=False,
        )
        for puppy in one.get("puppies", ()):
            grams = "no weight" if puppy["grams"] is None else f"{puppy['grams']} g"
            why = "; ".join(code.replace("-", " ") for code in puppy["warnings"])
            why = f" ({why})" if why else ""
            out.print(f"  {puppy['name']}: {grams}, {puppy['flag']}{why}", markup=False)


def as_plain(
    card: "LitterCard", *, book: "Book", handbook: "Handbook", with_puppies: bool
) -> dict[str, Any]:
    """One litter as JSON; weights in grams, smoothed."""
    from kennelward.rounds import ready_to_leave

    told: dict[str, Any] = {
        "name": card.name,
        "dam": book.name_of(card.dam),
        "born_on": book.happened_on(card.whelped).isoformat(),
        "born_alive": card.born_alive,
        "stillborn": card.stillborn,
        "died": len(card.deaths),
    }
    born_on = book.happened_on(card.whelped)
    leaves = ready_to_leave(handbook=handbook, born_on=born_on, on=born_on)
    told["leave_from"] = leaves.on.isoformat()
    told["leave_source"] = leaves.rule.source
    if with_puppies:
        from kennelward.rounds import litter_growth

        told["puppies"] = [
            {
                "name": book.name_of(puppy.dog),
                "grams": round(puppy.trend.weight_g) if puppy.trend else None,
                **_trend(puppy.trend),
                "flag": puppy.flag.value,
                "birth_class": puppy.birth_class.value if puppy.birth_class else None,
                "warnings": [warning.code for warning in puppy.warnings],
                "because": [
                    {
                        "code": warning.code,
                        "figure": warning.figure,
                        "rule": warning.value,
                        "source": handbook.programmes.values[
                            warning.value
                        ].latest.source,
                    }
                    for warning in puppy.warnings
                ],
            }
            for puppy in litter_growth(book=book, handbook=handbook, litter=card.litter)
            if book.dogs[puppy.dog].is_here
        ]
    return told


def _trend(trend: "Trend | None") -> dict[str, float | None]:
    """The daily gain as a share, with its 90 % interval."""
    names = ("daily_gain", "daily_gain_low", "daily_gain_high")
    return {name: getattr(trend, name) if trend else None for name in names}
