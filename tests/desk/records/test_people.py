"""People and roles: who may log in, who may write and strike what."""

import pytest

from kennelward import desk
from kennelward.desk.access import MAY_WRITE
from kennelward.kennel import facts as f
from kennelward.terms import BadInput
from tests.desk.conftest import AT, PASSWORD


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"username": "mara"}, "logs in as"),
        ({"username": "MARA"}, "logs in as"),
        ({"username": "m2", "full_name": "mara lind"}, "called"),
        ({"username": "a b"}, "no space"),
        ({"username": ""}, "empty"),
        ({"username": "a\x00b"}, "null"),
        ({"username": "x" * 151}, "150 is the most"),
        ({"password": "short"}, "short"),
        ({"password": "password123"}, "common"),
        ({"role": "king"}, "role must be"),
    ],
)
def test_bad_people_are_refused(kennel, more, says):
    """Each with what to do."""
    good = {"username": "jonas", "password": PASSWORD, "role": "hand"}
    with pytest.raises(BadInput, match=says):
        desk.add_person(kennel=kennel, **(good | more))
    assert len(desk.people(kennel)) == 1


def test_a_kennel_keeps_an_owner(owner, kennel):
    """The last one can neither be switched off nor made a hand."""
    for change in ({"is_active": False}, {"role": "hand"}):
        with pytest.raises(BadInput, match="needs an owner"):
            desk.change_person(kennel=kennel, person=owner.pk, **change)
    (only,) = desk.people(kennel)
    assert (only.role, only.is_active) == ("owner", True)


HOUND = "0192f000-0000-7000-8000-000000000001"
WRITES = [  # what, who may
    (f.KennelDescribed(name="New name"), {"owner"}),
    (f.PenDescribed(pen="p", name="Pen", pen_kind="adults"), {"owner"}),
    (f.Moved(dog=HOUND, pen="yard"), {"owner", "hand"}),
    (f.Weighed(dog=HOUND, weight_g=4000), {"owner", "hand", "vet"}),
    (f.Noted(about="kennel", text="x"), {"owner", "hand", "vet"}),
    (f.RoundDone(pens=("yard",)), {"owner", "hand"}),
    (f.ApartEnded(dog=HOUND, on_whose_word="vet"), {"owner", "vet"}),
    (
        f.OtherResult(
            dog=HOUND, infection="giardia", method="flotation", call="negative"
        ),
        {"owner", "hand", "vet"},
    ),
]


@pytest.mark.parametrize("role", ["owner", "hand", "vet"])
@pytest.mark.parametrize(
    ("fact", "allowed"), WRITES, ids=lambda one: getattr(one, "kind", "")
)
def test_role_decides_what_may_be_written(kennel, role, fact, allowed):
    """Also behind the pages' backs."""
    yard = f.PenDescribed(pen="yard", name="Yard", pen_kind="yard")
    hound = f.DogDescribed(dog=HOUND, name="T", sex="dog", born_on=AT.date())
    new = [desk.NewEntry(entry=desk.new_id(), fact=one) for one in (yard, hound)]
    desk.record(new, kennel=kennel, by="Mara Lind", at=AT)
    person = desk.add_person(kennel=kennel, username="p", password=PASSWORD, role=role)
    one = [desk.NewEntry(entry=desk.new_id(), fact=fact)]
    if role in allowed:
        desk.record(one, kennel=kennel, by=person, at=AT)
        assert desk.snapshot(kennel).entries[-1].recorded_by == "p"
    else:
        with pytest.raises(BadInput, match="may not write"):
            desk.record(one, kennel=kennel, by=person, at=AT)


def test_every_kind_of_entry_is_in_the_table():
    """A new kind must be placed: an owner may write all there are."""
    assert MAY_WRITE["owner"] == set(f.KINDS.values())
    assert MAY_WRITE["hand"] < MAY_WRITE["owner"]
    assert MAY_WRITE["vet"] < MAY_WRITE["owner"]


@pytest.mark.parametrize("role", ["hand", "vet"])
def test_only_an_owner_strikes_what_others_wrote(owner, kennel, role):
    """A hand or vet strikes their own."""
    person = desk.add_person(kennel=kennel, username="p", password=PASSWORD, role=role)

    def write(fact, by, **more):
        one = desk.NewEntry(entry=desk.new_id(), fact=fact, **more)
        return desk.record([one], kennel=kennel, by=by, at=AT)[0]

    note = f.Noted(about="kennel", text="x")
    owners, own = write(note, owner), write(note, person)
    with pytest.raises(BadInput, match="only they or the owner"):
        write(f.Struck(entry=owners.entry, why="slip"), person)
    with pytest.raises(BadInput, match="only they or the owner"):
        write(note, person, supersedes=owners.entry)
    write(f.Struck(entry=own.entry, why="slip"), person)
    write(f.Struck(entry=write(note, person).entry, why="slip"), owner)


def test_someone_of_another_kennel_may_not_write(kennel):
    """A login belongs where its owner put it."""
    from django.contrib.auth.models import User

    stranger = User.objects.create(username="stranger")
    one = desk.NewEntry(entry=desk.new_id(), fact=f.Noted(about="kennel", text="x"))
    with pytest.raises(BadInput, match="does not belong"):
        desk.record([one], kennel=kennel, by=stranger, at=AT)
