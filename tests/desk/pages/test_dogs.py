"""Dogs: the list, adding, arriving, a dog's page, a course ticked off, an import."""

import re
from html import unescape

import pytest

from kennelward import desk
from kennelward.kennel import facts as f
from tests.desk.pages.conftest import NOW, text_of, the_dog

LONG = "Fürchtegott 🐕‍🦺 “Öhrchen” <b>von</b> & zu " + "Langenbrunn" * 15
LONG = LONG[:200]


def add_form(**more):
    """A filled-in form for a dog of ours."""
    return {
        "name": "Bracken",
        "sex": "bitch",
        "born_on": "2024-03-01",
        "origin": "born-here",
    } | more


def test_an_empty_list_leads_to_the_pens_first(fresh):
    """A dog stands in a pen, so pens come first."""
    page = fresh.get("/dogs/")
    assert "First the pens, then the dogs" in text_of(page)
    assert "/pens/quick/" in page.content.decode()


def test_the_list_says_who_is_where_and_what_is_going_on(mara, book):
    """One line a dog: name, pen, what is going on in words."""
    text = text_of(mara.get("/dogs/"))
    assert "Row 3" in text
    assert "soft stool for 3 days" in text
    assert "kept apart, parvovirus suspect" in text
    for way in ("litter", "name", "away", "nonsense"):
        assert mara.get(f"/dogs/?by={way}").status_code == 200
    here = sum(card.is_here for card in book().dogs.values())
    assert f"{here} dogs are here" in text


def test_the_search_finds_by_name_and_by_pen(mara):
    """All words must be found, in name, pen, litter, chip or breed."""
    found = text_of(mara.get("/dogs/?q=fern"))
    assert "Fern" in found
    assert "Clover" not in found.replace("Clover's", "")
    assert "Marigold" in text_of(mara.get("/dogs/?q=row+3"))
    nothing = text_of(mara.get("/dogs/?q=fern+zzz"))
    assert "No dog matches “fern zzz”" in nothing


def test_a_dog_is_added_with_its_pen(mara, book):
    """Two entries, one page, and a second tap changes nothing."""
    pen = next(iter(book().pens))
    entry = desk.new_id()
    form = add_form(pen=pen, entry=entry)
    before = len(book().entries)
    for _tap in range(2):
        answer = mara.post("/dogs/add/", form)
        assert answer.status_code == 302, text_of(answer)
    assert len(book().entries) == before + 2
    card = the_dog(book(), "Bracken")
    assert (card.pen, card.is_here, card.described.sex) == (pen, True, "bitch")


BAD = [
    ({"name": ""}, "This field is required"),
    ({"name": "x" * 201}, "at most 200 characters"),
    ({"name": "a\x00b"}, "Null characters are not allowed"),
    ({"born_on": "2026-12-24"}, "future"),
    ({"born_on": "1999-01-01"}, "makes a dog of 28 years"),
    ({"born_on": "first of may"}, "Enter a valid date"),
    ({"sex": "cat"}, "not one of the available choices"),
    ({"pen": "no-such-pen"}, "not one of the available choices"),
    ({"entry": "junk"}, "damaged"),
]


@pytest.mark.parametrize(("wrong", "says"), BAD, ids=[str(b[0]) for b in BAD])
def test_a_wrong_dog_is_refused_in_words(mara, book, wrong, says):
    """The page comes back with what is wrong, and nothing is written."""
    before = len(book().entries)
    form = add_form(pen=next(iter(book().pens)), entry=desk.new_id()) | wrong
    answer = mara.post("/dogs/add/", form)
    assert answer.status_code == 200
    assert says in text_of(answer)
    assert len(book().entries) == before


def test_two_hundred_letters_and_emoji_stay_text(mara, book):
    """A long, odd name is shown as it is, escaped, on every page that names it."""
    pen = next(iter(book().pens))
    assert mara.post("/dogs/add/", add_form(name=LONG, pen=pen)).status_code == 302
    dog = next(d for d, card in book().dogs.items() if card.name == LONG.strip())
    for address in ("/dogs/", f"/dogs/{dog}/", f"/pens/?move={dog}", "/book/"):
        html = mara.get(address).content.decode()
        assert "<b>von</b>" not in html, address
        assert "&lt;b&gt;von&lt;/b&gt;" in html, address


