"""Losses, the pattern they may make, and what a puppy needs before it leaves."""

from datetime import timedelta

import pytest

from kennelward import desk
from kennelward.kennel import facts as f
from tests.desk.pages.conftest import NOW, text_of, the_dog
from tests.desk.pages.litters_steps import mara_writes

GOOD_CHIP = "276098106123456"  # 276 is Germany's number in ISO 3166-1


def losses(client):
    """The page's words."""
    return text_of(client.get("/litters/losses/"))


def test_losses_are_judged_by_litter(mara):
    """Three of seven lost beside two whole litters: unusual, no alarm."""
    page = losses(mara)
    assert "3/7 unusual" in page
    assert "Quiet." in page
    assert "A quiet alarm is no proof" in page


def test_the_alarm_says_how_slow_it_is_and_what_it_would_take(mara):
    """Years to notice a doubling at this kennel's litters, and a next litter of six."""
    page = losses(mara)
    assert "litters a year it needs about" in page
    assert "It cries wolf about once in" in page
    assert "A next litter of 6" in page
    assert "Drawn between the published" in page


def test_dams_and_sires_are_compared(mara):
    """Each with its role and a range drawn to the kennel."""
    page = losses(mara)
    own = page[page.index("Dams and sires") :]
    assert "dam" in own
    assert "sire" in own
    assert "one bad litter is no verdict" in own


def test_two_whole_litters_lost_call_the_vet_people_first(mara, book):
    """The caution for people stands before what to do with the dead puppies."""
    dams = [the_dog(book(), name).dog for name in ("Juniper", "Saffron")]
    for days, dam in enumerate(dams, 1):
        mara_writes(
            f.Whelped(litter=desk.new_id(), name=f"L{days}", dam=dam, stillborn=6)
        )
    page = losses(mara)
    assert "Call the vet about these losses" in page
    people = page.index("Blood and birth material of a Brucella suspect")
    assert people < page.index("Keep dead puppies") < page.index("The kennel")
    assert "01632 960142" in page
    asked = page[page.index("What the programme asks") :]
    assert asked.index("People first") < asked.index("Call the vet about the losses")
    assert "Losses of the last year ask for the vet" in text_of(mara.get("/litters/"))


def test_a_late_abortion_asks_for_the_vet_by_itself(mara, book):
    """Day 50 after the mating: the sign, its day of pregnancy, the steps."""
    dam = the_dog(book(), "Fern").dog
    mated = f.Mated(dam=dam, sire_outside="Rook")
    mara_writes(mated, at=NOW - timedelta(days=52))
    mara_writes(f.PregnancyLost(dam=dam), at=NOW - timedelta(days=1))
    page = losses(mara)
    assert "Late abortion" in page
    assert "day 51 of the pregnancy" in page
    assert "test dam and sire for Brucella" in page


def test_an_empty_kennel_has_a_page(fresh):
    """No litter: no alarm drawn, nothing divided by zero."""
    page = losses(fresh)
    assert "No litter is in the book yet" in page
    assert "too few litters to judge" in page


def test_a_dam_with_no_history_stands_near_the_kennel(mara, book):
    """One litter, none lost: her loss is not said to be nothing."""
    dam = the_dog(book(), "Fern").dog
    mara_writes(f.Whelped(litter=desk.new_id(), name="First", dam=dam, born_alive=5))
    page = losses(mara)
    own = page[page.index("Dams and sires") :]
    row = own[own.index("Fern dam") :].split()
    assert row[2] == "1"
    assert 0 < float(row[3]) < 12


def leave(client, litter):
    """The page before they leave."""
    return client.get(f"/litters/{litter}/file/")


def test_the_day_to_leave_has_its_rule_and_source(mara, book, litter):
    """Born 22 November 2026; eight weeks is 17 January 2027."""
    page = text_of(leave(mara, litter))
    assert "Sun 17 Jan 2027" in page
    assert "none yet" in page
    assert "not yet" in page


def test_what_is_due_stands_in_each_puppys_file(mara, litter):
    """Worming of the litter, and each puppy's first vaccine and chip, with sources."""
    page = text_of(leave(mara, litter))
    assert "Due for the litter" in page
    assert "Worm" in page
    assert "First parvovirus vaccine of" in page
    assert "chipped and registered" in page
    assert "ESCCAP" in page


def test_a_puppy_is_added_to_its_litter_with_what_is_known(mara, book, litter):
    """Born on, dam, sire, pen and litter stand filled in."""
    html = mara.get(f"/dogs/add/?litter={litter}").content.decode()
    card = book().litters[litter]
    for value in (litter, card.dam, book().dogs[card.dam].pen):
        assert f'<option value="{value}" selected>' in html
    assert 'value="2026-11-22"' in html


def test_a_puppy_kept_apart_does_not_leave_by_age(mara, book):
    """Old enough, but under suspicion."""
    card = next(c for c in book().litters.values() if c.name == "Clover's litter")
    dog = next(d for d in card.dogs if book().dogs[d].is_here)
    mara_writes(f.KeptApart(dog=dog, infection="giardia", why="positive strip"))
    assert "does not leave until the vet has spoken" in text_of(
        leave(mara, card.litter)
    )


@pytest.mark.parametrize("role", ["owner", "hand", "vet"])
def test_every_role_sees_the_file(as_role, litter, role):
    """Only who may change a dog is led to its name and chip."""
    page = leave(as_role(role), litter)
    assert page.status_code == 200
    assert ("Name, chip" in text_of(page)) is (role != "vet")


def change(client, book, dog, **said):
    """The form of a dog with some fields changed."""
    known = book().dogs[dog].described
    form = {
        "entry": desk.new_id(),
        "name": known.name,
        "sex": known.sex,
        "born_on": known.born_on.isoformat(),
        "origin": known.origin,
        "breed": known.breed,
        "chip": known.chip,
        "litter": known.litter,
        "dam": known.dam,
    }
    return client.post(f"/dogs/{dog}/change/", form | said)


@pytest.mark.parametrize(
    ("typed", "complaint"),
    [
        ("27609810612345", "15 digits, got 14"),
        ("276999999999999", "274877906943 at most"),  # ISO 11784: 38 bits
        ("999000000000123", "no dog carries it"),
        ("0123456789", "10 digits is an older kind"),
        ("27609810612345A", "digits only"),
    ],
)
def test_a_chip_that_cannot_be_right_is_asked_about_once(
    mara, book, litter, typed, complaint
):
    """Said in words; written only after somebody read the chip again."""
    dog = book().litters[litter].dogs[0]
    page = change(mara, book, dog, chip=typed)
    assert complaint in text_of(page)
    assert "I read the chip again" in text_of(page)
    assert book().dogs[dog].described.chip != typed
    assert change(mara, book, dog, chip=typed, chip_is_so="on").status_code == 302
    assert book().dogs[dog].described.chip == typed
    assert complaint in text_of(mara.get(f"/dogs/{dog}/"))
    again = change(mara, book, dog, name="Renamed", chip=typed)
    assert again.status_code == 302, "an unchanged chip is not asked about again"


def test_a_good_chip_is_taken_with_the_spaces_of_a_reader(mara, book, litter):
    """ "276 0981 0612 3456", as readers show it; twice is refused."""
    one, two = book().litters[litter].dogs[:2]
    spaced = "276 0981 0612-3456"
    assert change(mara, book, one, chip=spaced).status_code == 302
    assert book().dogs[one].described.chip == GOOD_CHIP
    page = text_of(change(mara, book, two, chip=GOOD_CHIP))
    assert "already belongs to" in page
