"""Litters: due days, the whelping night, weights and losses, page by page."""

import re
from datetime import UTC, date, datetime, time, timedelta

import pytest

from kennelward import desk
from kennelward.kennel import facts as f
from tests.desk.pages.conftest import NOW, text_of, the_dog
from tests.desk.pages.litters_steps import mara_writes


def note(client, dam, form, /, **said):
    """A fact as the pregnancy page's short forms send it."""
    return client.post(f"/litters/bitch/{dam}/{form}/", {"entry": desk.new_id()} | said)


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
    says = "Sun 20 Dec 2026 to Sat 26 Dec 2026"
    assert says in text_of(mara.get("/litters/"))
    page = text_of(mara.get(f"/litters/bitch/{juniper}/"))
    assert says in page
    table = re.findall(r"(\d+ Dec 2026) (\d+\.\d)", page)
    assert sum(float(share) for _, share in table) == pytest.approx(100, abs=2)


def test_an_ovulation_day_moves_the_due_date(mara, juniper):
    """Ovulation 20 October: birth 63 days later (Mir 2011: 63.1 +/- 2.1), 22 December."""
    answer = note(mara, juniper, "season", what="ovulation", day="2026-10-20")
    assert answer.status_code == 302
    page = text_of(mara.get(f"/litters/bitch/{juniper}/"))
    assert "most likely due Tue 22 Dec 2026" in page
    assert "Known from: ovulation day" in page


@pytest.mark.parametrize(
    ("form", "said", "complaint"),
    [
        ("progesterone", {"unit": "ng/mL"}, "Value"),
        ("progesterone", {"value": "150", "unit": "ng/mL"}, "progesterone"),
        ("progesterone", {"value": "4,8"}, "Unit on the report"),
        ("temperature", {"celsius": "98.6"}, "in °C it would be 37.0"),
        ("temperature", {"celsius": "12"}, "temperature"),
        ("x-ray", {"count": "99", "day": "2026-11-25"}, "Puppies counted"),
        ("scan", {"call": "negative", "count": "3", "day": "2026-11-25"}, "None were"),
        ("season", {"what": "moonrise", "day": "2026-11-25"}, "moonrise"),
        ("season", {"what": "lh-surge", "day": "2031-01-01"}, "future"),
    ],
)
def test_a_wrong_note_is_refused_in_words(mara, juniper, book, form, said, complaint):
    """The page comes back with what is wrong; nothing is written."""
    before = len(book().entries)
    answer = note(mara, juniper, form, **said)
    assert answer.status_code == 422
    assert complaint in text_of(answer)
    assert len(book().entries) == before


def test_what_cannot_be_written_is_not_found(mara, juniper):
    """An address made up."""
    assert mara.get(f"/litters/bitch/{juniper}/moonrise/").status_code == 404


def test_progesterone_keeps_its_unit_and_laboratory(mara, juniper, book):
    """15.9 nmol/L stands in the book as written, and the next form starts from it."""
    said = {"value": "15,9", "unit": "nmol/L", "assay": "Fen Vets, CLIA"}
    said |= {"when": "2026-10-18T09:00"}
    assert note(mara, juniper, "progesterone", **said).status_code == 302
    fact = book().of(f.ProgesteroneMeasured)[-1].fact
    assert (fact.value, fact.unit, fact.assay) == (15.9, "nmol/L", "Fen Vets, CLIA")
    form = mara.get(f"/litters/bitch/{juniper}/progesterone/").content.decode()
    assert re.search(r'value="nmol/L"[^>]*checked', form)
    assert "Fen Vets, CLIA" in form


def test_each_fact_says_what_it_says_on_its_own(mara, juniper):
    """Mating dates and an ovulation day, each with its own window."""
    note(mara, juniper, "season", what="ovulation", day="2026-10-20")
    page = text_of(mara.get(f"/litters/bitch/{juniper}/"))
    own = page[page.index("What each says on its own") :]
    assert own.index("ovulation day") < own.index("mating dates")


def test_a_scan_says_three_things_at_once(mara, juniper, book):
    """Pregnant, five seen, 30 days on: and she is said to be pregnant."""
    said = {"call": "positive", "count": "5", "days": "30", "day": "2026-11-20"}
    assert note(mara, juniper, "scan", **said).status_code == 302
    now = book()
    assert now.of(f.PuppiesCounted)[-1].fact.count == 5
    assert now.of(f.PregnancyAged)[-1].fact.days_from_ovulation == 30
    page = text_of(mara.get(f"/litters/bitch/{juniper}/"))
    assert "Pregnant. Seen by the vet." in page
    assert "Counted: 5" in page
    assert "age on a scan" in page


def test_dates_that_contradict_are_said_and_break_no_page(mara, juniper):
    """An LH day seven weeks away from the ovulation day."""
    note(mara, juniper, "season", what="lh-surge", day="2026-11-24")
    note(mara, juniper, "season", what="ovulation", day="2026-10-01")
    assert "contradict" in text_of(mara.get(f"/litters/bitch/{juniper}/"))
    assert mara.get("/litters/").status_code == 200


def test_a_lost_pregnancy_leaves_the_list(mara, juniper):
    """After the loss nothing is expected of her."""
    mara.post(f"/dogs/{juniper}/lost/", {"entry": desk.new_id()})
    assert "Juniper in 27 days" not in text_of(mara.get("/litters/"))
    page = text_of(mara.get(f"/litters/bitch/{juniper}/"))
    assert "No pregnancy under way" in page


