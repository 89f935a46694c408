"""The kennel as the book has it, and what is to come: from the made-up book."""

from dataclasses import replace
from datetime import date

import pytest

from kennelward.demo import demo_book
from kennelward.handbook import load_handbook
from kennelward.kennel import Book
from kennelward.rounds import AheadSettings
from kennelward.rounds.ahead_view import uid_of
from kennelward.rounds.kennel_ahead import kennel_ahead
from kennelward.spread.kennel_now import events_of
from kennelward.spread.model import NEVER, Happens, PlaceKind
from kennelward.terms import OutOfRange

ON = date(2026, 11, 25)


@pytest.fixture(scope="module")
def book():
    return Book.from_entries(demo_book(on=ON))


def ahead(book, infection="parvovirus", **settings):
    """The look ahead, with settings."""
    return kennel_ahead(
        book=book,
        handbook=load_handbook(),
        infection=infection,
        on=ON,
        settings=AheadSettings(**settings),
    )


def resident(found, name):
    return next(dog for dog in found.kennel.residents if dog.name == name)


def test_every_dog_that_is_here_is_in_it_once(book):
    kennel = ahead(book).kennel
    assert sorted(dog.name for dog in kennel.residents) == sorted(
        card.name for card in book.dogs_here
    )
    assert len({dog.uid for dog in kennel.residents}) == len(book.dogs_here)


def test_places_stand_in_walking_order_with_yards_of_soil(book):
    kennel = ahead(book).kennel
    names = [place.name for place in kennel.places]
    assert names.index("Whelping room") < names.index("Row 1")
    yard = kennel.places[names.index("Top yard")]
    assert (yard.kind, yard.surface) == (PlaceKind.YARD, "soil")
    assert kennel.places[kennel.quarantine_place].kind is PlaceKind.QUARANTINE
    assert kennel.places[kennel.isolation_place].kind is PlaceKind.ISOLATION


def test_only_suspects_and_those_they_met_may_carry_it(book):
    found = ahead(book)
    suspects = {book.name_of(dog) for dog in found.suspects}
    may = {dog.name for dog in found.kennel.residents if dog.infected}
    assert suspects == {"Figgy", "Mossy"}
    assert suspects <= may
    assert len(may) < len(found.kennel.residents) / 2
    named = {known.name for known in found.infected}
    assert {d.infected for d in found.kennel.residents if d.infected} == named
    assert any("assumed, not known" in str(says) for says in found.assumed)


def test_everyone_may_carry_it_where_that_is_asked(book):
    found = ahead(book, infection="giardia", everyone_may_carry=True)
    assert all(dog.infected for dog in found.kennel.residents)


def test_puppies_leave_and_grown_dogs_stay(book):
    found = ahead(book)
    pup, grown = resident(found, "Wren"), resident(found, "Bramble")
    assert pup.leaves_on == 63 - 28  # born 28 days ago
    assert pup.litter >= 0
    assert grown.leaves_on == NEVER
    assert grown.is_vaccinated
    assert not pup.is_vaccinated


def test_litters_due_come_where_the_dam_lives(book):
    kennel = ahead(book).kennel
    dams = {uid_of(card.dog): card.name for card in book.dogs_here}
    assert {dams[litter.dam] for litter in kennel.litters} == {"Juniper", "Saffron"}
    for litter in kennel.litters:
        uids = [litter.puppy_uid(n) for n in range(litter.puppies)]
        assert len(set(uids)) == litter.puppies
        assert not set(uids) & set(dams)


def test_the_year_behind_is_carried_on_or_what_the_user_says(book):
    usual = ahead(book).kennel
    assert 0 < sum(not dog.is_visitor for dog in usual.coming) < 10
    asked = ahead(book, arrivals_a_year=24, visits_a_year=0).kennel
    assert sum(not dog.is_visitor for dog in asked.coming) == 12
    assert not any(dog.is_visitor for dog in asked.coming)
    assert [dog.on for dog in asked.coming] == sorted(dog.on for dog in asked.coming)


def test_a_longer_look_begins_with_the_shorter_one(book):
    """Dogs to come keep their uids, so runs stay paired."""
    short, long = ahead(book, days=90).kennel, ahead(book, days=180).kennel
    assert set(short.coming) <= set(long.coming)


def test_dogs_apart_go_back_but_never_with_a_lifelong_infection(book):
    gut, brucella = ahead(book), ahead(book, infection="brucella")
    back = [dog for dog in gut.kennel.residents if dog.back_on < NEVER]
    assert back
    for dog in back:
        assert gut.kennel.places[dog.back_to].kind is PlaceKind.HOME
    assert all(dog.back_on == NEVER for dog in brucella.kennel.residents)


def test_yards_are_shared_in_turns_unless_they_are_not(book):
    kennel = ahead(book).kennel
    assert kennel.yards
    assert ahead(book, shares_yards=False).kennel.yards == ()
    together = {}
    for use in kennel.yards:
        home = next(d.home for d in kennel.residents if d.uid == use.dog)
        together.setdefault((use.yard, use.turn), set()).add(home)
    assert all(len(homes) == 1 for homes in together.values())


def test_the_calendar_is_the_same_object_for_the_same_kennel(book):
    """So that the simulator packs it once for all worlds."""
    kennel = ahead(book).kennel
    assert events_of(kennel) is events_of(replace(kennel))
    kinds = {event.what for event in events_of(kennel)}
    assert {Happens.VISIT, Happens.WASH, Happens.CLEAN, Happens.BIRTH} <= kinds
    assert all(0 <= event.at < kennel.days for event in events_of(kennel))


def test_a_visitor_goes_home_and_only_puppies_are_sold(book):
    kennel = ahead(book, visits_a_year=12).kennel
    visitors = {dog.uid for dog in kennel.coming if dog.is_visitor}
    assert visitors
    leaves = [e for e in events_of(kennel) if e.what.name == "LEAVE"]
    assert {e.a for e in leaves} & visitors
    assert not {e.a for e in leaves if e.x > 0} & visitors


@pytest.mark.parametrize(
    "wrong", [{"days": 3}, {"arrivals_a_year": -1}, {"isolation_room": 5000}]
)
def test_settings_that_cannot_be(wrong):
    with pytest.raises(OutOfRange):
        AheadSettings(**wrong)
