"""An entry that cannot be true is refused with one sentence that says what to do."""

from datetime import date

import pytest

from kennelward.kennel import Entry, check_entry
from kennelward.kennel import facts as f
from kennelward.terms import BadInput
from tests.kennel.making import Story, moment


@pytest.fixture
def story() -> Story:
    told = Story()
    told.pen("a")
    told.dog("moss")
    told.dog("rex", sex="dog", chip="276000000000001")
    told.tell(0, f.Arrived(dog="moss", pen="a"))
    return told


def entry(
    fact: f.Fact, *, day: float = 1, id: str = "new", supersedes: str = ""
) -> Entry:
    return Entry(
        entry=id, kennel="kennel-1", fact=fact, happened_at=moment(day),
        recorded_at=moment(day), recorded_by="Ada", supersedes=supersedes,
    )  # fmt: skip


def dog(**facts: object) -> f.DogDescribed:
    values: dict[str, object] = {
        "dog": "new", "name": "New", "sex": "dog", "born_on": date(2024, 1, 1),
    }  # fmt: skip
    return f.DogDescribed(**(values | facts))


@pytest.mark.parametrize(
    ("fact", "says"),
    [
        (f.Moved(dog="moss", pen="nowhere"), "no pen with the id 'nowhere'"),
        (f.Moved(dog="ghost", pen="a"), "no dog with the id 'ghost'"),
        (dog(born_on=date(1999, 1, 1)), "a dog of 27 years"),
        (dog(born_on=date(2026, 3, 20)), "in the future"),
        (dog(chip="276000000000001"), "already belongs to Rex"),
        (dog(dam="rex"), "the dam must be a bitch"),
        (dog(dam="new"), "no dog with the id 'new'"),
        (f.Mated(dam="rex", sire="moss"), "is not a bitch"),
        (f.Mated(dam="moss"), "name the sire"),
        (f.StripSeen(test="t", call="negative"), "no such test"),
        (
            f.TestStarted(test="t", dog="moss", kit="k", sample="s", lot="l"),
            "no such lot",
        ),
        (f.Struck(entry="ghost", why="typo"), "not in this book"),
        (f.VetCalled(dog="moss", note="null \x00 byte"), "null character"),
        (f.PuppyDied(litter="ghost"), "no such litter"),
    ],
)
def test_what_cannot_be_is_refused(story, fact, says):
    with pytest.raises(BadInput, match=says):
        check_entry(story.book, entry(fact), now=moment(1))


def test_a_duplicate_id_and_a_future_date_are_refused(story):
    with pytest.raises(BadInput, match="already in the book"):
        check_entry(story.book, entry(dog(), id="entry-0"), now=moment(1))
    with pytest.raises(BadInput, match="in the future"):
        check_entry(story.book, entry(dog(), day=2), now=moment(1))


def test_a_phone_clock_a_minute_ahead_is_let_in(story):
    check_entry(story.book, entry(dog(), day=1 + 1 / 1440), now=moment(1))


def test_leaving_twice_is_refused_and_moving_a_dog_that_left(story):
    story.tell(1, f.Left(dog="moss"))
    for fact, says in (
        (f.Left(dog="moss"), "has left already"),
        (f.Moved(dog="moss", pen="a"), "not in the kennel"),
    ):
        with pytest.raises(BadInput, match=says):
            check_entry(story.book, entry(fact, day=2), now=moment(2))


def test_a_reading_before_the_start_and_a_second_own_reading_are_refused(story):
    story.tell(2, f.TestStarted(test="t", dog="moss", kit="relaxin", sample="blood"))
    seen = f.StripSeen(test="t", call="positive", minutes=6)
    with pytest.raises(BadInput, match="before the test was started"):
        check_entry(story.book, entry(seen, day=1), now=moment(3))
    first = story.tell(2.01, seen)
    with pytest.raises(BadInput, match="in the book already"):
        check_entry(story.book, entry(seen, day=2.02), now=moment(3))
    check_entry(story.book, entry(seen, day=2.02, supersedes=first), now=moment(3))


def test_a_giving_outside_the_course_is_refused(story):
    story.tell(
        0,
        f.CourseWritten(
            course="c",
            dog="moss",
            text="as on the label",
            prescribed_by="Vet",
            starts_on=date(2026, 3, 2),
            ends_on=date(2026, 3, 6),
            times_a_day=2,
        ),
    )
    good = f.GivenTicked(course="c", day=date(2026, 3, 3), nth=2)
    check_entry(story.book, entry(good), now=moment(1))
    for bad in (
        f.GivenTicked(course="c", day=date(2026, 3, 7), nth=1),
        f.GivenTicked(course="c", day=date(2026, 3, 3), nth=3),
    ):
        with pytest.raises(BadInput):
            check_entry(story.book, entry(bad), now=moment(1))


@pytest.mark.parametrize(
    "name", ["Zoë “the Bean” O'Hara", "🐕‍🦺", "x" * 200, "<b>bold</b>"]
)
def test_odd_names_are_let_in(story, name):
    check_entry(story.book, entry(dog(name=name)), now=moment(1))


@pytest.mark.parametrize("name", ["", "   ", "x" * 201])
def test_empty_and_endless_names_are_refused(name):
    with pytest.raises(BadInput):
        dog(name=name)
