"""The drawn photos: always the same bytes, and read as they were drawn."""

from datetime import date

import pytest

from kennelward.demo import demo_jobs, demo_photos, draw_photo
from kennelward.demo.bench import PHOTOGRAPHED
from kennelward.demo.photos import SCENES, photo_name
from kennelward.reading import CallCutoffs, StripLayout, read_strip_photo
from kennelward.terms import Call

ON = date(2026, 11, 25)

# What each photo was drawn to say; the reader is not asked here.
DRAWN_AS = {
    "figgy-parvovirus": (Call.POSITIVE, False),
    "mossy-parvovirus": (Call.INVALID, False),
    "pip-giardia": (Call.POSITIVE, True),
    "dot-giardia": (Call.UNREADABLE, False),
    "thistle-giardia": (Call.NEGATIVE, False),
    "fern-giardia": (Call.NEGATIVE, False),
    "juniper-relaxin": (Call.POSITIVE, False),
    "saffron-relaxin": (Call.NEGATIVE, False),
    "corvin-brucella": (Call.NEGATIVE, False),
}


def test_every_strip_has_a_scene_and_a_job():
    marks = [strip.mark for strip in PHOTOGRAPHED]
    assert set(marks) == set(SCENES) == set(DRAWN_AS)
    assert [job.photo for job in demo_jobs(on=ON)] == [photo_name(m) for m in marks]


def test_what_was_drawn_is_what_the_person_saw():
    """So that the demo's book and its photos tell one story."""
    for strip in PHOTOGRAPHED:
        assert (strip.seen, strip.is_faint) == DRAWN_AS[strip.mark]


def test_a_photo_is_the_same_jpeg_every_time():
    first = draw_photo("pip-giardia.jpg")
    assert first == draw_photo("pip-giardia.jpg")
    assert first.startswith(b"\xff\xd8\xff")


@pytest.mark.slow
def test_photos_are_read_as_drawn():
    """Each of them, by the reader with its own typical layout."""
    found = {
        name.removesuffix(".jpg"): read_strip_photo(
            photo, layout=StripLayout(), cutoffs=CallCutoffs()
        )
        for name, photo in demo_photos(on=ON).items()
    }
    assert {m: (r.call, r.is_faint) for m, r in found.items()} == DRAWN_AS
