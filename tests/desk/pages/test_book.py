"""Book: newest first, filtered, struck through, verified."""

import re

from kennelward import desk
from kennelward.desk.pages.book.listing import PAGE
from kennelward.kennel import facts as f
from tests.desk.pages.conftest import SIGNED, text_of, the_dog


def test_a_new_book_holds_the_kennel_itself(fresh):
    """The first entry names the kennel."""
    text = text_of(fresh.get("/book/"))
    assert "1 entry in the chain" in text
    assert "Marsh End described" in text


def test_the_newest_stands_first_and_older_ones_are_a_page_away(mara, book):
    """Every entry is on exactly one page."""
    seen = []
    skip = 0
    while True:
        html = mara.get(f"/book/?skip={skip}").content.decode()
        ids = re.findall(r'id="e-([0-9a-f-]+)"', html)
        assert len(ids) <= PAGE
        seen += ids
        skip += PAGE
        if f"skip={skip}" not in html:
            break
    assert seen == [entry.entry for entry in reversed(book().entries)]


def test_a_strange_page_number_is_the_first_or_an_empty_one(mara):
    """No number, however odd, breaks the page."""
    for skip in ("-1", "x", "9" * 30, "²", "100000"):
        assert mara.get(f"/book/?skip={skip}").status_code == 200


def test_it_is_filtered_by_kind_dog_and_words(mara, book):
    """Only what was asked for is shown."""
    dog = the_dog(book(), "Fern").dog
    html = mara.get(f"/book/?kind=observed&dog={dog}").content.decode()
    ids = set(re.findall(r'id="e-([0-9a-f-]+)"', html))
    wanted = {
        e.entry
        for e in book().entries
        if isinstance(e.fact, f.Observed) and e.fact.dog == dog
    }
    assert ids == wanted
    assert "Fern" in text_of(mara.get("/book/?q=fern+stool"))
    assert "Nothing matches" in text_of(mara.get("/book/?q=zzzz"))


def test_a_mistake_is_struck_through_with_a_reason(mara, book):
    """It stays visible with its reason, counts no more, and cannot be struck again."""
    dog = the_dog(book(), "Fern").dog
    entry = desk.new_id()
    mara.post(f"/dogs/{dog}/weighed/", {"weight": "99", "unit": "kg", "entry": entry})
    page = mara.get(f"/book/{entry}/strike/")
    assert "Fern: 99.00 kg" in text_of(page)
    refused = mara.post(f"/book/{entry}/strike/", {"why": ""})
    assert refused.status_code == 200
    assert entry not in book().struck
    done = mara.post(
        f"/book/{entry}/strike/", {"why": "scales upside down"}, follow=True
    )
    assert "Struck through" in text_of(done)
    assert entry in book().struck
    struck = text_of(mara.get("/book/?struck=yes"))
    assert "Fern: 99.00 kg" in struck
    assert "scales upside down" in struck
    again = mara.post(f"/book/{entry}/strike/", {"why": "again"}, follow=True)
    assert "struck through already" in text_of(again)


def test_a_hand_strikes_only_what_they_wrote(as_role, book):
    """Others' entries are the owner's to strike."""
    hand = as_role("hand")
    entries = [e for e in book().live if not isinstance(e.fact, f.Struck)]
    own = next(e for e in entries if e.recorded_by == SIGNED["hand"])
    other = next(e for e in entries if e.recorded_by == SIGNED["owner"])
    assert hand.get(f"/book/{own.entry}/strike/").status_code == 200
    assert hand.get(f"/book/{other.entry}/strike/").status_code == 403
    html = hand.get("/book/").content.decode()
    for entry in re.findall(r"/book/([0-9a-f-]+)/strike/", html):
        assert book().find(entry).recorded_by == SIGNED["hand"]
    assert (
        hand.post(f"/book/{own.entry}/strike/", {"why": "wrong dog"}).status_code == 302
    )
    assert own.entry in book().struck


def test_the_chain_is_verified_with_head_and_count(mara, demo):
    """What the page says is what the chain says."""
    head = desk.head(demo)
    text = text_of(mara.get("/book/verify/"))
    assert f"{head.count} entries, and every link holds" in text
    assert head.hash in text


def test_no_entry_no_page(mara):
    """An unknown entry is not found."""
    assert mara.get("/book/nothing/strike/").status_code == 404


def test_every_kind_of_entry_has_a_sentence(book):
    """No entry shows as the fields of a program."""
    from kennelward.desk.pages.shell.entry_words import SAY, entry_words

    assert set(SAY) == set(f.KINDS.values())
    whole = book()
    for entry in whole.entries:
        said = entry_words(entry.fact, whole)
        assert said
        assert "dog=" not in said
