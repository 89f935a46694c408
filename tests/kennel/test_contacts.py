"""Contacts follow from stays, litters and matings; a slow twin counts days one by one."""

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from kennelward.kennel import ContactHow, contacts, quarantine_until, round_order
from kennelward.kennel import facts as f
from kennelward.terms import DateWindow
from tests.kennel.making import Story

MARCH = DateWindow(date(2026, 3, 1), date(2026, 3, 31))


def three_dogs() -> Story:
    told = Story()
    for pen in ("a", "b"):
        told.pen(pen)
    for dog in ("moss", "fern", "burr"):
        told.dog(dog, born_on=date(2022, 1, 1))
    return told


def test_dogs_that_shared_a_pen_are_contacts_on_the_days_they_did():
    told = three_dogs()
    told.tell(0, f.Arrived(dog="moss", pen="a"))
    told.tell(2, f.Arrived(dog="fern", pen="a"))
    told.tell(5, f.Moved(dog="moss", pen="b"))
    (met,) = contacts(told.book, "moss", window=MARCH)
    assert (met.dog, met.how, met.pen) == ("fern", ContactHow.SAME_PEN, "a")
    assert (met.first, met.last) == (date(2026, 3, 4), date(2026, 3, 7))


def test_a_pen_used_after_counts_only_within_the_days_asked_for():
    told = three_dogs()
    told.tell(0, f.Arrived(dog="moss", pen="a"))
    told.tell(2, f.Moved(dog="moss", pen="b"))
    told.tell(6, f.Arrived(dog="fern", pen="a"))
    book = told.book
    assert contacts(book, "moss", window=MARCH) == ()
    assert contacts(book, "moss", window=MARCH, used_after_days=3) == ()
    (met,) = contacts(book, "moss", window=MARCH, used_after_days=4)
    assert met.how is ContactHow.PEN_USED_AFTER
    assert contacts(book, "fern", window=MARCH, used_after_days=4) == ()


def test_littermates_dam_and_mates_are_contacts():
    told = three_dogs()
    told.tell(1, f.Whelped(litter="l", name="March", dam="moss", born_alive=2))
    for pup in ("one", "two"):
        told.dog(pup, day=1, litter="l", dam="moss", born_on=date(2026, 3, 3))
    told.dog("rex", sex="dog")
    told.tell(9, f.Mated(dam="moss", sire="rex"))
    book = told.book
    assert {c.dog for c in contacts(book, "one", window=MARCH)} == {"two", "moss"}
    assert [c.dog for c in contacts(book, "rex", window=MARCH)] == ["moss"]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["moss", "fern", "burr"]),
            st.sampled_from(["a", "b"]),
            st.integers(0, 20),
        ),
        max_size=12,
    )
)
def test_same_pen_contacts_agree_with_asking_every_hour(moves):
    """Slow twin: at each hour of three weeks, look who stands in which pen."""
    told = three_dogs()
    for number, (dog, pen, day) in enumerate(moves):
        told.tell(day + number / 100, f.Moved(dog=dog, pen=pen))
    book = told.book
    found = {c.dog for c in contacts(book, "moss", window=MARCH) if c.how == "same pen"}
    met = set()
    stays = {dog: book.dogs[dog].stays for dog in book.dogs}
    for mine in stays["moss"]:
        for dog in ("fern", "burr"):
            for theirs in stays[dog]:
                if theirs.pen != mine.pen:
                    continue
                hour = mine.since
                end = min(
                    mine.until or hour + timedelta(days=30), hour + timedelta(days=30)
                )
                while hour < end:
                    if theirs.since <= hour and (
                        theirs.until is None or hour < theirs.until
                    ):
                        met.add(dog)
                        break
                    hour += timedelta(
                        minutes=14
                    )  # moves lie 14.4 minutes apart or more
    assert found == met


def test_the_quarantine_clock_restarts_with_each_case():
    """Fourteen days from the last contact, or from the last case in the group."""
    day = date(2026, 3, 2)
    assert quarantine_until(contact_days=[], case_days=[day], days=14) is None
    assert quarantine_until(contact_days=[day], case_days=[], days=14) == date(
        2026, 3, 16
    )
    later = day + timedelta(days=5)
    assert quarantine_until(
        contact_days=[day], case_days=[day, later], days=14
    ) == date(2026, 3, 21)


def test_the_round_goes_from_whelping_to_isolation():
    told = three_dogs()
    for kind in (
        "isolation",
        "quarantine",
        "visitor",
        "pregnant",
        "litter",
        "whelping",
    ):
        told.pen(kind, kind)
    told.tell(1, f.Arrived(dog="moss", pen="a"))
    told.tell(1, f.Observed(dog="moss", signs=("diarrhoea",)))
    told.tell(1, f.Arrived(dog="fern", pen="litter"))
    told.tell(1, f.KeptApart(dog="fern", infection="parvovirus"))
    order = [card.pen for card in round_order(told.book)]
    assert order == [
        "whelping", "pregnant", "b", "visitor", "a", "quarantine", "isolation", "litter",
    ]  # fmt: skip
