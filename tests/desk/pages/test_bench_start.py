"""Bench before the drops: which dog, which kit, what stands in the way, the start."""

from datetime import timedelta

import pytest

from kennelward import desk
from kennelward.kennel import facts as f
from tests.desk.pages.bench_steps import (
    KIT,
    kind_of_test,
    lone_dog,
    no_danger,
    start_strip,
    type_leaflet,
    write,
)
from tests.desk.pages.conftest import NOW, text_of, the_dog


@pytest.fixture
def fern(mara, book, demo):
    """A dog without danger today, with a leaflet typed."""
    dog = the_dog(book(), "Fern").dog
    type_leaflet(demo, at=NOW)
    no_danger(mara, dog)
    return dog


def lot(kennel, *, expires_on, kit=KIT, code="K-1"):
    """A box of strips on the shelf."""
    new = desk.new_id()
    fact = f.LotReceived(
        lot=new, kit=kit, lot_code=code, expires_on=expires_on, count=5
    )
    write(kennel, fact, at=NOW, happened_at=NOW - timedelta(days=30))
    return new


def test_dog_then_kit_then_the_five_questions(mara, book):
    """Two taps to the questions; Bench opens for no dog that was not looked at today."""
    dog = the_dog(book(), "Fern").dog
    assert f"?dog={dog}" in mara.get("/bench/").content.decode()
    assert f"/bench/{dog}/{KIT}/" in mara.get(f"/bench/?dog={dog}").content.decode()
    both = mara.get(f"/bench/?dog={dog}&kit={KIT}")
    assert both["Location"] == f"/bench/{dog}/{KIT}/"
    first = mara.get(f"/bench/{dog}/{KIT}/")
    assert first["Location"] == f"/danger/{dog}/?kit={KIT}"


def test_a_leaflet_not_typed_stops_and_leads_to_it(fresh, kennel):
    """No reading time counts before the kit's own leaflet was typed."""
    dog = lone_dog(kennel, at=NOW)
    no_danger(fresh, dog)
    page = fresh.get(f"/bench/{dog}/{KIT}/")
    assert f"/setup/leaflet/{KIT}/?next=/bench/{dog}/{KIT}/" in page.content.decode()
    assert "start the clock" not in text_of(page)
    start_strip(fresh, dog)
    assert not desk.snapshot(kennel).tests


def test_steps_come_with_drawings_and_the_cautions_that_belong_to_them(mara, fern):
    """Drawings of our own; gloves and waste where they matter; this leaflet's minutes."""
    page = mara.get(f"/bench/{fern}/{KIT}/")
    html, text = page.content.decode(), text_of(page)
    assert html.count("bench/steps.svg#") >= 5
    assert "Your leaflet: 3 drops." in text
    assert "from 5 to 10 minutes" in text
    assert "loves" in text
    assert "soap" in text.lower()


def test_every_picture_a_step_names_is_drawn(mara, fern, book):
    """No kit of the handbook asks for a drawing that is not there."""
    import re
    from pathlib import Path

    import kennelward.desk.pages.bench as room

    folder = Path(room.__file__).parent / "static" / "bench"
    drawn = set(
        re.findall(r'id="([a-z-]+)"', (folder / "steps.svg").read_text("utf-8"))
    )
    kits = desk.handbook(desk.kennels()[0][0]).kits.values()
    wanted = {step.picture for kit in kits for step in kit.steps}
    assert wanted <= drawn


def test_the_start_is_an_entry_and_a_double_tap_starts_once(mara, fern, book):
    """The same form twice leads to the same clock."""
    entry = desk.new_id()
    before = len(book().tests)
    first = kind_of_test(start_strip(mara, fern, entry=entry))
    second = kind_of_test(start_strip(mara, fern, entry=entry))
    assert first == second == entry
    assert len(book().tests) == before + 1
    card = book().tests[entry]
    assert (card.dog, card.kit, card.sample, card.state) == (
        fern,
        KIT,
        "faeces",
        "running",
    )


def test_an_expired_box_does_not_start(mara, fern, demo, book):
    """Not when it is chosen, however the form is sent."""
    old = lot(demo, expires_on=NOW.date() - timedelta(days=1), code="OLD-7")
    page = mara.get(f"/bench/{fern}/{KIT}/")
    assert "EXPIRED: OLD-7" in text_of(page)
    before = len(book().tests)
    answer = start_strip(mara, fern, lot=old)
    assert answer.status_code == 200
    assert "its result would not count" in text_of(answer)
    assert len(book().tests) == before


