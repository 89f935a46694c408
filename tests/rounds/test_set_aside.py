"""Results that say nothing of now, and why: never left out in silence."""

from datetime import date, timedelta

import pytest

from kennelward.handbook import load_handbook
from kennelward.kennel import facts as f
from kennelward.rounds import set_aside
from kennelward.rounds.worth import results_of
from tests.kennel.making import Story

HANDBOOK = load_handbook()
ZERO = date(2026, 3, 2)


@pytest.fixture
def story() -> Story:
    """Moss, with a giardia positive of day 1."""
    told = Story()
    told.pen("a")
    told.dog("moss", is_breeding=True)
    told.tell(0, f.Moved(dog="moss", pen="a"))
    result(told, 1, "giardia", "flotation")
    return told


def result(story, day, infection, method):
    story.tell(
        day,
        f.OtherResult(dog="moss", infection=infection, method=method, call="positive"),
        id=f"{infection}-{day}",
    )


def split(story, infection, day):
    """Ids of what is used, and of what is set aside with the words."""
    known = {
        "book": story.book,
        "handbook": HANDBOOK,
        "dog": "moss",
        "infection": infection,
        "on": ZERO + timedelta(days=day),
    }
    used = [one.entry for one in results_of(**known)]
    aside = {one.result.entry: str(one.why) for one in set_aside(**known)}
    return used, aside


def test_a_course_that_ended_sets_what_was_before_aside(story):
    """And nothing else: what was found after it is used."""
    assert split(story, "giardia", 5) == (["giardia-1"], {})
    story.tell(
        2,
        f.CourseWritten(
            course="c",
            dog="moss",
            text="As on the label.",
            prescribed_by="Dr Vale",
            starts_on=ZERO + timedelta(days=2),
            ends_on=ZERO + timedelta(days=6),
            times_a_day=2,
            infection="giardia",
        ),
    )
    assert split(story, "giardia", 6) == (["giardia-1"], {})
    result(story, 8, "giardia", "flotation")
    used, aside = split(story, "giardia", 9)
    assert used == ["giardia-8"]
    assert list(aside) == ["giardia-1"]
    assert "2026-03-08" in aside["giardia-1"]
    assert "It clears nothing" in aside["giardia-1"]


def test_a_mating_sets_an_older_pregnancy_test_aside(story):
    """What was seen of the last attempt says nothing of this one."""
    result(story, 3, "pregnancy", "ultrasound")
    story.tell(5, f.Mated(dam="moss", sire_outside="Rex"))
    used, aside = split(story, "pregnancy", 20)
    assert used == []
    assert "Of before the mating of 2026-03-07" in aside["pregnancy-3"]


def test_an_old_result_is_too_old_to_say_anything(story):
    """Past `same_episode_days` it is in no chance, and the words say so."""
    days = int(HANDBOOK.infections["giardia"].values["same_episode_days"].value)
    assert split(story, "giardia", 1 + days) == (["giardia-1"], {})
    used, aside = split(story, "giardia", 2 + days)
    assert used == []
    assert f"Older than {days} days" in aside["giardia-1"]
