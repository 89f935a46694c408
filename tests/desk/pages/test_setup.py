"""Set-up: the first start, the kennel, people, leaflets, light and dark; logging in."""

import pytest
from django.test import Client

from kennelward import desk
from tests.desk.pages.conftest import PASSWORD, text_of

FIRST = {
    "name": "Marsh End",
    "vet_name": "Dr. Aster",
    "vet_phone": "+44 1632 960001",
    "out_of_hours_phone": "01632 960002",
    "country": "",
    "time_zone": "Europe/London",
    "currency": "gbp",
    "clinic_visit": "62.50",
    "laboratory_test": "",
    "username": "mara",
    "password": PASSWORD,
}


def test_the_first_start_leads_to_one_page_and_opens_the_book(db, clock_stands):
    """Every address leads there; afterwards the owner is in and the page is shut."""
    client = Client()
    for address in ("/", "/dogs/", "/account/login/"):
        assert client.get(address)["Location"] == "/setup/first/"
    page = client.get("/setup/first/")
    assert "You are its first owner" in text_of(page)
    assert client.post("/setup/first/", FIRST)["Location"] == "/setup/"
    text = text_of(client.get("/setup/"))
    assert "From here to a first test" in text
    assert "Dr. Aster" in text
    card = desk.snapshot().kennel
    assert (card.currency, card.clinic_visit_cents) == ("GBP", 6250)
    assert client.get("/setup/first/").status_code == 302
    other = Client().post("/setup/first/", FIRST | {"username": "eve"})
    assert other.status_code == 302
    assert len(desk.people(desk.kennels()[0][0])) == 1


@pytest.mark.parametrize(
    "wrong",
    [
        {"name": ""},
        {"name": "x" * 201},
        {"username": "two words"},
        {"password": "12345678"},
        {"password": "short"},
        {"time_zone": "Moon/Base"},
        {"currency": "€"},
        {"clinic_visit": "-1"},
    ],
)
def test_a_wrong_first_page_makes_nobody(db, clock_stands, wrong):
    """It comes back with what is wrong."""
    answer = Client().post("/setup/first/", FIRST | wrong)
    assert answer.status_code == 200
    assert "Not saved yet" in text_of(answer)
    assert not desk.has_people()


def test_the_steps_lead_from_empty_to_a_first_test(fresh):
    """Each step names the next; done ones stay done."""
    page = fresh.get("/setup/").content.decode()
    assert page.count('aria-current="step"') == 1
    assert "/setup/kennel/" in page.partition('aria-current="step"')[2]
    fresh.post("/setup/kennel/", FIRST)
    page = fresh.get("/setup/").content.decode()
    assert "/pens/quick/" in page.partition('aria-current="step"')[2]


def test_the_kennel_is_described_anew(mara, book):
    """The form holds what is known; a change is an entry."""
    html = mara.get("/setup/kennel/").content.decode()
    assert book().kennel.vet_name in html
    assert mara.post("/setup/kennel/", FIRST | {"name": "L" * 200}).status_code == 302
    assert book().kennel.name == "L" * 200
    assert "L" * 200 in mara.get("/").content.decode()


LEAFLET = {
    "drops": "3",
    "read_from_minutes": "5",
    "read_until_minutes": "8",
    "storage_low_c": "2",
    "storage_high_c": "30",
}


def test_a_leaflet_is_typed_off_and_nothing_is_filled_in(mara, book):
    """No default reading time: the fields start empty."""
    kit = desk.handbook(desk.kennels()[0][0]).kits["giardia-antigen"]
    html = mara.get("/setup/leaflet/giardia-antigen/?next=/shelf/").content.decode()
    for name in LEAFLET:
        tag = html.partition(f'name="{name}"')[2].partition(">")[0]
        assert "value=" not in tag, name
    form = LEAFLET | {"samples": [kit.samples[0]], "next": "/shelf/"}
    assert mara.post("/setup/leaflet/giardia-antigen/", form)["Location"] == "/shelf/"
    leaflet = book().leaflets["giardia-antigen"]
    assert (leaflet.drops, leaflet.read_until_minutes) == (3, 8.0)
    away = mara.post(
        "/setup/leaflet/giardia-antigen/", form | {"next": "https://elsewhere.example/"}
    )
    assert away["Location"] == "/setup/"


@pytest.mark.parametrize(
    "wrong",
    [
        {"read_until_minutes": "3"},
        {"storage_high_c": "1"},
        {"drops": "0"},
        {"samples": []},
        {"samples": ["tea"]},
        {"read_from_minutes": ""},
    ],
)
def test_a_wrong_leaflet_is_refused(mara, book, wrong):
    """A window that ends before it begins, no sample, no drops."""
    before = len(book().entries)
    form = LEAFLET | {"samples": ["faeces"]} | wrong
    answer = mara.post("/setup/leaflet/giardia-antigen/", form)
    assert answer.status_code == 200
    assert len(book().entries) == before
    assert mara.get("/setup/leaflet/tea-leaves/").status_code == 404


def test_people_are_added_changed_and_never_left_without_an_owner(mara, demo):
    """A role, a new password, switched off; the last owner stays."""
    form = {"username": "ida", "full_name": "Ida", "role": "hand", "password": PASSWORD}
    assert mara.post("/setup/people/", form).status_code == 302
    ida = next(p for p in desk.people(demo) if p.username == "ida")
    again = mara.post("/setup/people/", form)
    assert "already" in text_of(again)
    weak = mara.post("/setup/people/", form | {"username": "bo", "password": "1234"})
    assert "Not saved yet" in text_of(weak)
    mara.post(f"/setup/people/{ida.user}/", {"role": "vet", "password": ""})
    ida = next(p for p in desk.people(demo) if p.username == "ida")
    assert (ida.role, ida.is_active) == ("vet", False)
    owner = next(p for p in desk.people(demo) if p.role == "owner")
    refused = mara.post(
        f"/setup/people/{owner.user}/", {"role": "hand", "is_active": "on"}
    )
    assert "owner" in text_of(refused)
    assert next(p for p in desk.people(demo) if p.user == owner.user).role == "owner"
    assert mara.get("/setup/people/999999/").status_code == 404


def test_light_and_dark_are_remembered(mara):
    """A cookie, no script; anything else means as the device says."""
    mara.post("/setup/look/", {"look": "dark", "next": "/dogs/"})
    assert 'data-look="dark"' in mara.get("/dogs/").content.decode()
    mara.post("/setup/look/", {"look": "plaid"})
    assert "data-look" not in mara.get("/dogs/").content.decode()


def test_the_door_shuts_after_five_wrong_tries(demo, settings):
    """The sixth try is refused, even with the right password."""
    from django.core.cache import cache

    cache.clear()
    client = Client()
    for _try in range(5):
        page = client.post("/account/login/", {"login": "mara", "password": "wrong"})
        assert page.status_code == 200
    page = client.post("/account/login/", {"login": "mara", "password": PASSWORD})
    assert page.status_code == 200
    assert "Too many failed login attempts" in text_of(page)
    cache.clear()
    page = client.post("/account/login/", {"login": "mara", "password": PASSWORD})
    assert page.status_code == 302


def test_nobody_signs_up_by_themselves(demo):
    """There is no such page."""
    for address in ("/account/signup/", "/account/closed/signup/"):
        assert Client().get(address).status_code in (302, 404)
        assert "signup" not in Client().get("/account/login/").content.decode()
