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
# Share of strips with a line. Of our choosing: a kennel where many dogs carry Giardia,
# parvovirus is about, and a Brucella reactor comes up once in a year or two.
SHARE_POSITIVE = {
    "giardia-antigen": 0.2,
    "parvovirus-antigen": 0.05,
    "relaxin": 0.5,
    "brucella-antibody": 0.008,
}
FIRST_HOUR = timedelta(hours=7)
LITTER_EVERY_DAYS = 9  # about 40 litters a year
PUPS, WEEKS_HERE = 5, 9
SIGNALS = '{"profile":[' + ",".join(["0.123"] * 300) + "]}"  # as long as a real one


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


def facts_of_litters(day: date, *, number: int, rng: Generator) -> Iterator[f.Fact]:
    """A litter every nine days; its puppies are weighed, vaccinated, and leave."""
    if number % LITTER_EVERY_DAYS == 0:
        litter = f"litter-{number}"
        dam = f"dog-{1 + 6 * int(rng.integers(50))}"
        yield f.Whelped(
            litter=litter,
            name=f"Litter {number}",
            dam=dam,
            sire="dog-0",
            born_alive=PUPS,
            stillborn=int(rng.random() < 0.1),
        )
        for pup in range(PUPS):
            yield f.DogDescribed(
                dog=f"pup-{number}-{pup}",
                name=f"Pup {number}-{pup}",
                sex="bitch" if pup % 2 else "dog",
                born_on=day,
                litter=litter,
                dam=dam,
                sire="dog-0",
            )
            yield f.Moved(dog=f"pup-{number}-{pup}", pen=f"pen-{44 + number % 6}")
    for weeks in range(1, WEEKS_HERE + 1):
        born = number - 7 * weeks
        if born <= 0 or born % LITTER_EVERY_DAYS:
            continue
        for pup in range(PUPS):
            dog = f"pup-{born}-{pup}"
            if weeks == WEEKS_HERE:
                yield f.Left(dog=dog, why="sold")
                continue
            yield f.Weighed(dog=dog, weight_g=300.0 + 500 * weeks)
            if weeks == 6:
                yield f.Vaccinated(dog=dog, against=("parvovirus",))
            if weeks in (2, 4, 8):
                yield f.Wormed(dog=dog)


def facts_of_a_course(day: date, *, number: int, rng: Generator) -> Iterator[f.Fact]:
    """Every tenth day a vet's course of five days; each giving is ticked."""
    if number % 10 == 0:
        yield f.CourseWritten(
            course=f"course-{number}",
            dog=f"dog-{rng.integers(DOGS)}",
            text="as the vet wrote it",
            prescribed_by="The vet",
            starts_on=day,
            ends_on=day + timedelta(days=4),
            times_a_day=2,
            infection="giardia",
        )
    written = number - number % 10
    if written and number % 10 < 5:
        for nth in (1, 2):
            yield f.GivenTicked(course=f"course-{written}", day=day, nth=nth)


def facts_of_a_day(day: date, *, number: int, rng: Generator) -> Iterator[f.Fact]:
    """What 300 dogs give to write down on one day: about 25 entries."""

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
    call = "positive" if rng.random() < SHARE_POSITIVE[kit] else "negative"
    yield f.StripSeen(test=test, call=call, minutes=6)
    yield f.StripMeasured(test=test, call=call, minutes=6, measured=SIGNALS)
    if number % 7 == 0:
        result = "positive" if rng.random() < 0.2 else "negative"
        yield f.OtherResult(
            dog=dog(), infection="giardia", method="flotation", call=result
        )
    yield from facts_of_litters(day, number=number, rng=rng)
    yield from facts_of_a_course(day, number=number, rng=rng)
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