def test_an_arrival_writes_all_the_sheet_says(mara, book):
    """Who it is, the arrival, the weight, the vaccination and the worming: at once."""
    pen = next(
        c.pen for c in book().pens.values() if c.described.pen_kind == "quarantine"
    )
    form = add_form(
        name="Dunlin",
        origin="bought",
        entry=desk.new_id(),
        pen=pen,
        came_from="a farm",
        source="breeder",
        last_outside_contact_on="2026-11-24",
        weight_kg="4.25",
        temperature_c="38.6",
        gums="pink",
        stool="soft",
        appetite="eats well",
        vaccines=["parvovirus", "distemper"],
        vaccinated_on="2026-11-10",
        wormed_on="2026-11-20",
        wormed_with="as on its card",
    )
    answer = mara.post("/dogs/arrive/", form)
    assert answer.status_code == 302, text_of(answer)
    card = the_dog(book(), "Dunlin")
    facts = [entry.fact for entry in book().about(card.dog)]
    kinds = {type(fact) for fact in facts}
    assert kinds >= {f.DogDescribed, f.Arrived, f.Weighed, f.Vaccinated, f.Wormed}
    assert card.pen == pen
    weighed = next(fact for fact in facts if isinstance(fact, f.Weighed))
    assert weighed.weight_g == 4250
    page = text_of(mara.get(f"/dogs/{card.dog}/"))
    assert "At the gate" in page
    assert "Tue 24 Nov 2026" in page


@pytest.mark.parametrize(
    "wrong",
    [
        {"last_outside_contact_on": "2026-12-01"},
        {"vaccines": ["parvovirus"]},
        {"vaccinated_on": "2026-11-01"},
        {"temperature_c": "386"},
        {"when": "2026-11-26T10:00"},
    ],
)
def test_a_wrong_sheet_is_refused(mara, book, wrong):
    """Days to come, a vaccination without its day, an impossible temperature."""
    before = len(book().entries)
    form = add_form(pen=next(iter(book().pens)), source="unknown") | wrong
    assert mara.post("/dogs/arrive/", form).status_code == 200
    assert len(book().entries) == before


def test_a_dog_that_left_can_come_back(mara, book):
    """It left, it arrives again, and its page says both."""
    dog = the_dog(book(), "Bramble").dog
    mara.post(f"/dogs/{dog}/left/", {"why": "home", "went_to": "the Reeds"})
    page = text_of(mara.get(f"/dogs/{dog}/"))
    assert "Not here now" in page
    pen = next(
        c.pen for c in book().pens.values() if c.described.pen_kind == "quarantine"
    )
    form = {"pen": pen, "source": "home"}
    assert mara.post(f"/dogs/{dog}/arrive/", form).status_code == 302
    assert book().dogs[dog].pen == pen


def test_a_dogs_page_says_what_is_known(mara, book):
    """State, results with what they are worth, stays, entries."""
    dog = the_dog(book(), "Fern").dog
    page = text_of(mara.get(f"/dogs/{dog}/"))
    for words in ("soft stool", "the lot had expired", "Where it has been", "Row 3"):
        assert words in page
    assert mara.get("/dogs/no-such-dog/").status_code == 404


def test_a_change_keeps_the_earlier_description_in_the_book(mara, book):
    """Correcting is a new entry."""
    card = the_dog(book(), "Fern")
    form = add_form(name="Fern of the Marsh", born_on="2024-09-25", entry=desk.new_id())
    assert mara.post(f"/dogs/{card.dog}/change/", form).status_code == 302
    assert book().dogs[card.dog].name == "Fern of the Marsh"
    names = [
        e.fact.name
        for e in book().entries
        if isinstance(e.fact, f.DogDescribed) and e.fact.dog == card.dog
    ]
    assert names == ["Fern", "Fern of the Marsh"]


WORDS = "Give one of the white ones\nwith food 🍖, as I said."


@pytest.fixture
def course(mara, book):
    """A course for Fern, copied off today by the owner, that runs four more days."""
    dog = the_dog(book(), "Fern").dog
    form = {
        "text": WORDS,
        "prescribed_by": "Dr. Aster",
        "starts_on": "2026-11-24",
        "ends_on": "2026-11-29",
        "times_a_day": "2",
        "infection": "giardia",
        "entry": desk.new_id(),
    }
    assert mara.post(f"/dogs/{dog}/course/", form).status_code == 302
    return book().courses[form["entry"]]


