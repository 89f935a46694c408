"""Pens: the sketch, moving by two taps, making and arranging pens."""

import pytest

from kennelward import desk
from kennelward.desk.pages.pens.yard import MOST_COLUMNS, MOST_ROWS, Place, places_of
from kennelward.kennel import PenCard
from kennelward.kennel import facts as f
from tests.desk.pages.conftest import text_of, the_dog


def pen_named(book, name):
    """The id of a pen by name."""
    return next(card.pen for card in book.pens.values() if card.name == name)


def test_an_empty_yard_leads_to_making_pens(fresh):
    """Nothing to show yet: one button."""
    page = fresh.get("/pens/")
    assert "No pens yet" in text_of(page)
    assert "/pens/quick/" in page.content.decode()


def test_a_yard_is_made_in_one_go(fresh, kennel):
    """So many of each kind, each with a name, a kind, a turn and a place of its own."""
    form = {
        f"count_{kind}": "0"
        for kind in ("litter", "pregnant", "yard", "visitor", "isolation")
    }
    form |= {"count_whelping": "1", "count_adults": "8", "count_quarantine": "1"}
    form["entry"] = desk.new_id()
    for _tap in range(2):
        assert fresh.post("/pens/quick/", form).status_code == 302
    pens = desk.snapshot(kennel).pens.values()
    assert len(pens) == 10
    places = {(card.described.column, card.described.row) for card in pens}
    assert len(places) == 10
    assert fresh.get("/pens/").status_code == 200


@pytest.mark.parametrize("wrong", [{}, {"count_adults": "-1"}, {"count_adults": "31"}])
def test_no_pens_or_too_many_are_refused(fresh, kennel, wrong):
    """At least one, at most thirty of a kind."""
    kinds = [
        "whelping",
        "litter",
        "pregnant",
        "adults",
        "yard",
        "visitor",
        "quarantine",
        "isolation",
    ]
    form = {f"count_{kind}": "0" for kind in kinds} | wrong
    answer = fresh.post("/pens/quick/", form)
    assert answer.status_code == 200
    assert "Not saved yet" in text_of(answer)
    assert not desk.snapshot(kennel).pens


def test_a_dog_is_moved_by_two_taps(mara, book):
    """The first tap takes it in hand, the second puts it down."""
    dog = the_dog(book(), "Clover").dog
    assert f"/pens/?move={dog}" in mara.get("/pens/").content.decode()
    in_hand = mara.get(f"/pens/?move={dog}")
    assert "Clover is in hand" in text_of(in_hand)
    pen = pen_named(book(), "Row 1")
    form = {"dog": dog, "pen": pen, "entry": desk.new_id()}
    answer = mara.post("/pens/move/", form, follow=True)
    assert "Clover: now in Row 1" in text_of(answer)
    assert book().dogs[dog].pen == pen


def test_a_litter_is_moved_with_its_dam(mara, book):
    """Dam and puppies are offered as one; unweaned puppies are not left behind."""
    dam = the_dog(book(), "Sorrel")
    page = mara.get(f"/pens/?move={dam.dog}")
    assert "Dam and litter go together" in text_of(page)
    pen = pen_named(book(), "Second whelping room")
    form = {"dog": dam.dog, "pen": pen, "entry": desk.new_id(), "together": "yes"}
    mara.post("/pens/move/", form)
    moved = {card.name for card in book().dogs.values() if card.pen == pen}
    assert moved == {"Sorrel", "Ember", "Cinder", "Spark", "Ash"}


def test_what_speaks_against_a_pen_is_said(mara, book):
    """A pen with a dog kept apart is not offered like any other."""
    dog = the_dog(book(), "Clover").dog
    text = text_of(mara.get(f"/pens/?move={dog}"))
    assert "a dog kept apart is in there" in text
    assert "Here all the same" in text
    apart = the_dog(book(), "Hazel")
    text = text_of(mara.get(f"/pens/?move={apart.dog}"))
    assert "This dog is kept apart" in text
    assert "kept for another suspicion: parvovirus" in text


