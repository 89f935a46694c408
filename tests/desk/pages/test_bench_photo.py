"""A photo of a strip: after the person's own look, in time, kept, read, read again."""

import hashlib
import io

import numpy as np
import pytest
from PIL import Image

from benchmarks.reading.pasted import pasted
from kennelward import desk
from kennelward.demo import demo_jobs, demo_photos
from kennelward.demo.scenes import draw_strip_photo
from kennelward.desk.pages.bench.photo_looks import CORNERS_HELP
from kennelward.kennel import facts as f
from kennelward.reading import (
    REASONS,
    CallCutoffs,
    StripLayout,
    read_strip_photo,
)
from kennelward.terms import MAY_BE_A_LINE, Call, stream
from tests.desk.pages.bench_steps import (
    Clock,
    bomb_png,
    kind_of_test,
    no_danger,
    plain_jpeg,
    see,
    send_photo,
    start_strip,
    type_leaflet,
    write,
)
from tests.desk.pages.conftest import NOW, text_of, the_dog


@pytest.fixture(scope="module")
def drawn():
    """The demo's drawn strip photos, by the reader's call; the first of each."""
    from kennelward.reading import CallCutoffs, StripLayout, read_strip_photo

    photos = demo_photos(on=NOW.date())
    found = {}
    for job in demo_jobs(on=NOW.date()):
        data = photos[job.photo]
        read = read_strip_photo(data, layout=StripLayout(), cutoffs=CallCutoffs())
        found.setdefault(read.call, data)
    return found


@pytest.fixture
def time(monkeypatch, demo):
    """The desk's clock, moved by hand."""
    return Clock(monkeypatch, NOW)


@pytest.fixture
def strip(mara, book, demo, time):
    """A strip on Fern in its reading time: minute 6 of 5 to 10."""
    dog = the_dog(book(), "Fern").dog
    type_leaflet(demo, at=NOW)
    no_danger(mara, dog)
    test = kind_of_test(start_strip(mara, dog))
    time.on(minutes=6)
    return test


def test_the_person_reads_first(mara, strip, book, drawn):
    """A photo before the person's own look is not taken."""
    page = send_photo(mara, strip, drawn[Call.POSITIVE])
    assert "First your own eyes" in text_of(page)
    assert not book().tests[strip].measured


def test_a_photo_is_read_and_shown_with_its_overlay(mara, strip, book, drawn):
    """Kept without camera data, called by the reader, drawn on."""
    see(mara, strip, "two")
    page = send_photo(mara, strip, drawn[Call.POSITIVE])
    card = book().tests[strip]
    assert card.reader_call is Call.POSITIVE
    assert not card.disagree
    entry = card.measured[0]
    html = page.content.decode()
    overlay = f"/bench/test/{strip}/{entry.entry}/overlay.png"
    assert overlay in html
    picture = mara.get(overlay)
    assert picture["Content-Type"] == "image/png"
    assert Image.open(io.BytesIO(picture.content)).width > 300
    kept = mara.get(f"/bench/test/{strip}/{entry.entry}/photo.jpg")
    assert hashlib.sha256(kept.content).hexdigest() == entry.fact.photo
    assert entry.fact.minutes == 6.0


def test_where_person_and_reader_differ_both_are_kept(mara, strip, book, drawn):
    """The more cautious holds, a second look and a fresh photo are offered."""
    see(mara, strip, "one")
    page = send_photo(mara, strip, drawn[Call.POSITIVE])
    card = book().tests[strip]
    assert (card.person_call, card.reader_call) == (Call.NEGATIVE, Call.POSITIVE)
    assert card.call is Call.POSITIVE
    text = text_of(page)
    assert "You and the reader differ" in text
    assert "Look a second time" in text
    assert "A fresh photo" in text
    assert "Repeat with a new strip" in text


