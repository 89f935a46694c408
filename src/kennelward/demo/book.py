"""The made-up book as a whole."""

from datetime import date

from kennelward.demo.bench import write_bench
from kennelward.demo.dogs import write_arrivals, write_residents, write_seasons
from kennelward.demo.illness import write_figgy, write_hazel, write_rounds
from kennelward.demo.litters import write_litters
from kennelward.demo.place import write_place, write_shelf
from kennelward.demo.words import Pencil
from kennelward.kennel import Entry


def demo_book(*, on: date) -> tuple[Entry, ...]:
    """Every entry of the made-up kennel, in the order received.

    Dates count back from `on`; the last entry is of the evening before it. Dogs, pens,
    lots, litters and tests have the same ids on every day.
    """
    pencil = Pencil(on=on)
    write_place(pencil)
    write_residents(pencil)
    write_shelf(pencil)
    write_litters(pencil)
    write_arrivals(pencil)
    write_seasons(pencil)
    write_rounds(pencil)
    write_hazel(pencil)
    write_figgy(pencil)
    write_bench(pencil)
    return pencil.entries()
