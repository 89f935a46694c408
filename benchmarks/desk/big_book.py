"""A large made-up book: 300 dogs, years of daily entries. For measuring only."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

from numpy.random import Generator

from kennelward.kennel import Entry
from kennelward.kennel import facts as f
from kennelward.terms import stream

KENNEL = "0192f000-0000-7000-8000-00000000b16b"
DOGS, PENS = 300, 60
PEN_KINDS = (
    ("adults",) * 44 + ("litter",) * 6 + ("quarantine",) * 5 + ("isolation",) * 5
)
KITS = (
    ("giardia-antigen", "faeces"),
    ("parvovirus-antigen", "faeces"),
    ("relaxin", "blood"),
    ("brucella-antibody", "blood"),
)
FIRST_HOUR = timedelta(hours=7)


def facts_of_first_day(first: date) -> Iterator[f.Fact]:
    """The kennel, its pens, kits and dogs."""
    yield f.KennelDescribed(
        name="Three Hundred", time_zone="UTC", vet_phone="01632 960003"
    )
    for number, kind in enumerate(PEN_KINDS):
        yield f.PenDescribed(pen=f"pen-{number}", name=f"Pen {number}", pen_kind=kind)
    for kit, sample in KITS:
        yield f.LeafletConfirmed(
            kit=kit,
            drops=3,
            read_from_minutes=5,
            read_until_minutes=10,
            storage_low_c=4,
            storage_high_c=30,
            samples=(sample,),
        )
        yield f.LotReceived(
            lot=f"lot-{kit}",
            kit=kit,
            lot_code="LONG",
            count=9_000,
            expires_on=first + timedelta(days=4000),
        )
    for number in range(DOGS):
        sex = "dog" if number % 6 == 0 else "bitch"
        yield f.DogDescribed(
            dog=f"dog-{number}",
            name=f"Dog {number}",
            sex=sex,
            is_breeding=True,
            born_on=first - timedelta(days=400 + number * 3),
        )
        yield f.Arrived(dog=f"dog-{number}", pen=f"pen-{number % 44}")


def facts_of_a_day(day: date, *, number: int, rng: Generator) -> Iterator[f.Fact]:
    """What 300 dogs give to write down on one day: about 22 entries."""

    def dog() -> str:
        return f"dog-{rng.integers(DOGS)}"

    yield f.RoundDone(pens=tuple(f"pen-{index}" for index in range(PENS)))
    for _ in range(9):
        yield f.Weighed(dog=dog(), weight_g=float(rng.integers(4_000, 30_000)))
    for _ in range(3):
        yield f.Moved(dog=dog(), pen=f"pen-{rng.integers(44)}")
    for _ in range(4):
        signs = (("soft-stool",), (), ("cough",), ())[int(rng.integers(4))]
        yield f.Observed(dog=dog(), signs=signs)
    kit, sample = KITS[int(rng.integers(len(KITS)))]
    test = f"test-{number}"
    yield f.TestStarted(test=test, dog=dog(), kit=kit, sample=sample, lot=f"lot-{kit}")
    call = "positive" if rng.random() < 0.1 else "negative"
    yield f.StripSeen(test=test, call=call, minutes=6)
    if number % 5 == 0:
        yield f.Mated(dam=f"dog-{1 + 6 * int(rng.integers(50))}", sire="dog-0")
    yield f.Cleaned(pen=f"pen-{rng.integers(PENS)}", product="steam")
    yield f.Wormed(dog=dog())


def big_book(*, until: date, days: int) -> list[Entry]:
    """Entries of `days` days before `until`, oldest first."""
    rng = stream(2026, "bench.big-book")
    first = until - timedelta(days=days)
    entries: list[Entry] = []

    def write(day: date, facts: Iterator[f.Fact]) -> None:
        moment = datetime(day.year, day.month, day.day, tzinfo=UTC) + FIRST_HOUR
        for second, fact in enumerate(facts):
            at = moment + timedelta(seconds=second)
            entries.append(
                Entry(
                    entry=f"big-{len(entries):07d}",
                    kennel=KENNEL,
                    fact=fact,
                    happened_at=at,
                    recorded_at=at,
                    recorded_by="bench",
                )
            )

    write(first, facts_of_first_day(first))
    for number in range(1, days):
        day = first + timedelta(days=number)
        write(day, facts_of_a_day(day, number=number, rng=rng))
    return entries
