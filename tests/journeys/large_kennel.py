"""A made-up kennel of 70 dogs in 20 pens, moved about daily, with long names among them."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from numpy.random import Generator

from kennelward.kennel import Entry
from kennelward.kennel import facts as f
from kennelward.terms import stream
from tests.journeys.steps import PASSWORD

KENNEL = "0192f000-0000-7000-8000-00000000c70a"
USER = "ada"
DOGS, DAYS = 70, 90
MOVES_A_DAY = 2
LONG_NAME = "Champion Windermere Rosalind of the Seven Alders and Little Brook"
PENS = (
    ("Row 1", "adults"), ("Row 2", "adults"), ("Row 3", "adults"), ("Row 4", "adults"),
    ("Behind the old milking parlour, left of the water trough", "adults"),
    ("Row 6", "adults"), ("Row 7", "adults"), ("Row 8", "adults"),
    ("Schweinestallanbautrennwandboxnummerneun", "adults"),
    ("Row 10", "adults"), ("Row 11", "adults"), ("Row 12", "adults"),
    ("Whelping 1", "whelping"), ("Whelping 2", "whelping"),
    ("Litter run", "litter"), ("Grass yard", "yard"), ("Sand yard", "yard"),
    ("Quarantine", "quarantine"), ("Sick bay 1", "isolation"), ("Sick bay 2", "isolation"),
)  # fmt: skip
ADULT_PENS = 12
FOUND = "dog-7"  # positive, with soft stools before it
ALSO_FOUND = "dog-31"
NEGATIVE = ("dog-19", "dog-43", "dog-2")


def name_of(number: int) -> str:
    """Every tenth is long, as in a pedigree; one of them without a space."""
    if number == 3:
        return "Alderbrookwindermererosalindtheseventeenth"
    return f"{LONG_NAME} {number}" if number % 10 == 5 else f"Dog {number}"


def facts_of_first_day(first: date) -> Iterator[f.Fact]:
    """The kennel, its pens, and the dogs in twelve of them."""
    yield f.KennelDescribed(
        name="Seven Alders", time_zone="UTC", vet_name="Dr Aspen",
        vet_phone="01632 960001", out_of_hours_phone="01632 960002",
    )  # fmt: skip
    for number, (name, kind) in enumerate(PENS):
        yield f.PenDescribed(
            pen=f"pen-{number}", name=name, pen_kind=kind, order=number
        )
    for number in range(DOGS):
        yield f.DogDescribed(
            dog=f"dog-{number}",
            name=name_of(number),
            sex="dog" if number % 6 == 0 else "bitch",
            is_breeding=True,
            born_on=first - timedelta(days=200 + number * 20),
        )
        yield f.Moved(dog=f"dog-{number}", pen=f"pen-{number % ADULT_PENS}")


def facts_of_a_day(number: int, *, rng: Generator) -> Iterator[f.Fact]:
    """Two moves; a pen cleaned; and near the end signs and results."""
    for _ in range(MOVES_A_DAY):
        dog, pen = int(rng.integers(DOGS)), int(rng.integers(ADULT_PENS))
        yield f.Moved(dog=f"dog-{dog}", pen=f"pen-{pen}")
    yield f.Cleaned(pen=f"pen-{number % ADULT_PENS}", product="steam")
    before = DAYS - number
    if before == 6:
        yield f.Observed(dog=FOUND, signs=("soft-stool",))
    if before == 4:
        yield positive(FOUND)
        yield f.OtherResult(
            dog=NEGATIVE[0], infection="giardia", method="flotation", call="negative"
        )
    if before == 2:
        yield positive(ALSO_FOUND)
        for dog in NEGATIVE[1:]:
            yield f.OtherResult(
                dog=dog, infection="giardia", method="flotation", call="negative"
            )


def positive(dog: str) -> f.OtherResult:
    """A Giardia result of a laboratory."""
    return f.OtherResult(
        dog=dog, infection="giardia", method="flotation", call="positive"
    )


def large_book(*, on: date) -> list[Entry]:
    """Its entries of the last 90 days, oldest first."""
    rng = stream(2026, "journeys.large-kennel")
    first = on - timedelta(days=DAYS)
    entries: list[Entry] = []
    for number in range(DAYS):
        day = first + timedelta(days=number)
        seven = datetime(day.year, day.month, day.day, 7, tzinfo=UTC)
        facts = facts_of_a_day(number, rng=rng) if number else facts_of_first_day(first)
        for second, fact in enumerate(facts):
            at = seven + timedelta(seconds=second)
            entries.append(
                Entry(
                    entry=f"large-{len(entries):06d}",
                    kennel=KENNEL,
                    fact=fact,
                    happened_at=at,
                    recorded_at=at,
                    recorded_by=USER,
                )
            )
    return entries


def write_large_book(data: Path, *, on: date) -> None:
    """Into an empty data folder, with its owner. Opens the book: in a process of its own."""
    from kennelward import desk

    desk.open_book(data)
    desk.load_entries(large_book(on=on))
    desk.add_person(kennel=KENNEL, username=USER, password=PASSWORD, role="owner")


if __name__ == "__main__":
    import sys

    write_large_book(Path(sys.argv[1]), on=datetime.now(UTC).date())