def strip_of(book, dam, call, on):
    """A relaxin strip of that day in the book, read within its minutes."""
    leaflet = book.leaflets["relaxin"]
    test, sample = desk.new_id(), leaflet.samples[0]
    begun = datetime.combine(on, time(9), tzinfo=UTC)
    started = f.TestStarted(test=test, dog=dam, kit="relaxin", sample=sample)
    mara_writes(started, at=begun)
    minutes = leaflet.read_from_minutes
    seen = f.StripSeen(test=test, call=call, minutes=minutes)
    mara_writes(seen, at=begun + timedelta(minutes=minutes))


@pytest.fixture
def fern(book):
    """A bitch mated on 21 October, 35 days ago, and never tested."""
    dog = the_dog(book(), "Fern").dog
    mated = f.Mated(dam=dog, sire_outside="Rook")
    mara_writes(mated, at=datetime(2026, 10, 21, 9, tzinfo=UTC))
    return dog


def test_an_early_negative_never_takes_her_off_the_list(mara, fern, book):
    """Day 20: too early to say, she stays, and the day of the repeat is given."""
    strip_of(book(), fern, "negative", date(2026, 11, 10))
    listed = text_of(mara.get("/litters/"))
    assert "Fern in" in listed
    assert "Too early to say" in listed
    page = text_of(mara.get(f"/litters/bitch/{fern}/"))
    assert "before negatives count: says nothing" in page
    assert "Repeat the test from" in page


def test_two_late_negatives_are_shown_apart_and_why(mara, fern, book):
    """Not silently gone: under what was said, with the reason."""
    note(mara, fern, "season", what="lh-surge", day="2026-10-10")
    strip_of(book(), fern, "negative", date(2026, 11, 14))
    assert "One negative, to be repeated" in text_of(mara.get("/litters/"))
    strip_of(book(), fern, "negative", date(2026, 11, 22))
    listed = text_of(mara.get("/litters/"))
    assert "Said not to be pregnant Fern" in listed
    page = text_of(mara.get(f"/litters/bitch/{fern}/"))
    assert "By two late negatives" in page


def test_a_positive_then_a_negative_is_a_call_to_the_vet(mara, fern, book):
    """Pregnant, then not: gloves and the people's caution before all else."""
    note(mara, fern, "season", what="lh-surge", day="2026-10-10")
    strip_of(book(), fern, "positive", date(2026, 11, 14))
    strip_of(book(), fern, "negative", date(2026, 11, 22))
    page = text_of(mara.get(f"/litters/bitch/{fern}/"))
    assert "now a negative: call the vet" in page
    assert page.index("Call the vet now") < page.index("When she is due")


def test_a_mating_that_nobody_saw(mara, juniper, book):
    """First and last day it can have been; the window is wider than with a day."""
    fern = the_dog(book(), "Fern").dog
    said = {"sire_outside": "a loose dog", "method": "natural", "day": "2026-11-10"}
    said |= {"first_possible_on": "2026-10-25", "entry": desk.new_id()}
    assert mara.post(f"/dogs/{fern}/mated/", said).status_code == 302
    page = text_of(mara.get(f"/litters/bitch/{fern}/"))
    assert "In 8 of 10 such pregnancies" in page
    wrong = said | {"first_possible_on": "2026-11-12", "entry": desk.new_id()}
    assert "after the last" in text_of(mara.post(f"/dogs/{fern}/mated/", wrong))


def test_two_matings_a_week_apart(mara, book):
    """Both stand; the windows of the tests go by the last."""
    fern = the_dog(book(), "Fern").dog
    for day in (1, 8):
        at = datetime(2026, 11, day, 9, tzinfo=UTC)
        mara_writes(f.Mated(dam=fern, sire_outside="Rook"), at=at)
    page = text_of(mara.get(f"/litters/bitch/{fern}/"))
    assert "A negative counts only from Fri 11 Dec 2026" in page  # 33 days after 8 Nov
    assert page.count("Rook") == 2


def test_a_bitch_said_pregnant_of_whom_no_day_is_known(mara, book):
    """A scan and nothing else: listed, the day said to be missing."""
    fern = the_dog(book(), "Fern").dog
    note(mara, fern, "scan", call="positive", day="2026-11-25")
    assert "Fern day not known" in text_of(mara.get("/litters/"))
    page = text_of(mara.get(f"/litters/bitch/{fern}/"))
    assert "No day is known from which to count" in page


def test_the_last_days_before_the_birth(mara, juniper, book):
    """Mated 60 days ago: temperatures twice a day, a fall, and the vet's numbers."""
    fern = the_dog(book(), "Fern").dog
    mated = datetime(2026, 9, 26, 9, tzinfo=UTC)
    mara_writes(f.Mated(dam=fern, sire_outside="Rook"), at=mated)
    for hours, celsius in ((30, "38.2"), (20, "38.1"), (2, "37.1")):
        when = (NOW - timedelta(hours=hours)).strftime("%Y-%m-%dT%H:%M")
        note(mara, fern, "temperature", celsius=celsius, when=when)
    page = text_of(mara.get(f"/litters/bitch/{fern}/"))
    assert "37.1" in page
    assert "1 not taken" in page
    assert "temperature fall" in page
    assert "01632 960142" in page  # the vet, to tap
    assert page.index("Hard straining for 20 minutes") < page.index("2 hours since")


@pytest.mark.parametrize(
    ("role", "shown", "hidden"),
    [("vet", "Progesterone", "Mated"), ("hand", "Mated", None)],
)
def test_each_role_is_offered_what_it_may_write(as_role, juniper, role, shown, hidden):
    """A vet writes scans and progesterone, not matings; a helper writes both."""
    page = text_of(as_role(role).get(f"/litters/bitch/{juniper}/"))
    offered = page[: page.index("When she is due")]
    assert shown in offered
    assert hidden is None or hidden not in offered
    said = {"call": "positive", "day": "2026-11-25"}
    assert note(as_role(role), juniper, "scan", **said).status_code == 302
