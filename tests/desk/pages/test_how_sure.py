"""How sure are we? The chance, what it rests on, the plan, and a pooled sample."""

import time

import pytest

from kennelward import desk
from kennelward.demo import fixed_id
from kennelward.kennel import facts as f
from tests.desk.pages.conftest import NOW, text_of

USUAL = {
    "since": "2026-05-20",
    "infected": "4",
    "absent": "50",
    "unwritten": "1",
    "brought": "2",
    "young": "1",
    "by": "2027-01-25",
    "wanted": "80",
}


def test_every_infection_has_its_line(mara):
    """A chance or the reason why not; never a verdict."""
    text = text_of(mara.get("/sure/"))
    assert "Brucella" in text
    assert "of 100 kennels with this record" in text
    assert "A suspect is open" in text
    assert "infection-free" not in text.casefold()
    assert "free of" not in text.casefold()


def test_the_page_shows_curve_table_and_what_it_rests_on(mara):
    answer = mara.get("/sure/brucella/")
    html, text = answer.content.decode(), text_of(answer)
    assert 'aria-labelledby="curve-t curve-d"' in html
    assert "Days stand in the table below" in text
    assert "Negatives that count" in text
    assert "absent, or so rare that fewer than 4 of" in text
    assert "too recent for antibody" in text
    assert "Still in quarantine, so not counted yet" in text
    assert 'style="' not in html


def test_an_open_suspect_shows_its_dogs_and_no_number(mara):
    """With a link to each, and no form for assumptions."""
    text = text_of(mara.get("/sure/giardia/"))
    assert "nothing can be said until the vet has settled it" in text
    assert "of 100 kennels" not in text
    assert "Reckon again" not in text


def test_the_plan_names_dogs_days_and_price(mara):
    text = text_of(mara.get("/sure/brucella/", USUAL | {"plan": "yes"}))
    assert "Tests needed:" in text
    assert "EUR" in text
    assert "left out: a negative of them would not count yet" in text
    assert "If one is positive or shows a trace, the plan is over" in text


def test_a_plan_that_does_not_get_there_names_no_dogs(mara):
    text = text_of(mara.get("/sure/brucella/", USUAL | {"wanted": "99", "plan": "yes"}))
    assert "It cannot be reached by then" in text
    assert "Tests needed:" not in text


def test_assumptions_can_be_changed_and_nothing_is_written(mara, book):
    before = len(book().entries)
    usual = text_of(mara.get("/sure/brucella/", USUAL))
    surer = text_of(mara.get("/sure/brucella/", USUAL | {"absent": "90"}))
    assert usual != surer
    assert "starts at 90 in 100" in surer
    assert len(book().entries) == before


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"absent": "100"}, "99"),
        ({"infected": "0"}, "1"),
        ({"infected": "30"}, "0.5"),
        ({"since": "2030-01-01"}, "got 2030-01-01"),
        ({"since": "2020-01-01"}, "got 2020-01-01"),
        ({"by": "2020-01-01", "plan": "yes"}, "got 2020-01-01"),
        ({"young": "900"}, "20"),
        ({"unwritten": ""}, "Not saved yet"),
    ],
)
def test_wrong_numbers_name_value_and_range(mara, change, says):
    answer = mara.get("/sure/brucella/", USUAL | change)
    assert answer.status_code == 422
    assert says in text_of(answer)


@pytest.mark.parametrize("path", ["/sure/pregnancy/", "/sure/rabies/", "/sure/x/pool/"])
def test_what_cannot_be_asked_is_404(mara, path):
    assert mara.get(path).status_code == 404


@pytest.mark.parametrize("role", ["owner", "hand", "vet"])
def test_everyone_may_look(as_role, role):
    for path in ("/sure/", "/sure/brucella/", "/sure/giardia/pool/"):
        assert as_role(role).get(path).status_code == 200


def test_parvovirus_has_no_plan_and_says_why(fresh):
    text = text_of(fresh.get("/sure/parvovirus/"))
    assert "never run to clear healthy dogs" in text
    assert "Work out the cheapest tests" not in text


def test_an_empty_kennel_says_so(fresh):
    """No dog, no number, no error."""
    for path in ("/sure/", "/sure/brucella/"):
        answer = fresh.get(path)
        assert answer.status_code == 200
        assert "No dog is here to speak of" in text_of(answer)


POOL = {
    "dogs": [fixed_id("dog Alder"), fixed_id("dog Bramble")],
    "method": "flotation",
    "call": "negative",
    "sampled_on": "2026-11-24",
    "laboratory": "",
}


def test_a_pooled_sample_is_written_once(mara, book):
    form = POOL | {"entry": desk.new_id()}
    for _tap in range(2):
        assert mara.post("/sure/giardia/pool/", form).status_code == 302
    (entry,) = book().of(f.PoolTested)
    assert entry.fact.dogs == tuple(POOL["dogs"])
    assert "Pooled sample" in text_of(mara.get("/book/"))


def test_a_positive_pool_keeps_each_of_its_dogs_apart(mara, book):
    """As suspects, until each was tested on its own and the vet has decided."""
    answer = mara.post("/sure/giardia/pool/", POOL | {"call": "positive"}, follow=True)
    assert "One of these dogs at least has it" in text_of(answer)
    for dog in POOL["dogs"]:
        apart = book().dogs[dog].apart
        assert apart is not None
        assert apart.infection == "giardia"
    assert "Alder" in text_of(mara.get("/sure/giardia/"))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"dogs": [POOL["dogs"][0]]}, "Choose from 2 to 30 dogs; you chose 1"),
        ({"sampled_on": "2026-12-24"}, "2026-11-25"),
        ({"method": "culture"}, "Not saved yet"),
        ({"call": ""}, "Not saved yet"),
    ],
)
def test_a_wrong_pool_is_refused(mara, book, change, says):
    before = len(book().entries)
    answer = mara.post("/sure/giardia/pool/", POOL | change)
    assert says in text_of(answer)
    assert len(book().entries) == before


def test_three_hundred_dogs_with_long_names(mara, demo, book):
    """Under a second of work a page, names whole."""
    name = "Ch. Windermere Heather of the very old and very long-named line "
    dogs = [f"big-{n}" for n in range(300)]
    facts = [
        f.DogDescribed(
            dog=dog,
            name=f"{name}{dog}",
            sex="bitch",
            born_on=NOW.date().replace(year=2022),
        )
        for dog in dogs
    ]
    pen = next(iter(book().pens))
    facts += [f.Moved(dog=dog, pen=pen) for dog in dogs]
    by = desk.person(demo, "mara")
    desk.record(
        [desk.NewEntry(entry=desk.new_id(), fact=fact) for fact in facts],
        kennel=demo,
        by=by,
        at=NOW,
    )
    mara.get("/sure/")  # folds the book, which belongs to every page
    for path in ("/sure/", "/sure/brucella/"):
        began = time.process_time()
        answer = mara.get(path)
        assert time.process_time() - began < 1.0, path
        assert answer.status_code == 200
    planned = mara.get(
        "/sure/brucella/", USUAL | {"infected": "40", "plan": "yes", "wanted": "80"}
    )
    assert "and " in text_of(planned)
    assert name.strip() in text_of(planned)
