"""Reading a strip: the clock, the tap, too early, too late, second looks, dropping."""

import re
from datetime import timedelta

import pytest
from icalendar import Calendar

from kennelward import desk
from kennelward.kennel import facts as f
from kennelward.terms import Call
from tests.desk.pages.bench_steps import (
    KIT,
    Clock,
    kind_of_test,
    lone_dog,
    no_danger,
    see,
    start_strip,
    type_leaflet,
    write,
)
from tests.desk.pages.conftest import NOW, text_of, the_dog


@pytest.fixture
def time(monkeypatch, demo):
    """The desk's clock, moved by hand."""
    return Clock(monkeypatch, NOW)


@pytest.fixture
def strip(mara, book, demo, time):
    """A strip on Fern, drops on just now; read from minute 5 to 10."""
    dog = the_dog(book(), "Fern").dog
    type_leaflet(demo, at=NOW)
    no_danger(mara, dog)
    return kind_of_test(start_strip(mara, dog))


def shown_parts(html: str) -> set[str]:
    """Phases whose parts are not hidden."""
    parts = re.findall(r'data-when="([a-z ]+)"([^>]*)>', html)
    return {when for when, rest in parts if "hidden" not in rest and " " not in when}


@pytest.mark.parametrize(
    ("minutes", "phase"),
    [(0, "wait"), (4.99, "wait"), (5, "read"), (10, "read"), (10.1, "late")],
)
def test_reopening_says_whether_the_strip_may_still_be_read(
    mara, strip, time, minutes, phase
):
    """The clock counts from the stored start, whatever was closed meanwhile."""
    time.on(minutes=minutes)
    html = mara.get(f"/bench/test/{strip}/").content.decode()
    assert f'data-phase="{phase}"' in html
    assert shown_parts(html) == {phase}


def test_without_scripts_the_page_comes_back_by_itself(mara, strip, time):
    """A refresh at the moment the phase changes, only where scripts are off."""
    time.on(minutes=2)
    html = mara.get(f"/bench/test/{strip}/").content.decode()
    refresh = re.search(r'<noscript><meta http-equiv="refresh" content="(\d+)">', html)
    assert int(refresh.group(1)) == 3 * 60 + 1


def test_bench_and_start_show_strips_that_run(mara, strip, time):
    """The clock is found again from either page."""
    time.on(minutes=6)
    for page in ("/", "/bench/"):
        answer = mara.get(page)
        assert f"/bench/test/{strip}/" in answer.content.decode()
        assert "read now, until" in text_of(answer)


def test_the_alarm_file_rings_at_both_moments(mara, strip):
    """Two events with alarms, at the leaflet's minutes; opened twice, the same ids."""
    answer = mara.get(f"/bench/test/{strip}/alarm.ics")
    assert answer["Content-Type"].startswith("text/calendar")
    events = list(Calendar.from_ical(answer.content).walk("VEVENT"))
    moments = [event["dtstart"].dt for event in events]
    assert moments == [NOW + timedelta(minutes=5), NOW + timedelta(minutes=10)]
    assert all(event.walk("VALARM") for event in events)
    again = Calendar.from_ical(mara.get(f"/bench/test/{strip}/alarm.ics").content)
    assert [e["uid"] for e in again.walk("VEVENT")] == [e["uid"] for e in events]


@pytest.mark.parametrize(
    ("tap", "call", "is_faint"),
    [
        ("two", Call.POSITIVE, False),
        ("faint", Call.POSITIVE, True),
        ("one", Call.NEGATIVE, False),
        ("t-only", Call.INVALID, False),
        ("none", Call.INVALID, False),
        ("unsure", Call.UNREADABLE, False),
    ],
)
def test_one_tap_saves_what_a_person_saw(mara, strip, time, book, tap, call, is_faint):
    """Saved at once, without a photo; any test line however faint is a positive."""
    time.on(minutes=7)
    page = see(mara, strip, tap)
    assert page.status_code == 200
    card = book().tests[strip]
    assert (card.call, card.is_faint) == (call, is_faint)
    assert card.minutes == 7.0
    assert card.seen.recorded_by == "Mara"


def test_too_early_is_refused(mara, strip, time, book):
    """No call before the leaflet's minute, not even a positive."""
    time.on(minutes=4)
    for tap in ("two", "one"):
        assert "Not yet" in text_of(see(mara, strip, tap))
    assert book().tests[strip].state == "running"


