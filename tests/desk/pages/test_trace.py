"""Tracing on the desk: asking, the answer, keeping a dog apart from it, roles."""

import re

import pytest

from kennelward.desk import tasks
from kennelward.desk.pages.trace.plan import in_hundreds
from kennelward.desk.records.models import Kennel
from kennelward.desk.task_worker import TRACE, trace
from tests.desk.pages.conftest import text_of
from tests.desk.pages.test_what_may_be_said import without_range


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
    assert without_range(text.split("Do now", 1)[1]) == []
    rests = text.split("What it rests on", 1)[1]
    assert re.search(r"\d+ published numbers, \d+ of our guess", rests)
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
