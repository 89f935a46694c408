"""The round: the order of the walk, one entry a round, signs that stand."""

import pytest

from kennelward import desk
from kennelward.kennel import facts as f
from kennelward.kennel import round_order
from kennelward.kennel.round_order import round_rank
from tests.desk.pages.conftest import NOW, text_of, the_dog


def rounds(book):
    """Every round in the book."""
    return [entry.fact for entry in book.of(f.RoundDone)]


def send(client, **said):
    """A round as the page sends it."""
    return client.post("/round/save/", {"entry": desk.new_id()} | said)


def test_clean_comes_before_quarantine_and_isolation(mara, book):
    """In the order of the kennel's walk, with what to change between."""
    text = text_of(mara.get("/round/"))
    order = [pen.name for pen in round_order(book()) if pen.dogs_now]
    places = [text.index(name) for name in order]
    assert places == sorted(places)
    change = text.index("Change shoes, coat and gloves again")
    last = [
        p for p in round_order(book()) if p.dogs_now and round_rank(book(), p) == 100
    ]
    assert last
    before = order[: len(order) - len(last)]
    assert all(text.rindex(name) < change for name in before)
    assert all(text.rindex(pen.name) > change for pen in last)


def test_all_well_is_one_entry(mara, book):
    """One tap for the whole walk: one entry, whatever the number of dogs."""
    before = len(book().entries)
    standing = [d for d in book().dogs_here if d.signs]
    answer = send(mara, rest="all")
    assert answer["Location"] == "/round/after/"
    assert len(book().entries) == before + 1 + len(standing)
    pens = {pen.pen for pen in round_order(book())}
    assert set(rounds(book())[-1].pens) == pens


def test_all_well_makes_no_ill_dog_well(mara, book):
    """A dog with signs keeps them until a person says that it is well again."""
    ill = {d.dog: d.signs for d in book().dogs_here if d.signs}
    assert ill
    send(mara, rest="all")
    assert {d.dog: d.signs for d in book().dogs_here if d.signs} == ill
    dog = next(iter(ill))
    send(mara, rest="all", **{f"now-{dog}": "well", f"sign-{dog}": list(ill[dog])})
    assert book().dogs[dog].signs == ()


def test_signs_of_one_dog_set_rules_going(mara, book):
    """Vomiting in a puppy: the page after says what to do now, danger check first."""
    pup = next(
        d for d in book().dogs_here if d.age_days(NOW.date()) < 100 and not d.signs
    )
    answer = send(mara, rest="all", **{f"sign-{pup.dog}": ["vomiting", "listless"]})
    assert book().dogs[pup.dog].signs == ("vomiting", "listless")
    page = mara.get(answer["Location"])
    assert f"/danger/{pup.dog}/" in page.content.decode()
    assert "Five questions now" in text_of(page)


def test_only_ticked_pens_are_written(mara, book):
    """A round broken off half-way says so: the other pens are not in it."""
    pens = [pen for pen in round_order(book()) if pen.dogs_now]
    send(mara, well=[pens[0].pen, pens[1].pen])
    assert rounds(book())[-1].pens == (pens[0].pen, pens[1].pen)


def test_signs_count_without_a_tick_on_the_pen(mara, book):
    """Who marks a dog has seen its pen."""
    dog = the_dog(book(), "Fern")
    send(mara, **{f"sign-{dog.dog}": ["cough"]})
    assert rounds(book())[-1].pens == (dog.pen,)
    assert book().dogs[dog.dog].signs == ("cough",)


def test_a_changed_sign_counts_without_a_tick_on_the_pen(mara, book):
    """A dog with signs that gets others."""
    ill = next(d for d in book().dogs_here if d.signs)
    send(mara, **{f"sign-{ill.dog}": ["fever"]})
    assert book().dogs[ill.dog].signs == ("fever",)


def test_a_round_with_nothing_is_not_written(mara, book):
    """No pen ticked, no dog marked: nothing to save."""
    before = len(book().entries)
    page = mara.post("/round/save/", {"entry": desk.new_id()}, follow=True)
    assert "Tick the pens you have seen" in text_of(page)
    assert len(book().entries) == before


def test_a_double_tap_saves_once(mara, book):
    """The same form twice is one round."""
    entry = desk.new_id()
    before = len(rounds(book()))
    dog = the_dog(book(), "Fern")
    for _tap in range(2):
        answer = mara.post(
            "/round/save/",
            {"entry": entry, "rest": "all", f"sign-{dog.dog}": ["cough"]},
        )
        assert answer["Location"] == "/round/after/"
    assert len(rounds(book())) == before + 1
    seen = [e for e in book().of(f.Observed) if e.fact.dog == dog.dog]
    assert [e.fact.signs for e in seen].count(("cough",)) == 1


def test_two_people_on_the_round_at_once(as_role, book):
    """Two forms opened before either was saved: both rounds stand."""
    before = len(rounds(book()))
    for role in ("owner", "hand"):
        send(as_role(role), rest="all")
    assert len(rounds(book())) == before + 2
    assert {e.recorded_by for e in book().of(f.RoundDone)[-2:]} == {"Mara", "Jonas"}


def test_the_vet_looks_on(as_role, book):
    """A vet sees the walk and does not write it."""
    vet = as_role("vet")
    page = vet.get("/round/")
    assert "All the rest well" not in text_of(page)
    before = len(rounds(book()))
    assert send(vet, rest="all").status_code == 403
    assert len(rounds(book())) == before


@pytest.mark.parametrize("sign", ["glowing", "", "\x00"])
def test_an_unknown_sign_is_refused(mara, book, sign):
    """A made-up sign does not get in."""
    dog = the_dog(book(), "Fern").dog
    before = len(book().entries)
    mara.post(
        "/round/save/", {"entry": desk.new_id(), "rest": "all", f"sign-{dog}": [sign]}
    )
    assert len(book().entries) == before


def test_signs_of_one_dog_outside_a_round(mara, book):
    """From the dog's page; a dangerous sign leads to the five questions."""
    dog = the_dog(book(), "Fern").dog
    page = mara.get(f"/round/dog/{dog}/")
    assert "What do you see on Fern?" in text_of(page)
    answer = mara.post(
        f"/round/dog/{dog}/", {"entry": desk.new_id(), f"sign-{dog}": ["vomiting"]}
    )
    assert answer["Location"] == f"/danger/{dog}/"
    assert book().dogs[dog].signs == ("vomiting",)


def test_an_empty_kennel_is_led_to_its_pens(fresh):
    """No pens, no walk."""
    assert "First the pens, then the walk" in text_of(fresh.get("/round/"))
