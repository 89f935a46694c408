"""A kept plan is the plan made anew, and goes with the book, the handbook and the day."""

from datetime import date, timedelta

import pytest

from kennelward import desk
from kennelward.kennel import facts as f
from kennelward.rounds import kennel_plan
from tests.desk.conftest import AT

ON = AT.date()


def sick(kennel):
    """A dog with diarrhoea: something is due."""
    dog = f.DogDescribed(
        dog=desk.new_id(), name="T", sex="dog", born_on=date(2025, 9, 1)
    )
    seen = f.Observed(dog=dog.dog, signs=("diarrhoea", "vomiting"))
    new = [desk.NewEntry(entry=desk.new_id(), fact=fact) for fact in (dog, seen)]
    desk.record(new, kennel=kennel, by="Mara Lind", at=AT)


def test_plan_is_kept_and_is_what_is_made_anew(kennel):
    """The same object while nothing changes."""
    sick(kennel)
    kept = desk.plan(kennel, ON)
    assert kept is desk.plan(kennel, ON)
    anew = kennel_plan(
        book=desk.snapshot(kennel), handbook=desk.handbook(kennel), on=ON
    )
    assert kept == anew
    assert kept.due.items


def test_plan_follows_the_book_and_the_day(kennel):
    """A new entry, or another day, is another plan."""
    empty = desk.plan(kennel, ON)
    sick(kennel)
    later = desk.plan(kennel, ON)
    assert len(later.due.items) > len(empty.due.items)
    assert desk.plan(kennel, ON + timedelta(days=1)).on == ON + timedelta(days=1)


def test_plan_follows_the_handbook(kennel, monkeypatch):
    """Another handbook, by its hash, is another plan, though the book is the same."""
    from dataclasses import replace

    from kennelward.desk import plans

    sick(kennel)
    before = desk.plan(kennel, ON)
    other = replace(desk.handbook(kennel), hash="of another handbook")
    monkeypatch.setattr(plans, "handbook", lambda kennel: other)
    assert desk.plan(kennel, ON) is not before


def test_handbook_is_read_again_when_an_overlay_comes(kennel, settings, tmp_path):
    """Files of the folder and of the kennel are laid over; another kennel's are not."""
    settings.DATA_FOLDER = tmp_path
    assert desk.handbook(kennel) is desk.handbook(kennel)
    elsewhere = tmp_path / "handbook" / "another-kennel"
    elsewhere.mkdir(parents=True)
    (elsewhere / "bad.toml").write_text("this is = = no TOML")
    desk.handbook(kennel)
    (tmp_path / "handbook" / "bad.toml").write_text("this is = = no TOML")
    with pytest.raises(ValueError, match=r"bad\.toml"):
        desk.handbook(kennel)