def test_a_course_is_shown_as_written_and_ticked_off(mara, book, course):
    """The vet's words stand unchanged; a tick is an entry; a second tap is none."""
    card = course
    page = text_of(mara.get(f"/dogs/{card.dog}/"))
    assert " ".join(card.facts.text.split()) in page
    assert "No leftovers, no farm or aquarium medicines" in page
    form = {"entry": desk.new_id(), "day": "2026-11-25", "nth": "2"}
    address = f"/dogs/{card.dog}/course/{card.course}/tick/"
    before = len(book().entries)
    for _tap in range(2):
        assert mara.post(address, form).status_code == 302
    assert len(book().entries) == before + 1
    assert (NOW.date(), 2) in book().courses[card.course].given


@pytest.mark.parametrize(
    "wrong",
    [{"day": "2026-12-24"}, {"nth": "99"}, {"nth": "x"}, {"day": "x"}, {"entry": "x"}],
)
def test_a_tick_outside_the_course_is_refused(mara, book, course, wrong):
    """No giving is ticked before its day, nor one the vet did not write."""
    card = course
    form = {"entry": desk.new_id(), "day": NOW.date().isoformat(), "nth": "1"} | wrong
    address = f"/dogs/{card.dog}/course/{card.course}/tick/"
    before = len(book().entries)
    assert mara.post(address, form).status_code == 404
    assert len(book().entries) == before


def test_no_course_can_be_offered_or_copied(mara, book, course):
    """No list of drugs, no remembered words, no course taken over to another dog."""
    dog = the_dog(book(), "Clover").dog
    html = mara.get(f"/dogs/{dog}/course/").content.decode()
    assert "<datalist" not in html
    assert WORDS not in html
    assert html.count('autocomplete="off"') >= 2
    assert "No left-over, fish, farm or bird medicines" in html


CSV = "name,sex,born_on,pen\nHeron,bitch,2023-05-06,Row 1\nNoSex,,2023-05-06,Row 1\n"


def test_a_list_is_reported_before_it_is_written(mara, book):
    """The report names line and column; writing needs a second step."""
    from django.core.files.uploadedfile import SimpleUploadedFile

    before = len(book().entries)
    file = SimpleUploadedFile("dogs.csv", CSV.encode())
    page = mara.post("/dogs/import/", {"file": file})
    text = text_of(page)
    assert "Problem" in text
    assert "sex" in text
    assert len(book().entries) == before
    mara.post("/dogs/import/", {"write": "yes", "accept": "yes"})
    assert "Heron" in {card.name for card in book().dogs.values()}
    again = mara.post("/dogs/import/", {"write": "yes"}, follow=True)
    assert "There is no list to write" in text_of(again)


def test_every_result_on_a_dogs_page_opens_and_one_link_of_each_shape(mara, book):
    """Strips, mates, litters, tracing: nothing on a tested dog's page leads nowhere."""
    held = book()
    strips: set[str] = set()
    shapes: dict[str, str] = {}
    for dog in {card.dog for card in held.tests.values()}:
        html = mara.get(f"/dogs/{dog}/").content.decode()
        for link in map(unescape, re.findall(r'<a [^>]*href="(/[^"]*)"', html)):
            if link.startswith("/bench/test/"):
                strips.add(link)
            else:
                shapes.setdefault(re.sub(r"[0-9a-f-]{36}", "*", link), link)
    assert strips == {f"/bench/test/{test}/" for test in held.tests}
    assert "/trace/?dog=*&about=giardia" in shapes
    answers = {
        link: mara.get(link, follow=True) for link in [*strips, *shapes.values()]
    }
    assert {link for link, got in answers.items() if got.status_code != 200} == set()


def test_a_strip_of_before_a_course_stays_in_sight_with_the_reason(mara, book):
    """Hazel's positive of before her course: no silence about it on either page."""
    hazel = the_dog(book(), "Hazel").dog
    (strip,) = book().tests_of(hazel)
    why = "Of before the end of the vet's course"
    dogs = unescape(text_of(mara.get(f"/dogs/{hazel}/")))
    results = dogs[dogs.index("Results, and what they are worth") :]
    assert re.search(r"Giardia strip , [^:]+: positive \. Of before the end", results)
    page = unescape(text_of(mara.get(f"/bench/test/{strip.test}/")))
    assert f"This result says nothing of today. {why}" in page
    story = page[page.index("How it came to this") :]
    assert story.index("iardia strip: positive") < story.index(why)
    assert "It clears nothing" in story