def test_a_positive_early_where_the_leaflet_allows_it(mara, book, demo, time):
    """Only once both lines show; a negative never."""
    dog = the_dog(book(), "Fern").dog
    type_leaflet(demo, at=NOW, early=True)
    no_danger(mara, dog)
    strip = kind_of_test(start_strip(mara, dog))
    time.on(minutes=2)
    assert "Both lines show already" in text_of(mara.get(f"/bench/test/{strip}/"))
    assert "Not yet" in text_of(see(mara, strip, "one"))
    assert book().tests[strip].state == "running"
    see(mara, strip, "two")
    assert book().tests[strip].call is Call.POSITIVE
    assert book().tests[strip].counts


@pytest.mark.parametrize("tap", ["one", "two"])
def test_a_late_reading_is_kept_and_does_not_count(mara, strip, time, book, tap):
    """Tapped on a page that was opened in time: void, and never reassuring."""
    time.on(minutes=11)
    page = see(mara, strip, tap)
    card = book().tests[strip]
    assert card.minutes == 11.0
    assert not card.counts
    text = text_of(page)
    assert "This result does not count." in text
    assert "reassures about nothing" in text
    assert "Repeat with a new strip" in text
    assert "What it means" not in text
    assert ("Kept apart from now" in text) == (tap == "two")


def test_the_late_page_offers_no_call(mara, strip, time):
    """Only dropping it, or what was seen in time."""
    time.on(minutes=30)
    html = mara.get(f"/bench/test/{strip}/").content.decode()
    assert shown_parts(html) == {"late"}
    assert "Drop it, repeat with a new strip" in html


def test_seen_in_time_and_written_down_later(mara, strip, time, book):
    """Gloves off first: the minute is the person's word, and lies in the time."""
    time.on(minutes=25)
    see(mara, strip, "one", minute="7")
    card = book().tests[strip]
    assert card.minutes == 7.0
    assert card.seen.happened_at == NOW + timedelta(minutes=7)
    assert card.counts


@pytest.mark.parametrize("minute", ["4", "10.5", "-1", "soon", "nan", "1e9"])
def test_a_minute_outside_the_time_is_refused(mara, strip, time, book, minute):
    """Outside the kit's minutes there is no call."""
    time.on(minutes=25)
    page = see(mara, strip, "one", minute=minute)
    assert "outside the leaflet" in text_of(page)
    assert book().tests[strip].state == "running"


def test_a_minute_that_has_not_come_yet_is_refused(mara, strip, time, book):
    """Minute 9 cannot have been seen at minute 6."""
    time.on(minutes=6)
    see(mara, strip, "one", minute="9")
    assert book().tests[strip].state == "running"


def test_a_double_tap_saves_one_reading(mara, strip, time, book):
    """Also seconds later, when the minutes are others."""
    time.on(minutes=6)
    entry = desk.new_id()
    see(mara, strip, "two", entry=entry)
    time.on(seconds=5)
    see(mara, strip, "two", entry=entry)
    assert sum(e.fact.test == strip for e in book().of(f.StripSeen)) == 1


def test_two_people_reading_at_once(as_role, mara, strip, time, book):
    """The first one stands; the second is told, and nothing is overwritten."""
    time.on(minutes=6)
    see(mara, strip, "two")
    page = see(as_role("hand"), strip, "one")
    assert "Somebody has read this strip already" in text_of(page)
    card = book().tests[strip]
    assert card.call is Call.POSITIVE
    assert card.seen.recorded_by == "Mara"


def test_reading_without_a_leaflet(fresh, kennel, monkeypatch):
    """A strip started elsewhere, its leaflet never typed: no reading time counts."""
    time = Clock(monkeypatch, NOW)
    dog = lone_dog(kennel, at=NOW)
    started = f.TestStarted(test=desk.new_id(), dog=dog, kit=KIT, sample="faeces")
    write(kennel, started, at=NOW)
    time.on(minutes=7)
    page = fresh.get(f"/bench/test/{started.test}/")
    assert "never typed in" in text_of(page)
    assert "First type the leaflet" in text_of(see(fresh, started.test, "two"))
    assert desk.snapshot(kennel).tests[started.test].state == "running"


def test_a_line_at_t_alone_means_apart_and_a_new_strip(mara, strip, time, book):
    """Failed, and yet careful: repeat, apart meanwhile."""
    time.on(minutes=6)
    text = text_of(see(mara, strip, "t-only"))
    assert "the test failed, but be careful" in text
    assert "Kept apart from now" in text
    answer = mara.post(f"/bench/test/{strip}/apart/", {"entry": desk.new_id()})
    assert answer.status_code == 302
    dog = book().tests[strip].dog
    assert book().dogs[dog].apart.infection == "giardia"
    mara.get(f"/bench/test/{strip}/")  # shows what was just done, once
    plain = text_of(mara.get(f"/bench/test/{strip}/"))
    assert "Kept apart from now" not in plain


