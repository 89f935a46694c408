"""What the book says follows from its entries, whatever is struck or late."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.terms import Call
from tests.kennel.making import Story, moment


@pytest.fixture
def story() -> Story:
    told = Story()
    told.tell(0, f.KennelDescribed(name="Test", time_zone="Pacific/Auckland"))
    told.pen("a")
    told.pen("b")
    told.dog("moss")
    return told


def test_a_dog_is_where_it_was_last_moved(story):
    story.tell(0, f.Arrived(dog="moss", pen="a"))
    story.tell(3, f.Moved(dog="moss", pen="b"))
    card = story.book.dogs["moss"]
    assert card.pen == "b"
    assert [(stay.pen, stay.until) for stay in card.stays] == [
        ("a", moment(3)),
        ("b", None),
    ]
    assert story.book.pens["b"].dogs_now == ("moss",)
    assert story.book.pens["a"].dogs_now == ()


def test_a_move_recorded_late_takes_its_place_by_when_it_happened(story):
    story.tell(0, f.Arrived(dog="moss", pen="a"))
    story.tell(5, f.Moved(dog="moss", pen="a"))
    story.tell(2, f.Moved(dog="moss", pen="b"))  # written down after the move of day 5
    assert [stay.pen for stay in story.book.dogs["moss"].stays] == ["a", "b", "a"]


def test_an_arrival_dated_before_the_dog_was_described_still_counts(story):
    story.dog("late", day=4)
    story.tell(1, f.Arrived(dog="late", pen="a"))
    assert story.book.dogs["late"].pen == "a"


def test_struck_entries_count_no_more_and_stay_visible(story):
    story.tell(0, f.Arrived(dog="moss", pen="a"))
    move = story.tell(1, f.Moved(dog="moss", pen="b"))
    story.tell(2, f.Struck(entry=move, why="wrong dog"))
    book = story.book
    assert book.dogs["moss"].pen == "a"
    assert move in book.struck
    assert any(entry.entry == move for entry in book.entries)


def test_striking_a_strike_brings_the_entry_back(story):
    move = story.tell(1, f.Moved(dog="moss", pen="b"))
    strike = story.tell(2, f.Struck(entry=move, why="wrong dog"))
    story.tell(3, f.Struck(entry=strike, why="it was right"))
    assert story.book.dogs["moss"].pen == "b"


def test_a_superseding_entry_takes_the_place_of_the_first(story):
    first = story.tell(1, f.Weighed(dog="moss", weight_g=900))
    story.tell(1, f.Weighed(dog="moss", weight_g=9000), supersedes=first)
    weights = [entry.fact.weight_g for entry in story.book.of(f.Weighed)]
    assert weights == [9000]


def test_the_day_is_the_kennels_own(story):
    """08:00 UTC on 2 March is 21:00 the same day in Auckland; 12:00 UTC is 3 March."""
    assert story.book.day_of(moment(0)) == date(2026, 3, 2)
    assert story.book.day_of(moment(0) + timedelta(hours=4)) == date(2026, 3, 3)


def test_until_leaves_out_what_happened_after(story):
    story.tell(0, f.Arrived(dog="moss", pen="a"))
    story.tell(3, f.Moved(dog="moss", pen="b"))
    assert Book.from_entries(story.entries, until=moment(2)).dogs["moss"].pen == "a"


def test_signs_run_from_their_first_day_until_well_again(story):
    story.tell(1, f.Observed(dog="moss", signs=("soft-stool",)))
    story.tell(2, f.Observed(dog="moss", signs=("soft-stool", "vomiting")))
    card = story.book.dogs["moss"]
    assert card.signs == ("soft-stool", "vomiting")
    assert card.signs_since == date(2026, 3, 3)
    story.tell(3, f.Observed(dog="moss", signs=()))
    assert story.book.dogs["moss"].signs_since is None


def test_a_dog_that_left_is_in_no_pen_and_may_come_back(story):
    story.tell(0, f.Arrived(dog="moss", pen="a"))
    story.tell(2, f.Left(dog="moss"))
    gone = story.book
    assert not gone.dogs["moss"].is_here
    assert gone.pens["a"].dogs_now == ()
    story.tell(4, f.Arrived(dog="moss", pen="b"))
    assert story.book.dogs["moss"].is_here
    assert story.book.dogs["moss"].pen == "b"


def test_entries_about_a_dog_include_its_tests_courses_and_litter(story):
    story.tell(1, f.Whelped(litter="l1", name="March", dam="moss", born_alive=5))
    story.dog("pup", day=2, litter="l1", dam="moss", born_on=date(2026, 3, 3))
    story.tell(
        3, f.TestStarted(test="t1", dog="pup", kit="giardia-antigen", sample="faeces")
    )
    story.tell(3.01, f.StripSeen(test="t1", call="negative", minutes=8))
    kinds = [type(entry.fact).__name__ for entry in story.book.about("pup")]
    assert kinds == ["Whelped", "DogDescribed", "TestStarted", "StripSeen"]
    assert "Whelped" in [
        type(entry.fact).__name__ for entry in story.book.about("moss")
    ]


def leaflet(kit: str = "giardia-antigen", **facts: object) -> f.LeafletConfirmed:
    values: dict[str, object] = {
        "drops": 3,
        "read_from_minutes": 5.0,
        "read_until_minutes": 10.0,
        "storage_low_c": 2.0,
        "storage_high_c": 30.0,
        "samples": ("faeces", "blood"),
    }
    return f.LeafletConfirmed(kit=kit, **(values | facts))


@pytest.mark.parametrize(
    ("person", "reader", "kit", "call"),
    [
        ("negative", None, "giardia-antigen", Call.NEGATIVE),
        (None, "positive", "giardia-antigen", Call.POSITIVE),
        ("negative", "positive", "giardia-antigen", Call.POSITIVE),
        ("positive", "negative", "giardia-antigen", Call.POSITIVE),
        ("negative", "trace", "brucella-antibody", Call.TRACE),
        ("negative", "invalid", "giardia-antigen", Call.INVALID),
        ("positive", "invalid", "giardia-antigen", Call.POSITIVE),
        ("negative", "unreadable", "giardia-antigen", Call.NEGATIVE),
        ("unreadable", "positive", "giardia-antigen", Call.POSITIVE),
        ("unreadable", "negative", "giardia-antigen", Call.UNREADABLE),
        ("negative", "positive", "relaxin", Call.UNREADABLE),
    ],
)
def test_the_more_cautious_call_drives_precautions(story, person, reader, kit, call):
    story.tell(0, leaflet(kit))
    story.tell(1, f.TestStarted(test="t1", dog="moss", kit=kit, sample="faeces"))
    if person:
        story.tell(1.005, f.StripSeen(test="t1", call=person, minutes=7))
    if reader:
        story.tell(1.005, f.StripMeasured(test="t1", call=reader, minutes=7))
    assert story.book.tests["t1"].call is call


@pytest.mark.parametrize(
    ("facts", "minutes", "call", "reasons"),
    [
        ({}, 7, "negative", ()),
        ({}, 5, "negative", ()),
        ({}, 10, "negative", ()),
        ({}, 4.9, "negative", ("read-early",)),
        ({}, 10.1, "positive", ("read-late",)),
        ({}, 3, "positive", ("read-early",)),
        ({"positive_may_be_called_early": True}, 3, "positive", ()),
        ({"positive_may_be_called_early": True}, 3, "negative", ("read-early",)),
        ({}, 7, "invalid", ("no-control-line",)),
        ({}, 7, "unreadable", ("unreadable",)),
        ({"samples": ("blood",)}, 7, "negative", ("wrong-sample",)),
    ],
)
def test_a_reading_outside_the_leaflet_is_void(story, facts, minutes, call, reasons):
    story.tell(0, leaflet(**facts))
    start = f.TestStarted(test="t1", dog="moss", kit="giardia-antigen", sample="faeces")
    story.tell(1, start)
    story.tell(1.005, f.StripSeen(test="t1", call=call, minutes=minutes))
    card = story.book.tests["t1"]
    assert card.void_reasons == reasons
    assert card.counts is (not reasons)


def test_without_a_confirmed_leaflet_no_minutes_count(story):
    story.tell(1, f.TestStarted(test="t1", dog="moss", kit="relaxin", sample="blood"))
    story.tell(1.005, f.StripSeen(test="t1", call="positive", minutes=7))
    assert story.book.tests["t1"].void_reasons == ("no-leaflet",)


@pytest.mark.parametrize(("day", "void"), [(0, ()), (1, ("expired",))])
def test_the_printed_date_is_the_last_day_of_use(story, day, void):
    """The kennel's own day counts: 08:00 UTC is the same day in Auckland in March."""
    story.tell(0, leaflet())
    story.tell(
        0,
        f.LotReceived(
            lot="lot",
            kit="giardia-antigen",
            lot_code="A1",
            expires_on=date(2026, 3, 2),
            count=5,
        ),
    )
    story.tell(
        day,
        f.TestStarted(
            test="t1", dog="moss", kit="giardia-antigen", sample="faeces", lot="lot"
        ),
    )
    story.tell(day + 0.005, f.StripSeen(test="t1", call="negative", minutes=7))
    assert story.book.tests["t1"].void_reasons == void
    assert story.book.lots["lot"].count_left == 4


def test_counting_the_shelf_sets_what_is_left(story):
    story.tell(
        0,
        f.LotReceived(
            lot="lot",
            kit="relaxin",
            lot_code="A1",
            expires_on=date(2027, 1, 1),
            count=5,
        ),
    )
    story.tell(1, f.LotCounted(lot="lot", count=2, why="three got wet"))
    assert story.book.lots["lot"].count_left == 2


@given(st.permutations(range(8)))
def test_the_order_of_receipt_does_not_change_the_cards(order):
    """Late offline entries give the same kennel as prompt ones."""
    told = Story()
    told.pen("a")
    told.pen("b")
    for number, dog in enumerate(("moss", "fern", "burr")):
        told.dog(dog)
        told.tell(1 + number, f.Arrived(dog=dog, pen="a"))
    told.tell(9, f.Moved(dog="moss", pen="b"))
    assert len(told.entries) >= 8
    shuffled = [told.entries[i] for i in order] + told.entries[8:]
    one, other = told.book, Book.from_entries(shuffled)
    assert dict(one.dogs) == dict(other.dogs)
