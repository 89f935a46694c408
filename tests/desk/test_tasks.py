"""Long work: asked for, done once, watched, stopped; what goes wrong says so."""

import time
from datetime import UTC, datetime, timedelta

import pytest

from kennelward.desk import clock, tasks
from kennelward.desk.records.models import TaskRow
from kennelward.terms import BadInput


@pytest.fixture(autouse=True)
def _no_process(monkeypatch):
    """No worker is started; tests do the work themselves."""
    monkeypatch.setattr(tasks, "start_worker", lambda: None)


@pytest.fixture
def later(monkeypatch):
    """A clock that a test moves on."""
    moment = [datetime(2026, 3, 2, 9, tzinfo=UTC)]
    monkeypatch.setattr(tasks, "now", lambda: moment[0])

    def move(**by):
        moment[0] += timedelta(**by)

    return move


def add_up(kennel, asked, told):
    """Work of a few steps."""
    told(0, asked["steps"])
    for step in range(asked["steps"]):
        told(step, asked["steps"])
    return {"sum": sum(range(asked["steps"]))}


def ask(kennel, **asked):
    return tasks.ask("sum", asked, kennel=kennel, by="Mara")


def test_work_is_done_once_and_its_answer_kept(kennel):
    name = ask(kennel, steps=5)
    assert tasks.task(name, kennel=kennel).state == "waiting"
    assert tasks.work({"sum": add_up}) == 1
    assert tasks.work({"sum": add_up}) == 0
    found = tasks.task(name, kennel=kennel)
    assert (found.state, found.answer, found.made_by) == ("done", {"sum": 10}, "Mara")
    assert not found.is_open


def test_work_of_another_kind_is_left_alone(kennel):
    ask(kennel, steps=1)
    assert tasks.work({"product": add_up}) == 0


def test_another_kennels_work_is_not_seen(kennel):
    name = ask(kennel, steps=1)
    assert tasks.task(name, kennel="elsewhere") is None
    assert tasks.tasks("sum", kennel="elsewhere") == []
    tasks.stop(name, kennel="elsewhere")
    assert tasks.task(name, kennel=kennel).state == "waiting"


def test_waiting_work_is_stopped_at_once(kennel):
    name = ask(kennel, steps=1)
    tasks.stop(name, kennel=kennel)
    assert tasks.task(name, kennel=kennel).state == "stopped"
    assert tasks.work({"sum": add_up}) == 0


def test_running_work_stops_at_its_next_step_and_keeps_nothing(kennel, later):
    name = ask(kennel, steps=9)
    seen = []

    def slow(kennel, asked, told):
        for step in range(asked["steps"]):
            seen.append(step)
            later(seconds=1)
            told(step, asked["steps"])
            if step == 3:
                tasks.stop(name, kennel=kennel)
        return {"sum": 1}

    tasks.work({"sum": slow})
    found = tasks.task(name, kennel=kennel)
    assert (found.state, found.answer) == ("stopped", {})
    assert seen == [0, 1, 2, 3, 4]
    assert (found.done, found.total) == (4, 9)


def test_progress_is_a_share_of_a_hundred(kennel, later):
    name = ask(kennel, steps=4)

    def half(kennel, asked, told):
        later(seconds=1)
        told(2, 4)
        assert tasks.task(name, kennel=kennel).in_hundred == 50
        return {}

    assert tasks.work({"sum": half}) == 1


def test_what_cannot_be_asked_says_why(kennel):
    name = ask(kennel, steps=1)

    def refuse(kennel, asked, told):
        raise BadInput("no dog is in the book")

    tasks.work({"sum": refuse})
    found = tasks.task(name, kennel=kennel)
    assert (found.state, found.says) == ("failed", "no dog is in the book")


def test_a_fault_of_ours_is_raised_and_the_row_does_not_hang(kennel):
    name = ask(kennel, steps=1)

    def break_down(kennel, asked, told):
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        tasks.work({"sum": break_down})
    assert tasks.task(name, kennel=kennel).state == "failed"


def test_a_silent_worker_is_seen_and_can_be_given_up(kennel, later):
    name = ask(kennel, steps=1)
    TaskRow.objects.filter(task=name).update(state="running", seen_at=tasks.now())
    assert not tasks.task(name, kennel=kennel).is_silent
    later(minutes=5)
    assert tasks.task(name, kennel=kennel).is_silent
    tasks.stop(name, kennel=kennel)
    assert tasks.task(name, kennel=kennel).state == "stopped"


def test_only_the_newest_answers_are_kept(kennel, later):
    for step in range(tasks.KEPT + 4):
        later(seconds=1)
        ask(kennel, steps=step)
        tasks.work({"sum": add_up})
    held = tasks.tasks("sum", kennel=kennel)
    assert len(held) <= tasks.KEPT + 1
    assert held[0].asked == {"steps": tasks.KEPT + 3}


def test_the_book_does_not_know_of_tasks(kennel):
    """A task is no entry: the chain's head stays where it was."""
    from kennelward import desk

    before = desk.head(kennel)
    ask(kennel, steps=1)
    tasks.work({"sum": add_up})
    assert desk.head(kennel) == before
    assert clock.now().tzinfo is not None


@pytest.mark.django_db(transaction=True)
def test_work_that_tells_nothing_is_seen_to_live(kennel, monkeypatch):
    """Compiling tells no progress for minutes; the row still shows a live process."""
    monkeypatch.setattr(tasks, "BEAT", timedelta(milliseconds=20))
    name = ask(kennel, steps=1)
    seen = []

    def compiling(kennel, asked, told):
        first = TaskRow.objects.get(task=name).seen_at
        for _ in range(200):
            time.sleep(0.02)
            if TaskRow.objects.get(task=name).seen_at > first:
                seen.append(True)
                break
        return {}

    tasks.work({"sum": compiling})
    assert seen