def test_a_second_look_with_less_care_changes_no_call(mara, strip, book, drawn):
    """It is written down beside the first, and lowers nothing."""
    see(mara, strip, "two")
    send_photo(mara, strip, drawn[Call.NEGATIVE])
    before = book().tests[strip]
    assert before.disagree
    said = {"entry": desk.new_id(), "seen": "one"}
    for _tap in range(2):
        mara.post(f"/bench/test/{strip}/again/", said)
    after = book().tests[strip]
    assert after.call is Call.POSITIVE
    assert after.seen.entry == before.seen.entry
    notes = [e.fact.text for e in book().of(f.Noted) if e.fact.about == after.dog]
    assert notes.count("Second look at the strip: One line, at C.") == 1


def test_a_second_look_with_more_care_takes_the_first_ones_place(
    mara, strip, book, drawn
):
    """The first look stays in the book, superseded and visible."""
    see(mara, strip, "one")
    send_photo(mara, strip, drawn[Call.POSITIVE])
    first = book().tests[strip].seen.entry
    mara.post(f"/bench/test/{strip}/again/", {"entry": desk.new_id(), "seen": "faint"})
    card = book().tests[strip]
    assert card.person_call is Call.POSITIVE
    assert not card.disagree
    assert book().find(first) is not None
    assert first in book().struck


def test_a_second_look_after_the_time_is_refused(mara, strip, book, drawn, time):
    """The strip has no more to say."""
    see(mara, strip, "one")
    send_photo(mara, strip, drawn[Call.POSITIVE])
    time.on(minutes=10)
    page = mara.post(
        f"/bench/test/{strip}/again/",
        {"entry": desk.new_id(), "seen": "two"},
        follow=True,
    )
    assert "The reading time is over" in text_of(page)
    assert book().tests[strip].person_call is Call.NEGATIVE


def test_a_photo_after_the_time_is_not_read(mara, strip, book, drawn, time):
    """Outside the kit's minutes there is no call; what was seen in time stands."""
    see(mara, strip, "one")
    time.on(minutes=5)
    page = send_photo(mara, strip, drawn[Call.POSITIVE])
    assert "The reading time is over" in text_of(page)
    card = book().tests[strip]
    assert not card.measured
    assert (card.call, card.counts) == (Call.NEGATIVE, True)


def test_a_photo_taken_in_time_and_sent_late_counts(mara, strip, book, drawn, time):
    """A slow network: the moment is the camera's, within the strip's own time."""
    see(mara, strip, "two")
    taken = str(time.at.timestamp() * 1000)
    time.on(minutes=8)
    send_photo(mara, strip, drawn[Call.POSITIVE], taken=taken)
    card = book().tests[strip]
    assert card.reader_call is Call.POSITIVE
    assert card.measured[0].fact.minutes == 6.0


@pytest.mark.parametrize("taken", ["", "soon", "-1", "1e30", "nan", "0"])
def test_a_moment_that_cannot_be_is_the_moment_of_sending(
    mara, strip, book, drawn, taken
):
    """A camera clock from before the drops, or nonsense."""
    see(mara, strip, "two")
    send_photo(mara, strip, drawn[Call.POSITIVE], taken=taken)
    assert book().tests[strip].measured[0].fact.minutes == 6.0


def test_a_double_tap_keeps_one_photo(mara, strip, book, drawn, time):
    """Also when the second one comes seconds later."""
    see(mara, strip, "two")
    entry, data = desk.new_id(), drawn[Call.POSITIVE]
    send_photo(mara, strip, data, entry=entry)
    time.on(seconds=4)
    send_photo(mara, strip, data, entry=entry)
    assert len(book().tests[strip].measured) == 1


BAD = {
    "text named .jpg": (b"not a picture at all, just words\n", "not a JPEG"),
    "empty": (b"", "empty"),
    "200 megapixels and more": (bomb_png(), "larger than any phone photo"),
    "cut short": (plain_jpeg()[:400], "photo"),
}


@pytest.mark.parametrize("kind", BAD)
def test_a_bad_photo_changes_nothing(mara, strip, book, kind):
    """Said in words, nothing written, and the person's reading stands."""
    data, says = BAD[kind]
    see(mara, strip, "two")
    before = len(book().entries)
    page = send_photo(mara, strip, data)
    assert page.status_code == 200
    assert says in text_of(page)
    assert len(book().entries) == before
    assert book().tests[strip].counts


