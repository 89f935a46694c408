"""The first screen: three doors, what is due, who is apart, the way to a first test."""

from kennelward.kennel import facts as f
from tests.desk.pages.bench_steps import lone_dog, write
from tests.desk.pages.conftest import NOW, text_of, the_dog


def test_three_doors_in_order(mara):
    """Ill first, then test, then look round."""
    html = mara.get("/").content.decode()
    doors = [
        html.index(f'class="big-choice{more}" href="{url}"')
        for more, url in ((" is-red", "/danger/"), ("", "/bench/"), ("", "/round/"))
    ]
    assert doors == sorted(doors)


def test_who_is_kept_apart_is_named(mara, book, demo):
    """By decision, with the suspicion in words; never as a fact about the dog."""
    dog = the_dog(book(), "Fern").dog
    write(demo, f.KeptApart(dog=dog, infection="brucella"), at=NOW)
    text = text_of(mara.get("/"))
    assert "Fern" in text
    assert "Brucella suspect" in text
    assert "Apart is not neglect" in text


def test_an_empty_kennel_is_guided_to_a_first_test(fresh):
    """The doors stay, the steps follow: whom to call, pens, a dog, a box, its leaflet."""
    text = text_of(fresh.get("/"))
    steps = ["A box of strips", "Its leaflet", "The first test"]
    places = [text.index(step) for step in steps]
    assert places == sorted(places)
    assert text.index("Look round") < text.index("Whom to call") < places[0]
    assert "Do it now" in text


def test_the_steps_go_on_until_a_test_was_started(fresh, kennel):
    """With a dog in the book the list of due work comes first."""
    lone_dog(kennel, at=NOW)
    text = text_of(fresh.get("/"))
    assert text.index("The whole list") < text.index("A box of strips")


def test_a_round_done_today_is_said(mara, demo, book):
    """The third door says whether the walk was done."""
    assert "Today's walk" in text_of(mara.get("/")).replace("&#x27;", "'")
    pen = next(iter(book().pens))
    write(demo, f.RoundDone(pens=(pen,)), at=NOW)
    assert "Done today at" in text_of(mara.get("/"))