@pytest.mark.parametrize("wrong", [{"dog": "x"}, {"pen": "x"}])
def test_a_move_to_nowhere_is_refused(mara, book, wrong):
    """Unknown dog, unknown pen: nothing is written."""
    before = len(book().entries)
    dog = the_dog(book(), "Clover").dog
    form = {"dog": dog, "pen": pen_named(book(), "Row 1"), "entry": desk.new_id()}
    assert mara.post("/pens/move/", form | wrong).status_code == 404
    assert len(book().entries) == before


def test_a_damaged_id_moves_nobody(mara, book):
    """A form whose id is no id is refused in words."""
    dog = the_dog(book(), "Clover").dog
    form = {"dog": dog, "pen": pen_named(book(), "Row 1"), "entry": "junk"}
    before = len(book().entries)
    assert mara.post("/pens/move/", form).status_code == 302
    assert len(book().entries) == before


def test_a_pen_is_changed_but_not_closed_over_dogs(mara, book):
    """Its name changes; it stays in use while dogs are in it."""
    pen = pen_named(book(), "Row 2")
    form = {"name": "Row two 🏡", "pen_kind": "adults", "order": "1"}
    form |= {"column": "1", "row": "1", "entry": desk.new_id()}
    refused = mara.post(f"/pens/{pen}/", form)
    assert "move them first" in text_of(refused)
    assert mara.post(f"/pens/{pen}/", form | {"in_use": "on"}).status_code == 302
    assert book().pens[pen].name == "Row two 🏡"
    assert "Row two 🏡" in text_of(mara.get("/pens/"))


def test_a_pen_is_placed_on_a_free_spot(mara, book):
    """Two taps as well: the pen, the spot."""
    pen = pen_named(book(), "Row 2")
    html = mara.get(f"/pens/?place={pen}").content.decode()
    spot = html.split('name="spot" value="')[1].split('"')[0]
    column, row = (int(part) for part in spot.split(","))
    form = {"pen": pen, "spot": spot, "entry": desk.new_id()}
    assert mara.post("/pens/place/", form).status_code == 302
    described = book().pens[pen].described
    assert (described.column, described.row) == (column, row)
    for bad in ("", "0,0", "99,1", "a,b", "1,2,3"):
        assert mara.post("/pens/place/", form | {"spot": bad}).status_code == 404


def test_the_turn_changes_within_a_kind(mara, book):
    """Later by one: two pens change places on the round, no more."""
    page = text_of(mara.get("/pens/"))
    first, second = pen_named(book(), "Row 1"), pen_named(book(), "Row 2")
    order = page.partition("Order of the round")[2]
    assert order.index("Row 1") < order.index("Row 2")
    form = {"pen": first, "turn": "later", "entry": desk.new_id()}
    assert mara.post("/pens/turn/", form).status_code == 302
    order = text_of(mara.get("/pens/")).partition("Order of the round")[2]
    assert order.index("Row 2") < order.index("Row 1")
    assert book().pens[second].described.order < book().pens[first].described.order


def test_pens_at_one_place_and_off_the_sketch_all_get_a_place():
    """A slip of the hand hides no pen."""
    spots = [(1, 1), (1, 1), (0, 0), (99, 99), (2, 1)]
    pens = [
        PenCard(
            pen=str(number),
            described=f.PenDescribed(
                pen=str(number),
                name=f"Pen {number}",
                pen_kind="adults",
                column=column,
                row=row,
            ),
            dogs_now=(),
        )
        for number, (column, row) in enumerate(spots)
    ]
    places = places_of(pens)
    assert len(set(places.values())) == len(pens)
    assert places["0"] == Place(column=1, row=1)
    assert places["4"] == Place(column=2, row=1)
    assert all(p.column <= MOST_COLUMNS and p.row <= MOST_ROWS for p in places.values())
