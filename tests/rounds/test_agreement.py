"""First looks beside the reader's first readable photo, person by person."""

from datetime import UTC, datetime, timedelta

import pytest

from kennelward.kennel import Book, Entry
from kennelward.kennel import facts as f
from kennelward.rounds import eyes_agreement

AT = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)


def book(*strips):
    """Strips as (person, what they saw, what the reader called, photo after photo)."""
    made = []

    def add(fact, *, by="Mara", supersedes=""):
        made.append(
            Entry(
                entry=f"e{len(made)}", kennel="k", fact=fact,
                happened_at=AT + timedelta(minutes=len(made)),
                recorded_at=AT + timedelta(minutes=len(made)), recorded_by=by,
            )
        )  # fmt: skip

    add(f.DogDescribed(dog="d", name="Ash", sex="dog", born_on=AT.date()))
    for i, (person, seen, *photos) in enumerate(strips):
        test = f"t{i}"
        add(f.TestStarted(test=test, dog="d", kit="giardia-antigen", sample="faeces"))
        if seen:
            add(f.StripSeen(test=test, call=seen), by=person)
        for call in photos:
            add(f.StripMeasured(test=test, call=call), by="reader")
    return Book.from_entries(made)


def test_each_person_has_a_row_of_their_own():
    rows = eyes_agreement(
        book(
            ("Mara", "positive", "positive"),
            ("Mara", "negative", "positive"),
            ("Mara", "positive", "negative"),
            ("Jon", "negative", "negative"),
        )
    )
    jon, mara = rows
    assert (jon.person, jon.both, jon.same) == ("Jon", 1, 1)
    assert (mara.both, mara.same) == (3, 1)
    assert (mara.reader_saw_more, mara.person_saw_more) == (1, 1)
    # Wilson's limits for 1 of 3. Newcombe 1998, Stat Med 17:857-872, the formula.
    assert (mara.share.low, mara.share.high) == pytest.approx(
        (0.0615, 0.7923), abs=2e-4
    )


@pytest.mark.parametrize(
    "strip",
    [
        ("Mara", "positive"),
        ("Mara", "positive", "unreadable"),
        ("Mara", "unreadable", "positive"),
        ("Mara", "", "positive"),
    ],
)
def test_a_strip_that_one_of_them_could_not_call_is_not_counted(strip):
    assert eyes_agreement(book(strip)) == ()


def test_the_first_readable_photo_counts():
    (row,) = eyes_agreement(
        book(("Mara", "negative", "unreadable", "negative", "positive"))
    )
    assert row.same == 1
