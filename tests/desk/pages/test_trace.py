"""Tracing on the desk: asking, the answer, keeping a dog apart from it, roles."""

import re

import pytest

from kennelward.desk import tasks
from kennelward.desk.pages.trace.plan import in_hundreds
from kennelward.desk.records.models import Kennel
from kennelward.desk.task_worker import TRACE, trace
from tests.desk.pages.conftest import text_of

NUMBER = r"(?:less than |more than )?[\d.]+"


@pytest.fixture(autouse=True)
def _no_process(monkeypatch):
    """No worker is started; tests do the work themselves."""
    monkeypatch.setattr(tasks, "start_worker", lambda: None)


@pytest.mark.parametrize("role", ["owner", "hand", "vet"])
def test_it_opens_for_every_role(as_role, role):
    answer = as_role(role).get("/trace/")
    assert answer.status_code == 200
    assert "Another dog" in text_of(answer)


def test_an_unknown_dog_is_not_traced(mara):
    said = {"dog": "nobody", "infection": "giardia"}
    assert mara.post("/trace/ask/", said).status_code == 404


def test_a_tracing_of_another_kind_of_task_is_not_shown(mara):
    assert mara.get("/trace/nothing/").status_code == 404


def test_two_tracings_at_a_time(mara):
    """Each has a process of its own; a third tap leads to one that runs."""
    page = mara.get("/trace/").content.decode()
    dog = page.split('<option value="')[1].split('"')[0]
    said = {"dog": dog, "infection": "parvovirus"}
    first, second, third = (mara.post("/trace/ask/", said).url for _ in range(3))
    assert first != second
    assert third == second


def says_only_what_it_knows(text: str) -> None:
    """Chances with their ranges, the log's limits first, guesses named; nobody is safe."""
    ranked = text.split("Do now", 1)[1].split("The likeliest come first", 1)[0]
    if " of 100" not in ranked.split("If the log is complete", 1)[0]:
        return  # refused: nothing is ranked
    first, listed = ranked.split("If the log is complete", 1)
    assert re.search(rf"Between {NUMBER} and {NUMBER} with what is not known", first)
    assert re.search(
        r"Of the \d+ numbers it is worked out from, \d+ are our guess", listed
    )
    chances = re.findall(rf"{NUMBER} of 100( \({NUMBER} to {NUMBER}\))?", listed)
    unwritten = listed.count("not written down:")
    assert len([one for one in chances if not one]) == unwritten
    assert len([one for one in chances if one]) >= 1
    source = text.split("Who may have brought it in", 1)[1].split("A likely source", 1)[
        0
    ]
    for one in re.findall(rf"{NUMBER} of 100( \({NUMBER} to {NUMBER}\))?", source):
        assert one
    rests = text.split("What it rests on", 1)[1]
    assert re.search(r"\d+ published numbers, \d+ of our guess", rests)
    assert "Those that may be furthest off" in rests
    assert "no chance here ends a precaution" in rests
    for word in (" free of ", " safe ", "proves", "guilty", " dose", "antibiotic"):
        assert word not in text


@pytest.mark.slow
def test_from_asking_to_keeping_a_dog_apart(mara):
    """The answer ranks, says why and never claims; a tap writes that a dog is apart."""
    page = mara.get("/trace/").content.decode()
    dog = page.split('<option value="')[1].split('"')[0]
    asked = mara.post("/trace/ask/", {"dog": dog, "infection": "parvovirus"})
    assert asked.status_code == 302
    assert "looks again by itself" in text_of(mara.get(asked.url))
    tasks.work({TRACE: trace})
    kennel = str(Kennel.objects.get().pk)
    found = tasks.tasks(TRACE, kennel=kennel)[0]
    assert found.state == "done", found.says
    text = text_of(mara.get(asked.url))
    for words in (
        "Do now",
        "Test first",
        "no evidence against a dog",
        "does not make it nothing",
        "The likeliest come first",
        "spells of signs",
        "that it has it now",
        "so the two can differ. Act on the higher.",
    ):
        assert words in text
    says_only_what_it_knows(text)
    lead = text.split("Your book from", 1)[1][:60]
    assert not re.search(r"\d{4}-\d\d-\d\d", lead), (
        "a day is written as people write it"
    )
    done = mara.post(f"{asked.url}apart/", {"dog": dog, "entry": ""}, follow=True)
    assert "is kept apart; what follows stands under Due" in text_of(done)


def told(dog, chance, *, averted=0.0, brought_in=0.0):
    return {
        "dog": dog, "id": dog, "is_here": True, "reasons": [], "averted": averted,
        "brought_in": brought_in, "found_now": 0.0,
        "infected_now": {
            "chance": chance, "low": chance / 2, "high": chance,
            "if_one_move_in_ten_is_missing": chance,
        },
    }  # fmt: skip


def test_the_likeliest_stand_first_and_nothing_is_shown_as_nothing():
    """Whoever spares most others has a list of its own and pushes nobody down."""
    likely, unlikely = told("A", 0.67, averted=0.0), told("B", 0.0004, averted=0.3)
    page = in_hundreds(
        {
            "log_from": "2026-11-01", "on": "2026-11-25", "left_out": [],
            "isolate_first": [likely, unlikely], "act_first": [unlikely, likely],
            "likely_source": [told("C", 0.1, brought_in=0.001)],
            "brought_in_itself": 0.2, "infected_itself": 0.0002,
        }
    )  # fmt: skip
    assert [one["dog"] for one in page["do_now"]] == ["A", "B"]
    assert [one["dog"] for one in page["spares_most"]] == ["B"]
    assert page["do_now"][1]["infected_now"]["in_hundred"] == "less than 0.1"
    assert page["has_it_in_hundred"] == "less than 0.1"
    assert page["likely_source"] == []
