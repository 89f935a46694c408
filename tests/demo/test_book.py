"""The made-up book: it could be written by hand, day by day, and shows what it promises."""

from datetime import UTC, date, datetime, timedelta

import pytest

from kennelward.demo import KENNEL, KENNEL_NAME, demo_book, demo_jobs, fixed_id
from kennelward.kennel import Book, check_entry, entry_as_json, entry_from_json
from kennelward.kennel.facts import (
    Arrived,
    CourseWritten,
    DangerChecked,
    GivenTicked,
    LotCounted,
    Mated,
    Moved,
    OtherResult,
    PuppyDied,
    RoundDone,
    Struck,
    Vaccinated,
    Weighed,
)
from kennelward.stock import lots_of, needs
from kennelward.terms import Call

ON = date(2026, 11, 25)


@pytest.fixture(scope="module")
def entries():
    return demo_book(on=ON)


@pytest.fixture(scope="module")
def book(entries):
    return Book.from_entries(entries)


def named(book, name):
    (card,) = (card for card in book.dogs.values() if card.name == name)
    return card


def strip(book, name, kit):
    (card,) = (t for t in book.tests_of(named(book, name).dog) if t.kit == kit)
    return card


def test_each_entry_could_be_written_after_those_before_it(entries):
    """The same checks as at the desk, at the moment each entry was written down."""
    for number, entry in enumerate(entries):
        check_entry(Book.from_entries(entries[:number]), entry, now=entry.recorded_at)


@pytest.mark.parametrize("on", [ON, date(2028, 3, 1), date(2027, 1, 1)])
def test_nothing_is_dated_after_the_evening_before(on):
    midnight = datetime(on.year, on.month, on.day, tzinfo=UTC)
    found = demo_book(on=on)
    assert max(entry.recorded_at for entry in found) < midnight
    assert min(entry.happened_at for entry in found) > midnight - timedelta(days=210)


def test_the_same_day_gives_the_same_book_and_ids_are_unique(entries):
    assert demo_book(on=ON) == entries
    assert len({entry.entry for entry in entries}) == len(entries)
    assert {entry.kennel for entry in entries} == {KENNEL}


def test_dogs_keep_their_ids_from_day_to_day(book):
    later = Book.from_entries(demo_book(on=ON + timedelta(days=40)))
    assert set(later.dogs) == set(book.dogs)
    assert set(later.tests) == set(book.tests)
    assert named(book, "Pip").dog == fixed_id("dog Pip")


def test_every_entry_goes_through_json_and_back(entries):
    assert [entry_from_json(entry_as_json(entry)) for entry in entries] == list(entries)


def test_it_says_that_it_is_made_up(book):
    assert book.kennel is not None
    assert "made-up" in book.kennel.name
    assert book.kennel.name == KENNEL_NAME


def test_about_sixteen_adults_three_litters_arrivals_and_a_visiting_stud(book):
    adults = [card for card in book.dogs_here if card.age_months(ON) >= 12]
    residents = [card for card in adults if card.arrived is None]
    assert len(residents) == 15
    assert len(book.litters) == 3
    arrived = {card.name for card in book.dogs.values() if card.arrived is not None}
    assert arrived == {"Nettle", "Pip", "Dot", "Corvin"}
    visiting = [card for card in book.dogs.values() if card.is_visiting]
    assert [(card.name, card.described.sex) for card in visiting] == [("Corvin", "dog")]


def test_some_months_of_history_of_every_sort(book):
    first, last = book.live[0], book.live[-1]
    assert (last.happened_at - first.happened_at).days > 120
    assert len(book.of(RoundDone)) > 120
    assert len(book.of(Weighed)) > 150
    for kind in (
        Moved,
        Vaccinated,
        Mated,
        Arrived,
        LotCounted,
        DangerChecked,
        PuppyDied,
    ):
        assert book.of(kind), kind
    assert len(book.leaflets) == 4


def test_a_struck_weight_no_longer_counts(book):
    (strike,) = book.of(Struck)
    assert strike.fact.entry in book.struck
    weights = [
        entry.fact.weight_g
        for entry in book.of(Weighed)
        if entry.fact.dog == named(book, "Tansy").dog
    ]
    assert 1_260 not in weights
    assert 12_600 in weights


