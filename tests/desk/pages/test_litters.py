"""Litters: due days, the whelping night, weights and losses, page by page."""

import pytest

from kennelward import desk
from kennelward.kennel import facts as f
from tests.desk.pages.conftest import text_of, the_dog
from tests.desk.pages.litters_steps import mara_writes


def note(client, dam, **said):
    """A fact as the pregnancy page sends it."""
    return client.post(
        f"/litters/bitch/{dam}/note/", {"entry": desk.new_id(), "unit": "ng/mL"} | said
    )


@pytest.mark.parametrize("role", ["owner", "hand", "vet"])
def test_every_page_opens_for_every_role(as_role, juniper, litter, role):
    """The list, a pregnancy, a night, growth, losses, and the offline script."""
    client = as_role(role)
    for path in (
        "",
        "losses/",
        "night.js",
        f"bitch/{juniper}/",
        f"night/{juniper}/",
        f"{litter}/",
    ):
        assert client.get(f"/litters/{path}").status_code == 200, path


def test_nobody_looks_in_without_a_name(client, demo, juniper):
    """Not logged in: the login page."""
    answer = client.get(f"/litters/night/{juniper}/")
    assert answer["Location"].startswith("/account/login/")


def test_an_empty_kennel_says_what_is_missing(fresh):
    """No dog, no litter: both pages say so."""
    assert "No litter of the last 100 days" in text_of(fresh.get("/litters/"))
    assert "No litter is in the book yet" in text_of(fresh.get("/litters/losses/"))


@pytest.mark.parametrize("path", ["bitch/nobody/", "night/nobody/", "nobody/"])
def test_what_is_not_in_the_book_is_not_found(mara, path):
    """An unknown bitch or litter."""
    assert mara.get(f"/litters/{path}").status_code == 404


def test_a_male_has_no_pregnancy(mara, book):
    """A dog that is no bitch."""
    alder = the_dog(book(), "Alder").dog
    assert mara.get(f"/litters/bitch/{alder}/").status_code == 404


def test_the_list_gives_the_window_of_the_due_date(mara, juniper):
    """The same days on the list and on her page, and the picture's numbers as a table."""
    says = "Sat 19 Dec 2026 to Sat 26 Dec 2026"
    assert says in text_of(mara.get("/litters/"))
    page = text_of(mara.get(f"/litters/bitch/{juniper}/"))
    assert says in page
    assert "Tue 22 Dec 2026 14.3" in page


def test_an_ovulation_day_moves_the_due_date(mara, juniper):
    """Ovulation 20 October: birth 63 days later (Mir 2011: 63.1 +/- 2.1), 22 December."""
    answer = note(mara, juniper, what="ovulation", when="2026-10-20T09:00")
    assert answer.status_code == 302
    page = text_of(mara.get(f"/litters/bitch/{juniper}/"))
    assert "most likely due Tue 22 Dec 2026" in page
    assert "Known from: ovulation day" in page


@pytest.mark.parametrize(
    ("said", "complaint"),
    [
        ({"what": "progesterone"}, "This one needs its number"),
        ({"what": "progesterone", "value": "150"}, "progesterone"),
        ({"what": "temperature", "value": "98.6"}, "temperature"),
        ({"what": "x-ray", "value": "99"}, "puppies"),
        ({"what": "moonrise"}, "moonrise"),
        ({"what": "lh-surge", "when": "2031-01-01T00:00"}, "future"),
    ],
)
def test_a_wrong_note_is_refused_in_words(mara, juniper, book, said, complaint):
    """The page comes back with what is wrong; nothing is written."""
    before = len(book().entries)
    answer = note(mara, juniper, **said)
    assert answer.status_code == 422
    assert complaint in text_of(answer)
    assert len(book().entries) == before


def test_dates_that_contradict_are_said_and_break_no_page(mara, juniper):
    """An LH day seven weeks away from the ovulation day."""
    note(mara, juniper, what="lh-surge", when="2026-11-24T08:00")
    note(mara, juniper, what="ovulation", when="2026-10-01T08:00")
    assert "contradict" in text_of(mara.get(f"/litters/bitch/{juniper}/"))
    assert mara.get("/litters/").status_code == 200


def test_a_lost_pregnancy_leaves_the_list(mara, juniper):
    """After the loss nothing is expected of her."""
    note(mara, juniper, what="lost")
    assert "Juniper in 27 days" not in text_of(mara.get("/litters/"))


def weigh(client, litter, **said):
    """Weights as the page sends them."""
    return client.post(
        f"/litters/{litter}/weigh/", {"entry": desk.new_id()} | said, follow=True
    )


def weights(book):
    """All weights in the book."""
    return [entry.fact.weight_g for entry in book().of(f.Weighed)]


def test_a_litter_is_weighed_in_one_go(mara, book, litter):
    """Two boxes filled, two left empty; sent twice, written once."""
    one, two = book().litters[litter].dogs[:2]
    before = len(weights(book))
    said = {"entry": desk.new_id(), f"weight-{one}": "371,5", f"weight-{two}": "385"}
    for _ in range(2):
        weigh(mara, litter, **said)
    assert len(weights(book)) == before + 2
    assert set(weights(book)[-2:]) == {371.5, 385.0}


def test_a_weight_in_the_wrong_unit_is_asked_about_first(mara, book, litter):
    """3500 where 350 is usual, or 0.37 for kilograms: a question, then as confirmed."""
    one, two = book().litters[litter].dogs[:2]
    before = len(weights(book))
    said = {f"weight-{one}": "3500", f"weight-{two}": "380"}
    page = weigh(mara, litter, **said)
    assert page.status_code == 422
    assert "I looked again" in text_of(page)
    assert len(weights(book)) == before
    weigh(mara, litter, sure="yes", **said)
    assert len(weights(book)) == before + 2


@pytest.mark.parametrize("typed", ["nan", "-3", "heavy", "0.37", "1e9"])
def test_what_is_no_weight_is_never_written(mara, book, litter, typed):
    """Also when somebody ticked that it is right."""
    one = book().litters[litter].dogs[0]
    before = len(weights(book))
    page = weigh(mara, litter, sure="yes", **{f"weight-{one}": typed})
    assert page.status_code == 422
    assert len(weights(book)) == before


def test_losses_are_judged_by_litter(mara):
    """Three of seven lost beside two whole litters: unusual, no alarm."""
    page = text_of(mara.get("/litters/losses/"))
    assert "3/7 unusual" in page
    assert "Slow alarm quiet" in page
    assert "A quiet alarm is no proof" in page


def test_two_whole_litters_lost_call_the_vet_people_first(mara, book, as_role):
    """The caution for people stands before what to do with the dead puppies."""
    dams = [the_dog(book(), name).dog for name in ("Juniper", "Saffron")]
    for days, dam in enumerate(dams, 1):
        mara_writes(
            f.Whelped(litter=desk.new_id(), name=f"L{days}", dam=dam, stillborn=6)
        )
    page = text_of(mara.get("/litters/losses/"))
    assert "Call the vet about these losses" in page
    assert page.index("gloves, eye and mouth cover") < page.index("Keep dead puppies")