def test_the_result_says_what_it_means_and_what_not(mara, strip, time):
    """Natural frequencies with their picture, and the limits beside them."""
    time.on(minutes=6)
    page = see(mara, strip, "two")
    text, html = text_of(page), page.content.decode()
    assert re.search(r"Of 1\d+ dogs like this one, about \d+ would", text)
    assert 'role="img"' in html
    assert "Infected does not mean that Giardia is the cause" in text
    assert "infectious waste" in text
    assert "positive dog" not in text.lower()
    assert "infected dog" not in text.lower()


def test_the_picture_shows_the_number_in_the_words(mara, strip, time):
    """As many dogs are filled as the sentence says."""
    time.on(minutes=6)
    html = see(mara, strip, "two").content.decode()
    said = re.search(r"Of (\d+) dogs like this one, about (\d+) would", html)
    before, _, now = html.partition('id="crowd-title"')
    was = re.search(r"before any test it was about (\d+)", html)
    for part, number in ((now, said.group(2)), (before, was.group(1))):
        filled = re.findall(
            r'width="(\d+)" height="(\d+)" fill="url\(#dog-filled\)"', part
        )
        assert sum(int(w) * int(h) for w, h in filled) // 100 == int(number)
    whole = re.search(r'viewBox="0 0 (\d+) (\d+)" role="img"', html)
    assert int(whole.group(1)) * int(whole.group(2)) // 100 == int(said.group(1))


def test_dropping_a_strip(mara, strip, time, book):
    """It says why, counts for nothing, and leads to a new one."""
    missing = mara.post(f"/bench/test/{strip}/drop/", {"entry": desk.new_id()})
    assert missing.status_code == 200
    assert book().tests[strip].state == "running"
    said = {"entry": desk.new_id(), "why": "fell into the straw"}
    answer = mara.post(f"/bench/test/{strip}/drop/", said)
    assert answer["Location"].endswith(f"/{KIT}/")
    assert book().tests[strip].state == "dropped"
    text = text_of(mara.get(f"/bench/test/{strip}/"))
    assert "fell into the straw" in text
    time.on(minutes=6)
    assert "This strip was dropped" in text_of(see(mara, strip, "one"))
    assert book().tests[strip].state == "dropped"


@pytest.mark.parametrize("tap", ["", "three", "\x00"])
def test_nonsense_is_no_reading(mara, strip, time, book, tap):
    """Only what can be seen on a strip."""
    time.on(minutes=6)
    see(mara, strip, tap)
    assert book().tests[strip].state == "running"


def test_a_strip_that_is_not_there(mara):
    """404 for an unknown test."""
    assert mara.get("/bench/test/nothing/").status_code == 404
    assert mara.post("/bench/test/nothing/seen/", {}).status_code == 404


def test_the_vet_leads_for_an_ill_suspect(mara, book):
    """Figgy vomits and shows a line: the vet stands before cleaning and company."""
    figgy = the_dog(book(), "Figgy")
    (strip,) = book().tests_of(figgy.dog)
    text = text_of(mara.get(f"/bench/test/{strip.test}/"))
    now = text[text.index("What to do now") :]
    vet = now.index("The vet first: Figgy is ill")
    assert "The vet was called" in now[vet : vet + 300]
    assert vet < now.index("Warmth, company")
    assert (
        f"?dog={figgy.dog}&amp;about=parvovirus"
        in mara.get(f"/bench/test/{strip.test}/").content.decode()
    )


def test_the_vet_leads_where_the_strip_failed(mara, book):
    """Mossy's strip has no control line; its signs alone make it a parvovirus suspect."""
    mossy = the_dog(book(), "Mossy")
    (strip,) = (one for one in book().tests_of(mossy.dog) if "parvo" in one.kit)
    text = text_of(mara.get(f"/bench/test/{strip.test}/"))
    now = text[text.index("What to do now") :]
    assert now.index("The vet first: Mossy is ill") < now.index("Clean Far pen 3")


def test_what_comes_next_holds_nothing_of_far_off(mara, book):
    """Saffron's `past her time` is weeks away and may never come: not on this page."""
    saffron = the_dog(book(), "Saffron").dog
    (strip,) = book().tests_of(saffron)
    text = text_of(mara.get(f"/bench/test/{strip.test}/"))
    assert "past her time" not in text
    assert "once a negative counts, not before" in text
    due = text[text.index("What comes next") :]
    assert re.search(r"Dec 2026 Run a relaxin strip on Saffron between", due)
