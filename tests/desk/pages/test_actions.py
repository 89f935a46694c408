"""Every action on a dog's page: its form opens, its fact is written, nonsense is not."""

import pytest

from kennelward import desk
from kennelward.desk.pages.dogs.actions import ACTIONS
from kennelward.kennel import facts as f
from tests.desk.pages.conftest import the_dog

FILLED = {  # action -> a dog it fits, the filled-in form, the fact that comes of it
    "seen": ("Fern", {"signs": ["cough"], "note": "at night"}, f.Observed),
    "weighed": ("Fern", {"weight": "11.8", "unit": "kg"}, f.Weighed),
    "moved": ("Fern", {"pen": "Row 1", "why": "quiet"}, f.Moved),
    "apart": ("Fern", {"infection": "giardia", "why": "stool"}, f.KeptApart),
    "apart-ended": (
        "Hazel",
        {"on_whose_word": "Dr. Aster", "why": "two clear samples"},
        f.ApartEnded,
    ),
    "vet-called": ("Fern", {"note": "come at six"}, f.VetCalled),
    "course": (
        "Fern",
        {
            "text": "as the vet wrote",
            "prescribed_by": "Dr. Aster",
            "starts_on": "2026-11-25",
            "ends_on": "2026-11-29",
            "times_a_day": "2",
            "infection": "giardia",
        },
        f.CourseWritten,
    ),
    "result": (
        "Fern",
        {
            "day": "2026-11-25",
            "infection": "giardia",
            "method": "flotation",
            "call": "negative",
            "sampled_on": "2026-11-23",
            "days_sampled": "1",
        },
        f.OtherResult,
    ),
    "vaccinated": (
        "Fern",
        {"day": "2026-11-20", "against": ["rabies"], "is_live": "no"},
        f.Vaccinated,
    ),
    "wormed": ("Fern", {"day": "2026-11-20", "note": "as on the pack"}, f.Wormed),
    "bathed": ("Fern", {"day": "2026-11-25"}, f.Bathed),
    "mated": (
        "Fern",
        {"day": "2026-11-22", "sire_outside": "Osric", "method": "chilled"},
        f.Mated,
    ),
    "season": ("Fern", {"day": "2026-11-10", "what": "season-start"}, f.CycleNoted),
    "whelped": (
        "Juniper",
        {"name": "Late litter", "born_alive": "4", "stillborn": "1"},
        f.Whelped,
    ),
    "puppy-died": ("Sorrel", {"litter": "FIRST"}, f.PuppyDied),
    "lost": ("Juniper", {"note": "dark fluid"}, f.PregnancyLost),
    "note": ("Fern", {"text": "likes the red bowl"}, f.Noted),
    "left": ("Rowan", {"why": "sold", "went_to": "the Reeds"}, f.Left),
}


def test_every_action_is_tried_here():
    """A new action needs a line above."""
    assert set(FILLED) == {action.code for action in ACTIONS}


def prepared(book, code):
    """The dog, and the form with names turned into ids."""
    name, form, kind = FILLED[code]
    dog = the_dog(book, name).dog
    form = dict(form)
    if "pen" in form:
        form["pen"] = next(c.pen for c in book.pens.values() if c.name == form["pen"])
    if form.get("litter") == "FIRST":
        form["litter"] = next(c.litter for c in book.litters.values() if c.dam == dog)
    return dog, form, kind


@pytest.mark.parametrize("code", FILLED)
def test_a_filled_in_form_becomes_its_fact(mara, book, code):
    """One tap, one fact; a second tap of the same form, none."""
    dog, form, kind = prepared(book(), code)
    assert mara.get(f"/dogs/{dog}/{code}/").status_code == 200
    form["entry"] = desk.new_id()
    for _tap in range(2):
        answer = mara.post(f"/dogs/{dog}/{code}/", form)
        assert answer.status_code == 302, answer.content.decode()[-3000:]
    entry = book().find(form["entry"])
    assert isinstance(entry.fact, kind)
    assert sum(e.entry == form["entry"] for e in book().entries) == 1
    assert mara.get(f"/dogs/{dog}/").status_code == 200


@pytest.mark.parametrize("code", [c for c in FILLED if c not in ("seen", "vet-called")])
def test_an_empty_form_is_refused_or_harmless(mara, book, code):
    """A form with required words says so; nothing half-filled is written."""
    dog, _form, _kind = prepared(book(), code)
    before = len(book().entries)
    answer = mara.post(f"/dogs/{dog}/{code}/", {"nothing": "here"})
    if code in ("apart", "lost", "bathed", "wormed"):
        return
    assert answer.status_code == 200
    assert "Not saved yet" in answer.content.decode()
    assert len(book().entries) == before


def test_every_caution_of_an_action_is_in_the_handbook(demo):
    """A caution is never written on a page: it comes from the handbook."""
    known = desk.handbook(demo).cautions
    for action in ACTIONS:
        assert set(action.cautions) <= set(known), action.code


WRONG = [
    ("weighed", {"weight": "0", "unit": "kg"}),
    ("weighed", {"weight": "900", "unit": "kg"}),
    ("weighed", {"weight": "nan", "unit": "kg"}),
    ("vaccinated", {"day": "2027-01-01", "against": ["rabies"], "is_live": "no"}),
    ("course", FILLED["course"][1] | {"ends_on": "2026-11-01"}),
    ("course", FILLED["course"][1] | {"times_a_day": "0"}),
    ("result", FILLED["result"][1] | {"sampled_on": "2026-11-26"}),
    ("result", FILLED["result"][1] | {"method": "crystal-ball"}),
    ("result", FILLED["result"][1] | {"method": "ultrasound"}),
    ("mated", {"day": "2026-11-22", "method": "natural", "sire": "x"}),
    ("whelped", {"name": "x", "born_alive": "31", "stillborn": "0"}),
    ("moved", {"pen": "nowhere"}),
    ("note", {"text": "x" * 4001}),
    ("note", {"text": "later", "when": "2026-11-25T23:00"}),
    ("seen", {"signs": ["sneezing-gold"]}),
]


@pytest.mark.parametrize(("code", "form"), WRONG)
def test_nonsense_is_refused(mara, book, code, form):
    """Impossible weights, days to come, unknown pens, too many words."""
    dog = the_dog(book(), FILLED[code][0]).dog
    before = len(book().entries)
    answer = mara.post(f"/dogs/{dog}/{code}/", form | {"entry": desk.new_id()})
    assert answer.status_code == 200
    assert "Not saved yet" in answer.content.decode()
    assert len(book().entries) == before


def test_something_can_be_written_down_later(mara, book):
    """The moment it happened is kept beside the moment it was written."""
    dog = the_dog(book(), "Fern").dog
    form = {
        "text": "coughed once",
        "when": "2026-11-24T21:30",
        "entry": desk.new_id(),
    }
    assert mara.post(f"/dogs/{dog}/note/", form).status_code == 302
    entry = book().find(form["entry"])
    assert entry.happened_at.isoformat() == "2026-11-24T21:30:00+00:00"
    assert entry.recorded_at > entry.happened_at


def test_signs_stand_ticked_as_last_seen(mara, book):
    """A sign is not lost because somebody opens the form to add one."""
    dog = the_dog(book(), "Fern").dog
    html = mara.get(f"/dogs/{dog}/seen/").content.decode()
    ticked = [part for part in html.split("<input") if "soft-stool" in part]
    assert "checked" in ticked[0]