def test_all_four_kits_were_used(book):
    assert {card.kit for card in book.tests.values()} == set(book.leaflets)


def test_a_faint_positive_beside_a_negative_flotation(book):
    pip = strip(book, "Pip", "giardia-antigen")
    assert (pip.call, pip.is_faint, pip.counts) == (Call.POSITIVE, True, True)
    (flotation,) = (
        entry.fact for entry in book.of(OtherResult) if entry.fact.dog == pip.dog
    )
    assert (flotation.method, flotation.call) == ("flotation", "negative")


def test_a_pregnancy_test_too_early_and_one_late_enough(book):
    """Clinical rule: a negative counts from 33 days after the last mating."""
    for name, days in (("Saffron", 23), ("Juniper", 33)):
        card = strip(book, name, "relaxin")
        matings = [entry for entry in book.of(Mated) if entry.fact.dam == card.dog]
        since = book.happened_on(card.started) - book.happened_on(matings[-1])
        assert since.days == days
    assert strip(book, "Saffron", "relaxin").call is Call.NEGATIVE
    assert strip(book, "Juniper", "relaxin").call is Call.POSITIVE


def test_a_brucella_negative_inside_its_window(book):
    """Clinical rule: a clearing sample is drawn 84 days or more after exposure."""
    corvin = strip(book, "Corvin", "brucella-antibody")
    assert corvin.call is Call.NEGATIVE
    arrived = named(book, "Corvin").arrived
    assert arrived is not None
    exposed = arrived.fact.last_outside_contact_on
    assert (book.happened_on(corvin.started) - exposed).days < 84


def test_a_strip_of_an_expired_lot_is_void(book):
    fern = strip(book, "Fern", "giardia-antigen")
    assert fern.call is Call.NEGATIVE
    assert fern.void_reasons == ("expired",)


def test_a_failed_test_and_an_unreadable_one(book):
    assert strip(book, "Mossy", "parvovirus-antigen").void_reasons == (
        "no-control-line",
    )
    assert strip(book, "Dot", "giardia-antigen").void_reasons == ("unreadable",)


def test_the_vets_course_is_in_the_vets_words_and_has_ended(book):
    (entry,) = book.of(CourseWritten)
    course = entry.fact
    assert course.text == (
        "As on the label of 20 November, morning and evening with food."
    )
    assert course.ends_on == ON - timedelta(days=1)  # cyst test 24 to 48 h later: now
    (card,) = book.courses.values()
    assert len(card.given) == len(book.of(GivenTicked)) == 9  # one of ten was missed


def test_no_drug_and_no_dose_stands_anywhere(entries):
    text = " ".join(str(entry_as_json(entry)["fact"]).lower() for entry in entries)
    for word in (" mg", "mg/", "ml/", "azole", "cillin", "bendazol", "tablet"):
        assert word not in text


def test_a_sick_puppy_is_apart_and_its_littermate_has_left(book):
    figgy, linnet = named(book, "Figgy"), named(book, "Linnet")
    assert figgy.apart is not None
    assert book.pens[figgy.pen].described.pen_kind == "isolation"
    assert not linnet.is_here
    assert linnet.described.litter == figgy.described.litter


def test_every_job_has_its_test_in_the_book(book):
    jobs = demo_jobs(on=ON)
    assert len({job.photo for job in jobs}) == len(jobs) == 9
    for job in jobs:
        card = book.tests[job.test]
        assert (card.dog, card.kit, card.lot, card.sample) == (
            job.dog,
            job.kit,
            job.lot,
            job.sample,
        )
        assert card.minutes == job.minutes
        assert job.taken_at > card.started.happened_at


def test_the_shelf_holds_an_expired_lot_and_one_that_expires_this_month(book):
    found = {need.kit: need for need in needs(lots=lots_of(book), due=(), on=ON)}
    assert found["giardia-antigen"].days[0].expired == 5
    assert found["parvovirus-antigen"].expiring == 3
