"""Who fell ill at the made-up kennel, what the vet wrote, and the daily walk."""

from kennelward.demo.dogs import dog_id
from kennelward.demo.place import FIRST_DAY, PENS, pen_id
from kennelward.demo.words import HAND, VET, Pencil, fixed_id
from kennelward.kennel.facts import (
    Bathed,
    Cleaned,
    CourseWritten,
    GivenTicked,
    KeptApart,
    Moved,
    Observed,
    RoundDone,
    VetCalled,
)

COURSE = fixed_id("course Hazel")
COURSE_STARTS, COURSE_ENDS = 5, 1  # days ago
MISSED = (3, 2)  # the second giving, three days ago, was never ticked

# dog, days ago, time, signs (none: well again)
SIGNS_SEEN = (
    ("Rowan", 92, "07:20", ("cough",)),
    ("Rowan", 84, "07:20", ()),
    ("Bramble", 61, "07:25", ("off-food",)),
    ("Bramble", 60, "07:25", ()),
    ("Hazel", 9, "07:20", ("soft-stool",)),
    ("Hazel", 3, "07:20", ()),
    ("Fern", 3, "07:20", ("soft-stool",)),
    ("Pip", 2, "07:40", ("soft-stool",)),
    ("Thistle", 2, "07:30", ("soft-stool",)),
    ("Mossy", 1, "17:40", ("diarrhoea",)),
    ("Figgy", 1, "17:45", ("vomiting", "listless", "off-food")),
)


def write_rounds(pencil: Pencil) -> None:
    """One walk through all pens every morning, in the order they are done."""
    pens = tuple(pen_id(name) for name, *_ in PENS)
    for days_ago in range(FIRST_DAY - 1, 0, -1):
        pencil.write(days_ago, "07:15", RoundDone(pens=pens), by=HAND, after_minutes=45)
    for dog, days_ago, clock, signs in SIGNS_SEEN:
        pencil.write(days_ago, clock, Observed(dog=dog_id(dog), signs=signs), by=HAND)


def write_hazel(pencil: Pencil) -> None:
    """Hazel's *Giardia*: own pen, the vet's course to the letter, bath and cleaning."""
    hazel = dog_id("Hazel")
    pencil.write(
        8, "09:55", KeptApart(dog=hazel, infection="giardia", why="strip positive")
    )
    pencil.write(8, "10:00", Moved(dog=hazel, pen=pen_id("Far pen 1"), why="own pen"))
    pencil.write(
        8, "10:30", VetCalled(dog=hazel, note="will see her and write what to give")
    )
    label_day = f"{pencil.day(COURSE_STARTS):%d %B}".lstrip("0")
    pencil.write(
        COURSE_STARTS,
        "09:15",
        CourseWritten(
            course=COURSE,
            dog=hazel,
            text=f"As on the label of {label_day}, morning and evening with food.",
            prescribed_by=VET,
            starts_on=pencil.day(COURSE_STARTS),
            ends_on=pencil.day(COURSE_ENDS),
            times_a_day=2,
            infection="giardia",
        ),
    )
    for days_ago in range(COURSE_STARTS, COURSE_ENDS - 1, -1):
        for nth, clock in ((1, "09:30"), (2, "19:30")):
            if (days_ago, nth) != MISSED:
                pencil.write(
                    days_ago,
                    clock,
                    GivenTicked(course=COURSE, day=pencil.day(days_ago), nth=nth),
                    by=HAND,
                )
    for days_ago in (5, 3, 1):
        pencil.write(
            days_ago,
            "08:40",
            Cleaned(pen=pen_id("Far pen 1"), product="steam", contact_minutes=1),
            by=HAND,
        )
    pencil.write(1, "15:00", Bathed(dog=hazel, note="whole coat, dried warm"), by=HAND)


def write_figgy(pencil: Pencil) -> None:
    """Figgy and Mossy: apart at once, the vet rung before any strip."""
    for name, pen, clock in (
        ("Figgy", "Far pen 2", "17:50"),
        ("Mossy", "Far pen 3", "17:55"),
    ):
        dog = dog_id(name)
        pencil.write(
            1,
            clock,
            KeptApart(
                dog=dog, infection="parvovirus", why="ill, not waiting for a strip"
            ),
        )
        pencil.write(
            1, clock, Moved(dog=dog, pen=pen_id(pen), why="apart, warm, alone")
        )
        pencil.write(
            1,
            "18:05",
            VetCalled(
                dog=dog,
                note="bring both within the hour; a strip meanwhile if it delays nothing",
            ),
        )