def test_a_photo_without_a_strip_says_so_and_moves_nothing(mara, strip, book):
    """The reader refuses rather than guesses; that, too, is in the book."""
    see(mara, strip, "two")
    page = send_photo(mara, strip, plain_jpeg())
    card = book().tests[strip]
    assert card.reader_call in (Call.UNREADABLE, None)
    assert (card.call, card.counts) == (Call.POSITIVE, True)
    assert "could not read the photo" in text_of(page) or not card.measured


def test_no_file_at_all(mara, strip, book):
    """The form sent without a photo."""
    see(mara, strip, "two")
    page = mara.post(
        f"/bench/test/{strip}/photo/", {"entry": desk.new_id()}, follow=True
    )
    assert "Choose or take a photo first." in text_of(page)
    assert not book().tests[strip].measured


def test_a_kept_photo_is_read_again_with_the_corners_given(mara, strip, book, drawn):
    """Four taps around the window; the first reading stays."""
    see(mara, strip, "two")
    data = drawn[Call.POSITIVE]
    send_photo(mara, strip, data)
    first = book().tests[strip].measured[0]
    import json

    wide, high = Image.open(
        io.BytesIO(desk.photo(desk.kennels()[0][0], first.fact.photo))
    ).size
    window = json.loads(first.fact.measured)["window"]
    corners = ";".join(f"{x / wide:.4f},{y / high:.4f}" for x, y in window)
    answer = mara.post(
        f"/bench/test/{strip}/{first.entry}/reread/",
        {"entry": desk.new_id(), "corners": corners},
    )
    assert answer.status_code == 302
    both = book().tests[strip].measured
    assert len(both) == 2
    assert both[1].fact.minutes == first.fact.minutes


@pytest.mark.parametrize(
    "corners", ["", "1,2", "a,b;c,d;e,f;g,h", "0,0;2,0;2,2;0,2", "nan,0;0,0;0,0;0,0"]
)
def test_corners_that_are_none_change_nothing(mara, strip, book, drawn, corners):
    """Nonsense is refused with a word."""
    see(mara, strip, "two")
    send_photo(mara, strip, drawn[Call.POSITIVE])
    first = book().tests[strip].measured[0]
    mara.post(
        f"/bench/test/{strip}/{first.entry}/reread/",
        {"entry": desk.new_id(), "corners": corners},
    )
    assert len(book().tests[strip].measured) == 1


def test_pictures_of_another_reading_are_not_there(mara, strip):
    """404 for an entry that is no photo of this strip."""
    for name in ("photo.jpg", "overlay.png"):
        assert mara.get(f"/bench/test/{strip}/nothing/{name}").status_code == 404


def test_two_photos_of_a_strip_are_called_together(mara, strip, book, drawn, time):
    """Both photos are kept, their call together is the reader's, and the page says it."""
    see(mara, strip, "two")
    once = send_photo(mara, strip, drawn[Call.POSITIVE])
    assert "All photos together" not in text_of(once)
    time.on(minutes=1)
    page = send_photo(mara, strip, again(drawn[Call.POSITIVE]))
    card = book().tests[strip]
    assert [e.fact.call for e in card.measured] == ["positive", "positive"]
    assert card.together is card.measured[-1].fact
    assert card.together.together_with == (card.measured[0].entry,)
    assert card.reader_call is Call.POSITIVE
    assert "All photos together" in text_of(page)
    assert "The photos do not say the same" not in text_of(page)
    assert card.person_call is Call.POSITIVE


def test_a_second_photo_talks_no_line_away(mara, strip, book, drawn, time):
    """A photo without the line, beside one with it: the line stays, and both stay."""
    see(mara, strip, "two")
    send_photo(mara, strip, drawn[Call.POSITIVE])
    time.on(minutes=1)
    page = send_photo(mara, strip, drawn[Call.NEGATIVE])
    card = book().tests[strip]
    assert [e.fact.call for e in card.measured] == ["positive", "negative"]
    assert card.reader_call is Call.POSITIVE
    assert "The photos do not say the same. Look at the strip again" in text_of(page)


