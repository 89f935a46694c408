"""The danger check: five answers, the red page, and Bench that waits."""

import pytest

from kennelward import desk
from kennelward.kennel import facts as f
from tests.desk.pages.bench_steps import (
    KIT,
    lone_dog,
    no_danger,
    type_leaflet,
    write,
)
from tests.desk.pages.conftest import NOW, text_of, the_dog


def latest(book, kind):
    """The newest fact of a kind."""
    return book.of(kind)[-1].fact


def test_a_dog_is_picked_and_those_with_signs_come_first(mara):
    """The list, and straight to the questions where the dog is known."""
    page = text_of(mara.get("/danger/"))
    assert page.index("With signs, or kept apart") < page.index("The others")


def test_a_known_dog_leads_straight_to_the_questions(mara, book):
    """From another page, with the kit kept in mind."""
    dog = the_dog(book(), "Fern").dog
    answer = mara.get(f"/danger/?dog={dog}&kit={KIT}")
    assert answer["Location"] == f"/danger/{dog}/?kit={KIT}"


def test_all_five_are_asked_and_each_must_be_answered(mara, book):
    """A question left out is not a no."""
    dog = the_dog(book(), "Fern").dog
    page = mara.get(f"/danger/{dog}/")
    assert page.content.decode().count('class="asked"') == 5
    before = len(book().entries)
    answer = mara.post(
        f"/danger/{dog}/", {"entry": desk.new_id(), "dull": "no", "cold": "no"}
    )
    assert answer.status_code == 200
    assert text_of(answer).count("Answer this one, too.") >= 3
    assert len(book().entries) == before


def test_no_danger_opens_bench_and_says_nothing_of_health(mara, book, demo):
    """Five times no: on to the strip, or to what else can be done."""
    type_leaflet(demo, at=NOW)
    dog = the_dog(book(), "Fern").dog
    assert no_danger(mara, dog, kit=KIT)["Location"] == f"/bench/{dog}/{KIT}/"
    assert latest(book(), f.DangerChecked).dangers == ()
    answer = no_danger(mara, dog)
    assert answer["Location"] == f"/danger/{dog}/clear/"
    text = text_of(mara.get(answer["Location"]))
    assert "not a finding of health" in text


@pytest.mark.parametrize(
    "danger", ["dull", "cold", "bleeding", "vomiting_again", "not_eating"]
)
def test_any_danger_leads_to_the_vet_and_bench_waits(mara, book, danger):
    """Red page; Bench sends back to it until the vet was called."""
    dog = the_dog(book(), "Fern").dog
    answer = no_danger(mara, dog, kit=KIT, **{danger: "yes"})
    assert answer["Location"] == f"/danger/{dog}/vet/?kit={KIT}"
    assert latest(book(), f.DangerChecked).dangers == (danger.replace("_", "-"),)
    waits = mara.get(f"/bench/{dog}/{KIT}/")
    assert waits.status_code == 302
    assert waits["Location"].startswith(f"/danger/{dog}/vet/")
    refused = mara.post(f"/bench/{dog}/{KIT}/", {"entry": desk.new_id()})
    assert refused["Location"].startswith(f"/danger/{dog}/vet/")
    assert not [t for t in book().tests_of(dog) if t.state == "running"]


def test_the_red_page_has_numbers_to_tap_and_words_to_read_aloud(mara, book, demo):
    """Both numbers as links, and a summary with name, age and what is seen now."""
    write(
        demo,
        f.KennelDescribed(
            name="Marsh End",
            vet_name="Dr Holm",
            vet_phone="+49 30 5550101",
            out_of_hours_phone="030 5550199",
        ),
        at=NOW,
    )
    dog = the_dog(book(), "Fern").dog
    answer = no_danger(mara, dog, dull="yes")
    page = mara.get(answer["Location"])
    html, text = page.content.decode(), text_of(page)
    assert 'href="tel:+49305550101"' in html
    assert 'href="tel:0305550199"' in html
    assert "Fern" in text
    assert "Right now: dull" in text
    assert "soap" in text
    assert "unweaned puppy stays with its dam" in text


def test_a_kennel_without_numbers_is_told_to_store_them(fresh, kennel, at):
    """The red page never shows an empty link."""
    dog = lone_dog(kennel, at=NOW)
    page = fresh.get(no_danger(fresh, dog, cold="yes")["Location"])
    assert "No number is stored yet" in text_of(page)
    assert "tel:" not in page.content.decode()


