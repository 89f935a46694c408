"""Tracing on the made-up book: paths, ranks, what cannot be, and what is left out."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest

from kennelward.demo import demo_book
from kennelward.handbook import load_handbook
from kennelward.kennel import Book, Stay
from kennelward.rounds.trace_and_contain import trace_and_contain
from kennelward.rounds.trace_log import trace_log
from kennelward.rounds.trace_signs import signs_in
from kennelward.terms import BadInput

ON = date(2026, 11, 25)


@pytest.fixture(scope="module")
def book():
    return Book.from_entries(demo_book(on=ON))


def dog_called(book, name):
    return next(card.dog for card in book.dogs.values() if card.name == name)


def with_stay(book, name, **changes):
    """The book with one more stay of a dog, as a late offline entry could make it."""
    dog = dog_called(book, name)
    card = book.dogs[dog]
    values = {"dog": dog, "pen": card.stays[-1].pen, "since": card.stays[-1].since}
    stay = Stay(**{**values, "entry": "the-wrong-entry", **changes})
    stays = tuple(
        sorted(
            (*card.stays, stay), key=lambda s: (s.since, s.entry == "the-wrong-entry")
        )
    )
    return replace(book, dogs={**book.dogs, dog: replace(card, stays=stays)})


def log_of(book):
    return trace_log(book=book, first=ON - timedelta(days=60), on=ON)


def test_a_sound_book_has_no_faults_and_no_dog_is_in_two_pens(book):
    log = log_of(book)
    assert log.faults == ()
    for one, other in zip(log.stays, log.stays[1:], strict=False):
        if one.dog == other.dog:
            assert one.until == other.since


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"pen": "no-such-pen"}, "not in the book"),
        ({"since": datetime(2026, 11, 2, tzinfo=UTC), "born": date(2026, 11, 9)}, "before it was born"),
        ({"pen": "other"}, "at the same moment"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_reported_with_day_and_id_and_left_out(book, changes, says):
    changes = dict(changes)
    born = changes.pop("born", None)
    if changes.get("pen") == "other":
        mine = book.dogs[dog_called(book, "Willow")].stays[-1].pen
        changes["pen"] = next(pen for pen in sorted(book.pens) if pen != mine)
    wrong = with_stay(book, "Willow", **changes)
    if born is not None:
        dog = dog_called(book, "Willow")
        card = wrong.dogs[dog]
        described = replace(card.described, born_on=born, born_on_is_guess=False)
        wrong = replace(
            wrong, dogs={**wrong.dogs, dog: replace(card, described=described)}
        )
    log = trace_log(book=wrong, first=ON - timedelta(days=3650), on=ON)
    assert any(
        fault.entries == ("the-wrong-entry",) and says in str(fault.says)
        for fault in log.faults
    )
    assert "the-wrong-entry" not in {stay.entry for stay in log.stays}


@pytest.mark.slow
def test_tracing_the_made_up_kennel(book):
    """Hazel shared Row 4 with Rowan and Willow: they come first, and it says why."""
    hazel = dog_called(book, "Hazel")
    found = trace_and_contain(
        book=book, handbook=load_handbook(), dog=hazel, infection="giardia", on=ON,
        seed=1, runs=4096,
    )  # fmt: skip
    assert found.has_chances
    assert found.effective >= 200
    first = found.isolate_first()
    assert {book.name_of(one.dog) for one in first[:2]} == {"Rowan", "Willow"}
    assert all("Row 4 with Hazel" in str(one.reasons[0]) for one in first[:2])
    assert all(0 < one.chance.infected_now < 1 for one in first)
    for one in first:
        missing = one.if_unwritten
        assert 0 <= missing.low <= missing.infected_now <= missing.high <= 1
        assert missing.low < missing.high
    assert {one.dog for one in first} == {one.dog for one in found.test_first()}
    again = trace_and_contain(
        book=book, handbook=load_handbook(), dog=hazel, infection="giardia", on=ON,
        seed=1, runs=4096,
    )  # fmt: skip
    assert again == found


@pytest.mark.slow
def test_a_dog_that_was_found_too_is_named_so_and_tested_last(book):
    """Figgy had a positive of its own: a test of it says little more."""
    mossy, figgy = dog_called(book, "Mossy"), dog_called(book, "Figgy")
    found = trace_and_contain(
        book=book, handbook=load_handbook(), dog=mossy, infection="parvovirus", on=ON,
        seed=1,
    )  # fmt: skip
    (one,) = (dog for dog in found.dogs if dog.dog == figgy)
    assert one.has_positive
    assert str(one.reasons[0]).startswith("A suspect itself since ")
    last = found.test_first()[-1]
    assert last.has_positive
    assert {dog.dog for dog in found.test_first()} == {
        dog.dog for dog in found.isolate_first()
    }
    assert found.isolate_first()[-1].dog != figgy


@pytest.mark.slow
def test_tracing_goes_on_without_the_wrong_entry(book):
    wrong = with_stay(book, "Willow", pen="no-such-pen")
    found = trace_and_contain(
        book=wrong, handbook=load_handbook(), dog=dog_called(book, "Hazel"),
        infection="giardia", on=ON, seed=1, runs=2048,
    )  # fmt: skip
    assert [fault.entries for fault in found.faults] == [("the-wrong-entry",)]
    assert "Willow" in {book.name_of(one.dog) for one in found.isolate_first()}


def test_an_unknown_dog_or_infection_is_refused(book):
    handbook = load_handbook()
    with pytest.raises(BadInput, match="no dog"):
        trace_and_contain(
            book=book, handbook=handbook, dog="x", infection="giardia", on=ON, seed=1
        )
    with pytest.raises(BadInput, match="infection must be one of"):
        trace_and_contain(
            book=book, handbook=handbook, dog=dog_called(book, "Hazel"),
            infection="plague", on=ON, seed=1,
        )  # fmt: skip


def test_signs_in_the_book_are_weighed_once_a_spell(book):
    """Every spell has a day of the log, a dog of the log, and speaks for the infection."""
    handbook, log = load_handbook(), log_of(book)
    for infection in ("parvovirus", "giardia", "brucella"):
        found = signs_in(log=log, handbook=handbook, infection=infection)
        assert all(sign.ratio > 1 for sign in found)
        assert all(0 <= sign.day < log.days for sign in found)
    by_dog = {}
    for sign in signs_in(log=log, handbook=handbook, infection="giardia"):
        by_dog.setdefault(sign.dog, []).append(sign.day)
    assert by_dog, "the made-up book holds dogs with loose stool"
    for days in by_dog.values():
        gaps = [b - a for a, b in pairwise(days)]
        assert all(gap > 14 for gap in gaps)