def test_a_photo_read_twice_counts_once(mara, strip, book, drawn, time):
    """The same picture sent again is no second opinion."""
    see(mara, strip, "two")
    send_photo(mara, strip, drawn[Call.POSITIVE])
    time.on(minutes=1)
    send_photo(mara, strip, drawn[Call.POSITIVE])
    card = book().tests[strip]
    assert len({e.fact.photo for e in card.measured}) == 1
    assert card.together is None


def test_a_photo_struck_from_the_book_leaves_no_call_together(
    mara, strip, book, drawn, demo, time
):
    """What was called with it is no call any more; the photo that is left speaks."""
    see(mara, strip, "two")
    send_photo(mara, strip, drawn[Call.POSITIVE])
    time.on(minutes=1)
    send_photo(mara, strip, again(drawn[Call.POSITIVE]))
    first = book().tests[strip].measured[0].entry
    write(demo, f.Struck(entry=first, why="wrong strip"), at=time.at)
    card = book().tests[strip]
    assert len(card.measured) == 1
    assert card.together is None
    assert card.reader_call is Call.POSITIVE


def perhaps_a_line(demo, strip, time):
    """The reader finds what may be a very faint line."""
    fact = f.StripMeasured(
        test=strip, call=Call.UNREADABLE.value, reason=MAY_BE_A_LINE, minutes=7
    )
    write(demo, fact, at=time.at)


def test_what_may_be_a_line_is_a_suspect_until_the_repeat(
    mara, strip, book, demo, time
):
    """A very faint line counts: a person's "one line" does not clear what may be one."""
    see(mara, strip, "one")
    assert book().tests[strip].call is Call.NEGATIVE
    perhaps_a_line(demo, strip, time)
    card = book().tests[strip]
    assert card.reader_call is Call.TRACE
    assert card.call is Call.TRACE
    assert card.disagree
    page = text_of(mara.get(f"/bench/test/{strip}/"))
    assert "treat it as a positive" in page
    assert "act as for a suspect" in page


def test_a_line_that_a_person_sees_is_not_doubted_for_a_perhaps(
    mara, strip, book, demo, time
):
    see(mara, strip, "faint")
    perhaps_a_line(demo, strip, time)
    card = book().tests[strip]
    assert card.call is Call.POSITIVE
    assert not card.disagree


def again(photo: bytes) -> bytes:
    """The same view, packed anew: other bytes."""
    out = io.BytesIO()
    Image.open(io.BytesIO(photo)).convert("RGB").save(out, "JPEG", quality=80)
    return out.getvalue()


def test_a_refusal_that_tells_to_mark_corners_offers_them():
    """Where two strips are in view the page offers it too: one of them may be meant."""
    told = {reason for reason, (_says, do) in REASONS.items() if "orners" in do}
    assert set(CORNERS_HELP) == told | {"several-strips"}


def test_a_line_pasted_into_the_photo_is_told_on_what_is_kept(mara, strip, book):
    """The kept copy still shows the grain that gives a copied line away."""
    see(mara, strip, "two")
    blank = draw_strip_photo(
        rng=stream(47, "bench.copied-line"),
        test_od=0.0,
        control_od=0.4,
        size=(1600, 1200),
    )
    pixels = np.asarray(Image.open(io.BytesIO(blank)).convert("RGB"))
    read = read_strip_photo(blank, layout=StripLayout(), cutoffs=CallCutoffs())
    out = io.BytesIO()
    Image.fromarray(pasted(pixels, read.signals)).save(out, "JPEG", quality=95)
    page = send_photo(mara, strip, out.getvalue())
    assert book().tests[strip].measured[-1].fact.reason == "copied-line"
    assert "copied from the other" in text_of(page)