def test_the_printed_date_is_the_last_day_of_use(mara, fern, demo, book):
    """Today's date on the box is still in date."""
    today = lot(demo, expires_on=NOW.date(), code="TODAY-1")
    started = kind_of_test(start_strip(mara, fern, lot=today))
    assert book().tests[started].lot == today
    assert book().lots[today].count_left == 4


def test_only_expired_boxes_stop_the_page(mara, fern, demo, book):
    """Where every box of the kind is past its date, the start is not even offered."""
    for one in list(book().lots.values()):
        if one.kit == KIT:
            write(demo, f.LotCounted(lot=one.lot, count=0, why="used up"), at=NOW)
    lot(demo, expires_on=NOW.date() - timedelta(days=3))
    page = mara.get(f"/bench/{fern}/{KIT}/")
    assert "past its printed date" in text_of(page)
    assert "start the clock" not in text_of(page)
    before = len(book().tests)
    start_strip(mara, fern)
    assert len(book().tests) == before


def test_a_box_off_the_list_needs_a_look_at_its_date(mara, fern, book):
    """Nobody looked: nothing starts."""
    before = len(book().tests)
    answer = start_strip(mara, fern, date_looked_at="")
    assert answer.status_code == 200
    assert "Look at the printed date" in text_of(answer)
    assert len(book().tests) == before


@pytest.mark.parametrize(("sample", "says"), [("blood", "choice"), ("", "required")])
def test_a_wrong_sample_does_not_start(mara, fern, book, sample, says):
    """Blood on a stool strip."""
    before = len(book().tests)
    answer = start_strip(mara, fern, sample=sample)
    assert answer.status_code == 200
    assert says in text_of(answer)
    assert len(book().tests) == before


def test_a_sample_the_leaflet_does_not_allow(mara, book, demo):
    """The handbook knows several samples; this kennel's leaflet allows fewer."""
    kit = "brucella-antibody"
    dog = the_dog(book(), "Fern").dog
    samples = desk.handbook(demo).kits[kit].samples
    assert len(samples) > 1
    type_leaflet(demo, at=NOW, kit=kit, samples=samples[:1])
    no_danger(mara, dog)
    answer = start_strip(mara, dog, kit=kit, sample=samples[1], drawn_by_trained="on")
    assert answer.status_code == 200
    assert "Wrong sample: by the leaflet" in text_of(answer)


def test_blood_is_drawn_by_the_vet_or_someone_trained(mara, book, demo):
    """Without that word the strip does not start; the caution about people is there."""
    kit = "brucella-antibody"
    dog = the_dog(book(), "Fern").dog
    sample = desk.handbook(demo).kits[kit].samples[0]
    type_leaflet(demo, at=NOW, kit=kit, samples=(sample,))
    no_danger(mara, dog)
    text = text_of(mara.get(f"/bench/{dog}/{kit}/"))
    assert "sharps" in text.lower()
    refused = start_strip(mara, dog, kit=kit, sample=sample)
    assert refused.status_code == 200
    assert "by nobody else" in text_of(refused)
    assert kind_of_test(
        start_strip(mara, dog, kit=kit, sample=sample, drawn_by_trained="on")
    )


def test_a_pregnancy_strip_is_not_for_a_male(mara, book, demo):
    """Not offered among the kits, and stopped where asked for."""
    type_leaflet(demo, at=NOW, kit="relaxin", samples=("blood",))
    male = next(d for d in book().dogs_here if d.described.sex == "dog").dog
    assert "pregnancy strip" not in text_of(mara.get(f"/bench/?dog={male}"))
    no_danger(mara, male)
    assert "needs a bitch" in text_of(mara.get(f"/bench/{male}/relaxin/"))


def test_a_live_vaccine_lately_is_said_before_the_strip(mara, fern, demo, book):
    """It can show as a line: a warning, not a stop."""
    kit = "parvovirus-antigen"
    type_leaflet(demo, at=NOW, kit=kit)
    vaccine = f.Vaccinated(dog=fern, against=("parvovirus",), is_live=True)
    write(demo, vaccine, at=NOW, happened_at=NOW - timedelta(days=5))
    text = text_of(mara.get(f"/bench/{fern}/{kit}/"))
    assert "vaccine" in text.lower()
    assert "start the clock" in text


@pytest.mark.parametrize("path", ["nothing/giardia-antigen", "{dog}/nothing"])
def test_a_dog_or_a_kit_that_is_not_there(mara, fern, path):
    """404, not a broken page."""
    assert mara.get(f"/bench/{path.format(dog=fern)}/").status_code == 404
