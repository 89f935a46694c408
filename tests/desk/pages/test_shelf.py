"""Shelf: lots, what is expired, what to take, counting."""

import pytest

from kennelward import desk
from tests.desk.pages.conftest import text_of


def test_an_empty_shelf_says_what_to_do(fresh):
    """One button: the first box."""
    assert "The shelf is empty" in text_of(fresh.get("/shelf/"))


def test_the_first_to_expire_is_marked_and_the_expired_one_said(mara, book):
    """An expired lot says so; the one to take is the next to expire."""
    text = text_of(mara.get("/shelf/"))
    expired = next(
        c
        for c in book().lots.values()
        if c.expires_on.year == 2026 and c.is_expired(desk.now().date())
    )
    after = text.partition(f"Lot {expired.lot_code}")[2]
    assert "expired: its result does not count" in after[:120]
    assert "take this one" not in after[: after.index("Lot ")]
    assert "take this one" in text
    assert "The coming 30 days" in text


FORM = {
    "kit": "giardia-antigen",
    "lot_code": "T-77",
    "expires_on": "2027-06-30",
    "count": "10",
    "price": "6.50",
}


def test_a_box_is_put_on_the_shelf_and_counted(mara, book):
    """A lot with its price; a count takes its place."""
    form = FORM | {"entry": desk.new_id()}
    for _tap in range(2):
        assert mara.post("/shelf/add/", form).status_code == 302
    lots = [card for card in book().lots.values() if card.lot_code == "T-77"]
    assert [(card.count_left, card.cents_each) for card in lots] == [(10, 650)]
    answer = mara.post(
        f"/shelf/{lots[0].lot}/count/", {"count": "8", "why": "two torn"}
    )
    assert answer.status_code == 302
    assert book().lots[lots[0].lot].count_left == 8


def test_an_expired_box_may_come_in_but_says_so(mara):
    """It is written as it is, with a warning."""
    form = FORM | {"expires_on": "2026-01-31"}
    assert "but expired" in text_of(mara.post("/shelf/add/", form, follow=True))


@pytest.mark.parametrize(
    "wrong",
    [
        {"count": "0"},
        {"count": "ten"},
        {"lot_code": ""},
        {"lot_code": "x" * 61},
        {"expires_on": "soon"},
        {"kit": "tea-leaves"},
        {"price": "-1"},
    ],
)
def test_a_wrong_box_is_refused(mara, book, wrong):
    """Nothing is written."""
    before = len(book().entries)
    answer = mara.post("/shelf/add/", FORM | wrong)
    assert answer.status_code == 200
    assert "Not saved yet" in text_of(answer)
    assert len(book().entries) == before


def test_an_unknown_lot_cannot_be_counted(mara):
    """There is no such page."""
    assert mara.get("/shelf/nothing/count/").status_code == 404
