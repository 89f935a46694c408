"""Random books that a kennel could have written, for properties that must always hold."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from hypothesis import strategies as st

from kennelward.kennel import Book, Entry
from kennelward.kennel import facts as f

TODAY = date(2026, 11, 25)
START = datetime(2026, 11, 25, 8, tzinfo=UTC)
DOGS = ("a", "b", "c", "pup")
PENS = {"home": "adults", "iso": "isolation", "nest": "whelping", "guest": "visitor"}
KITS = ("giardia-antigen", "parvovirus-antigen", "relaxin", "brucella-antibody")
Told = tuple[list[Any], list[Any], list[Any], list[Any]]
INFECTIONS = ("giardia", "parvovirus", "brucella")

dogs = st.sampled_from(DOGS)
pens = st.sampled_from(tuple(PENS))
signs = st.lists(st.sampled_from(f.SIGNS), max_size=3, unique=True).map(tuple)
dangers = st.lists(st.sampled_from(f.DANGERS), max_size=2, unique=True).map(tuple)
calls = st.sampled_from(("positive", "negative", "trace", "invalid", "unreadable"))
infections = st.sampled_from(INFECTIONS)

single = st.one_of(
    st.builds(f.Observed, dog=dogs, signs=signs),
    st.builds(f.DangerChecked, dog=dogs, dangers=dangers),
    st.builds(f.VetCalled, dog=dogs),
    st.builds(f.Moved, dog=dogs, pen=pens),
    st.builds(f.Arrived, dog=dogs, pen=pens, has_consent=st.booleans()),
    st.builds(f.Left, dog=dogs),
    st.builds(f.KeptApart, dog=dogs, infection=st.sampled_from(("", *INFECTIONS))),
    st.builds(f.ApartEnded, dog=dogs, on_whose_word=st.just("Dr Ward")),
    st.builds(f.Bathed, dog=dogs),
    st.builds(f.Cleaned, pen=pens),
    st.builds(f.Wormed, dog=dogs),
    st.builds(f.Vaccinated, dog=dogs, against=st.just(("parvovirus",))),
    st.builds(f.Mated, dam=dogs, sire=st.sampled_from(("", "b"))),
    st.builds(
        f.CycleNoted, dam=dogs, what=st.sampled_from(("season-start", "lh-surge"))
    ),
    st.builds(f.PregnancyLost, dam=dogs),
    st.builds(f.RoundDone, pens=st.just(("home",))),
    st.builds(
        f.OtherResult,
        dog=dogs,
        infection=infections,
        method=st.sampled_from(("flotation", "laboratory-serology", "pcr")),
        call=st.sampled_from(("positive", "negative")),
    ),
)
moments = st.integers(min_value=-400, max_value=0)
strips = st.tuples(
    moments, st.tuples(dogs, st.sampled_from(KITS), calls, st.integers(1, 30))
)
courses = st.tuples(moments, st.tuples(dogs, infections, st.integers(0, 20)))
litters = st.tuples(
    moments, st.tuples(dogs, st.integers(0, 8), st.integers(0, 8), st.integers(0, 3))
)


@st.composite
def books(draw: st.DrawFn, order: tuple[str, ...] = DOGS) -> Book:
    """A book of four dogs and up to some forty happenings over 400 days."""
    told = draw(
        st.tuples(
            st.lists(st.tuples(moments, single), max_size=25),
            st.lists(strips, max_size=6),
            st.lists(courses, max_size=2),
            st.lists(litters, max_size=2),
        )
    )
    return book_of(told, order=order)


def _courses(told: list[Any]) -> list[tuple[int, f.Fact]]:
    """The vet's courses of what was told."""
    facts: list[tuple[int, f.Fact]] = []
    for number, (day, (dog, infection, days)) in enumerate(told):
        starts = TODAY + timedelta(days=day)
        facts.append(
            (
                day,
                f.CourseWritten(
                    course=f"c{number}",
                    dog=dog,
                    text="as on the label",
                    prescribed_by="Dr Ward",
                    starts_on=starts,
                    ends_on=starts + timedelta(days=days),
                    times_a_day=2,
                    infection=infection,
                ),
            )
        )
    return facts


def book_of(told: Told, *, order: tuple[str, ...] = DOGS) -> Book:
    """The book of what was told; dogs are entered in `order`."""
    happened, strip_list, course_list, litter_list = told
    facts: list[tuple[int, f.Fact]] = [(-500, f.KennelDescribed(name="Any"))]
    facts += [
        (-500, f.PenDescribed(pen=p, name=p, pen_kind=k)) for p, k in PENS.items()
    ]
    facts += [(-499, leaflet(kit)) for kit in KITS[:3]]  # one leaflet is never read
    for dog in order:
        facts.append((-498, described(dog)))
        facts.append((-498, f.Moved(dog=dog, pen="home")))
    facts += happened
    for number, (day, (dog, kit, call, minutes)) in enumerate(strip_list):
        test = f"t{number}"
        facts.append((day, f.TestStarted(test=test, dog=dog, kit=kit, sample="blood")))
        facts.append((day, f.StripSeen(test=test, call=call, minutes=float(minutes))))
    facts += _courses(course_list)
    for number, (day, (dam, alive, dead, died)) in enumerate(litter_list):
        litter = f"l{number}"
        facts.append(
            (
                day,
                f.Whelped(
                    litter=litter,
                    name=litter,
                    dam=dam,
                    born_alive=alive,
                    stillborn=dead,
                ),
            )
        )
        facts += [(day + 1, f.PuppyDied(litter=litter))] * died
    return Book.from_entries(
        Entry(
            entry=f"{day}-{type(fact).kind}-{getattr(fact, 'dog', '')}-{number}"
            if day != -498
            else f"{type(fact).kind}-{getattr(fact, 'dog', '')}",
            kennel="kennel-1",
            fact=fact,
            happened_at=START + timedelta(days=day),
            recorded_at=START,
            recorded_by="Ada",
        )
        for number, (day, fact) in enumerate(facts)
    )


def described(dog: str) -> f.DogDescribed:
    """One of the four dogs: two bitches, a visiting dog, a puppy of the first litter."""
    return f.DogDescribed(
        dog=dog,
        name=dog,
        sex="dog" if dog == "b" else "bitch",
        born_on=TODAY - timedelta(days=60 if dog == "pup" else 1200),
        is_breeding=dog != "c",
        origin="visiting" if dog == "b" else "born-here",
        litter="l0" if dog == "pup" else "",
    )


def leaflet(kit: str) -> f.LeafletConfirmed:
    """A leaflet read by the kennel."""
    return f.LeafletConfirmed(
        kit=kit,
        drops=3,
        read_from_minutes=5,
        read_until_minutes=10,
        storage_low_c=2,
        storage_high_c=30,
        samples=("blood",),
    )
