"""When can this test answer? The curve, its words, and where it is reached from."""

import re

import pytest

from kennelward.demo import fixed_id
from tests.desk.pages.conftest import NOW, text_of

KITS = ("giardia-antigen", "parvovirus-antigen", "relaxin", "brucella-antibody")
ASKED = {"day": "2026-11-05", "event": "mating", "worth": "5", "method": "natural"}


@pytest.mark.parametrize("kit", KITS)
def test_every_kit_has_a_curve_with_a_text_beside_it(mara, kit):
    """Without a dog or a day, as if the first event were today."""
    answer = mara.get(f"/when/{kit}/")
    html = answer.content.decode()
    assert answer.status_code == 200
    assert re.search(r'role="img" aria-labelledby="curve-t curve-d"', html)
    assert "Every day stands in the table below" in text_of(answer)
    assert "As if this were today" in text_of(answer)
    assert "<table>" in html
    assert 'style="' not in html


def test_a_typed_mating_gives_the_days(mara):
    """5 November + 33 days is 8 December; today lies before."""
    text = text_of(mara.get("/when/relaxin/", ASKED))
    assert "A negative before Tue 8 Dec 2026 does not count: too early to say." in text
    assert "bitches like this one still pregnant" in text
    assert "One strip never gets there" in text


def test_a_level_that_one_strip_reaches(mara):
    """Frozen semen, 5 in 100: from day 33."""
    text = text_of(mara.get("/when/relaxin/", ASKED | {"method": "frozen"}))
    assert "From Tue 8 Dec 2026 a negative leaves 5 in 100 or fewer" in text


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"day": "2026-12-24"}, "to 2026-11-25, got 2026-12-24"),
        ({"day": "2020-01-01"}, "got 2020-01-01"),
        ({"day": "soon"}, "Not saved yet"),
        ({"event": "exposure"}, "Not saved yet"),
        ({"worth": "140"}, "Not saved yet"),
    ],
)
def test_wrong_questions_name_value_and_range(mara, change, says):
    """The form comes back with what is wrong, and no curve."""
    answer = mara.get("/when/relaxin/", ASKED | change)
    assert says in text_of(answer)
    assert "curve-t" not in answer.content.decode()


def test_a_dog_is_asked_by_what_the_book_says(mara, book):
    """Corvin came in: 84 days from its last contact outside."""
    dog = fixed_id("dog Corvin")
    text = text_of(mara.get(f"/when/brucella-antibody/?dog={dog}"))
    assert "Corvin" in text
    assert "does not count: too early to say" in text
    every = text_of(mara.get(f"/when/?dog={dog}"))
    assert "Pregnancy strip" not in every
    assert "best test day" in every


def test_a_dog_with_a_positive_is_not_sent_to_another_strip(mara):
    """Pip is a Giardia suspect: the word of caution comes first, no day to test."""
    dog = fixed_id("dog Pip")
    text = text_of(mara.get(f"/when/giardia-antigen/?dog={dog}"))
    caution = text.index("a negative now ends nothing")
    assert caution < text.index("a negative changes nothing")
    assert "Test this dog" not in text
    assert "Test (again)" not in text
    assert "a negative now ends nothing" in text_of(mara.get(f"/when/?dog={dog}"))


def test_a_dog_without_a_day_says_what_to_do(mara, book):
    """An empty state, and the form below."""
    dog = next(
        card.dog
        for card in book().dogs_here
        if card.described.sex == "bitch" and card.age_days(NOW.date()) < 100
    )
    text = text_of(mara.get(f"/when/relaxin/?dog={dog}"))
    assert "No day to count from" in text
    assert "Ask for another day" in text


@pytest.mark.parametrize("path", ["/when/litmus/", "/when/?dog=nobody"])
def test_what_is_not_there_is_404(mara, path):
    assert mara.get(path).status_code == 404


@pytest.mark.parametrize("role", ["owner", "hand", "vet"])
def test_everyone_may_look(as_role, role):
    assert as_role(role).get("/when/relaxin/").status_code == 200


def test_it_is_reached_from_shelf_handbook_bench_and_dog(mara, book):
    """By a link on each."""
    dog = fixed_id("dog Corvin")
    for page in ("/handbook/", f"/dogs/{dog}/"):
        assert 'href="/when/' in mara.get(page).content.decode(), page
    assert 'href="/when/relaxin/' in mara.get("/shelf/").content.decode()


def test_the_strip_that_says_nothing_after_a_course_says_so(mara):
    """Ten days after: neither answer moves anything, and the way is a cyst test."""
    asked = {"day": "2026-11-15", "event": "course-end", "worth": "5", "age": "puppy"}
    text = text_of(mara.get("/when/giardia-antigen/", asked))
    assert "ask for a cyst test" in text
    assert "would leave 40 in 100" in text