def test_bench_opens_once_the_vet_was_called(mara, book):
    """The call is an entry; a second tap writes nothing more."""
    dog = the_dog(book(), "Fern").dog
    no_danger(mara, dog, kit=KIT, bleeding="yes")
    said = {"entry": desk.new_id(), "note": "Come at once", "kit": KIT}
    for _tap in range(2):
        answer = mara.post(f"/danger/{dog}/called/", said)
        assert answer.status_code == 302
    calls = [e.fact for e in book().of(f.VetCalled) if e.fact.dog == dog]
    assert [c.note for c in calls].count("Come at once") == 1
    assert mara.get(f"/bench/{dog}/{KIT}/").status_code == 200
    assert "The vet wants the strip" in text_of(mara.get(answer["Location"]))


def test_keeping_apart_from_the_red_page(mara, book):
    """One entry; a second tap changes nothing."""
    dog = the_dog(book(), "Fern").dog
    assert book().dogs[dog].apart is None
    no_danger(mara, dog, dull="yes")
    said = {"entry": desk.new_id()}
    mara.post(f"/danger/{dog}/apart/", said)
    mara.post(f"/danger/{dog}/apart/", said)
    assert book().dogs[dog].apart is not None
    assert sum(e.fact.dog == dog for e in book().of(f.KeptApart)) == 1


def adult(kennel, *, sex, season_days_ago=None, mated_days_ago=None, neutered=False):
    """An adult dog in a pen, with a season or a mating some days ago."""
    from datetime import timedelta

    pen, dog = desk.new_id(), desk.new_id()
    long_ago = NOW - timedelta(days=300)
    facts = [
        (long_ago, f.PenDescribed(pen=pen, name="Row 1", pen_kind="adults")),
        (
            long_ago,
            f.DogDescribed(
                dog=dog,
                name="Ash",
                sex=sex,
                born_on=NOW.date().replace(year=2021),
                is_neutered=neutered,
            ),
        ),
        (long_ago, f.Moved(dog=dog, pen=pen)),
    ]
    if season_days_ago is not None:
        season = f.CycleNoted(dam=dog, what="season-start")
        facts.append((NOW - timedelta(days=season_days_ago), season))
    if mated_days_ago is not None:
        mating = f.Mated(dam=dog, sire_outside="Rook")
        facts.append((NOW - timedelta(days=mated_days_ago), mating))
    for when, fact in facts:
        write(kennel, fact, at=NOW, happened_at=when)
    return dog


@pytest.mark.parametrize(
    ("made", "asked"),
    [
        ({"sex": "dog"}, {"retching-swollen-belly"}),
        ({"sex": "bitch"}, {"retching-swollen-belly", "ill-after-season"}),
        (
            {"sex": "bitch", "season_days_ago": 40},
            {"retching-swollen-belly", "ill-after-season"},
        ),
        ({"sex": "bitch", "season_days_ago": 200}, {"retching-swollen-belly"}),
        ({"sex": "bitch", "neutered": True}, {"retching-swollen-belly"}),
        (
            {"sex": "bitch", "mated_days_ago": 58},
            {"retching-swollen-belly", "ill-after-season", "green-discharge"},
        ),
    ],
)
def test_pictures_that_fit_the_dog_are_shown(fresh, kennel, made, asked):
    """Womb infection after a season, a twisted stomach, green discharge."""
    dog = adult(kennel, **made)
    html = fresh.get(f"/danger/{dog}/").content.decode()
    codes = {"retching-swollen-belly", "ill-after-season", "green-discharge"}
    assert {code for code in codes if f'name="{code}"' in html} == asked


def test_a_picture_alone_means_the_vet(fresh, kennel):
    """Five times no, and a swollen belly: red all the same."""
    dog = adult(kennel, sex="bitch")
    answer = no_danger(fresh, dog, retching_swollen_belly="on")
    assert answer["Location"] == f"/danger/{dog}/vet/"
    text = text_of(fresh.get(answer["Location"]))
    assert "retching, swollen belly" in text


def test_a_dog_that_is_not_there(mara):
    """An id from elsewhere answers 404, also on a POST."""
    assert mara.get("/danger/nothing/").status_code == 404
    assert mara.post("/danger/nothing/called/", {}).status_code == 404
