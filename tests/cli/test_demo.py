"""Every sentence of the demo is true to the numbers behind it.

The report is printed, taken apart again, and each number in it compared with what
rounds says when asked anew, and with the book.
"""

import re
from datetime import date, timedelta

import pytest
from click.testing import CliRunner

from kennelward.cli import main
from kennelward.cli.report import report
from kennelward.cli.shared_options import console
from kennelward.demo import demo_jobs
from kennelward.demo.main_job import do_main_job
from kennelward.evidence import natural_frequency
from kennelward.handbook import load_handbook
from kennelward.kennel import Book
from kennelward.rounds import contain, dog_worth, kennel_plan, shelf_plan
from kennelward.terms import Call

ON = date(2026, 11, 25)
pytestmark = pytest.mark.slow  # nine photos are drawn and read


@pytest.fixture(scope="module")
def handbook():
    return load_handbook()


@pytest.fixture(scope="module")
def done(handbook):
    return do_main_job(on=ON, handbook=handbook)


@pytest.fixture(scope="module")
def printed(done, handbook):
    """The whole report as one text of words with single spaces."""
    out = console()
    with out.capture() as captured:
        for part in report(done, handbook=handbook):
            out.print(part)
    return captured.get()


def words(text: str) -> str:
    return " ".join(text.split())


def part_of(printed: str, name: str) -> str:
    """What the report says of one dog, from its heading to the next."""
    start = re.search(rf"^─* ?{name}, ", printed, re.MULTILINE)
    assert start is not None, name
    rest = printed[printed.index("\n", start.end()) :]
    end = re.search(r"^\S", rest, re.MULTILINE)
    return words(rest[: end.start()] if end else rest)


def test_no_line_is_wider_than_80_columns(printed):
    assert max(len(line) for line in printed.splitlines()) <= 80


def test_the_counts_in_the_head_are_those_of_the_book(printed, done):
    found = re.search(r"(\d+) dogs in (\d+) pens; (\d+) entries", words(printed))
    assert found is not None
    book = Book.from_entries(done.entries)
    assert [int(n) for n in found.groups()] == [
        len(book.dogs_here),
        len(book.pens),
        len(book.entries),
    ]


def test_the_photos_are_counted_right(printed, done):
    calls = [outcome.reading.call for _, outcome in done.read]
    said = re.search(r"(\d+) photos read: (.*?)\.", words(printed))
    assert said is not None
    assert int(said[1]) == len(calls) == len(demo_jobs(on=ON))
    for word, call in (
        ("positive", Call.POSITIVE),
        ("negative", Call.NEGATIVE),
        ("failed", Call.INVALID),
        ("unreadable", Call.UNREADABLE),
    ):
        counted = re.search(rf"(\d+) {word}", said[2])
        assert (int(counted[1]) if counted else 0) == calls.count(call)


def test_each_chance_is_the_one_that_rounds_works_out_anew(printed, done, handbook):
    """The counts of dogs in each sentence, compared with the final book."""
    compared = 0
    for job, _ in done.read:
        said = part_of(printed, done.book.name_of(job.dog))
        found = re.search(
            r"Of (\d+) \w+ like this one, about (\d+) .*?\(between (\d+) and (\d+)\)",
            said,
        )
        infection = handbook.kits[job.kit].infection
        (worth,) = (
            each.worth
            for each in dog_worth(book=done.book, handbook=handbook, dog=job.dog, on=ON)
            if each.infection == infection
        )
        assert found is not None, said
        counts = natural_frequency(before=worth.chance_before, after=worth.chance)
        assert [int(n) for n in found.groups()] == [
            counts.of,
            counts.after,
            counts.low,
            counts.high,
        ]
        if worth.informative:
            before = re.search(r"before any test it was about (\d+)", said)
            assert before is not None
            assert int(before[1]) == counts.before
        else:
            assert "No result counts yet" in said
        compared += 1
    assert compared == len(done.read)


def test_whom_it_exposed_is_what_the_book_says(printed, done, handbook):
    job = next(job for job, _ in done.read if done.book.name_of(job.dog) == "Figgy")
    exposed = {
        done.book.name_of(contact.dog)
        for contact in contain(
            book=done.book,
            handbook=handbook,
            dog=job.dog,
            infection="parvovirus",
            on=ON,
        )
    }
    said = re.search(r"Exposed (\d+) dogs?, (.*)", part_of(printed, "Figgy"))
    assert said is not None
    assert int(said[1]) == len(exposed)
    assert {"Mossy", "Burr", "Reed", "Teasel", "Linnet"} <= exposed
    assert all(name in said[2] for name in exposed)
    assert "Left since: Linnet" in said[2]


def test_the_due_counts_are_those_of_the_plan(printed, done, handbook):
    plan = kennel_plan(book=done.book, handbook=handbook, on=ON)
    open_items = [item for item in plan.due.items if item.is_open]
    said = re.search(r"Due this week: (\d+)", printed)
    assert said is not None
    assert int(said[1]) == len(open_items) > 0
    walk = sum(item.is_daily_walk for item in open_items)
    assert f"{walk} of them are the daily walk" in words(printed)
    for state, title in (("overdue", "Overdue"), ("today", "Today")):
        count = sum(
            item.state == state and not item.is_daily_walk for item in open_items
        )
        found = re.search(rf"^ {title} \((\d+)\)", printed, re.MULTILINE)
        assert (int(found[1]) if found else 0) == count


def test_the_shelf_lines_are_the_plan_of_the_shelf(printed, done, handbook):
    plan = kennel_plan(book=done.book, handbook=handbook, on=ON)
    shelf = shelf_plan(book=done.book, due=plan.due, on=ON)
    lines = [words(line) for line in printed.splitlines()]
    for need in shelf.needs:
        name = handbook.kits[need.kit].name
        (line,) = (
            each for each in lines if re.match(rf"{re.escape(name)} \d+ \d+ ", each)
        )
        numbers = re.match(rf"{re.escape(name)} (\d+) (\d+) (\d+) (\d+)", line)
        assert numbers is not None
        assert [int(n) for n in numbers.groups()] == [
            need.usable_now,
            need.needed,
            need.short,
            need.expiring,
        ]


def test_what_the_demo_promises_is_said(printed):
    assert "faint positive" in part_of(printed, "Pip")
    assert "past its printed date" in part_of(printed, "Fern")
    assert "control line is missing" in part_of(printed, "Mossy")
    assert "unreadable" in part_of(printed, "Dot")
    assert "too early" in part_of(printed, "Saffron").casefold()
    assert "provisional" in part_of(printed, "Corvin").casefold()


def test_the_cautions_that_matter_are_there(printed):
    text = words(printed).casefold()
    for word in ("gloves", "soap", "vet", "screening aid", "local law"):
        assert word in text


def test_nothing_says_more_than_a_strip_can(printed):
    text = words(printed).casefold()
    for never in (
        "positive dog",
        "infected dog",
        "is infected",
        "is free of",
        "cleared",
    ):
        assert never not in text


def test_a_void_result_moves_no_chance(done):
    for _, outcome in done.read:
        if outcome.outcome.test.void_reasons:
            assert outcome.outcome.test.counts is False
            assert outcome.outcome.void_says


def test_another_day_tells_the_same_story(done, handbook):
    """Dates count back from the day: two years later the calls and the due work agree."""
    later = do_main_job(on=ON + timedelta(days=730), handbook=handbook)
    assert [o.reading.call for _, o in later.read] == [
        o.reading.call for _, o in done.read
    ]
    assert [i.action.rule.rule for i in later.plan.due.items if i.is_open] == [
        i.action.rule.rule for i in done.plan.due.items if i.is_open
    ]


def test_the_command_ends_with_0_and_has_json():
    import json

    found = CliRunner().invoke(main, ["demo", "--on", ON.isoformat(), "--json"])
    assert found.exit_code == 0, found.output
    told = json.loads(found.stdout)
    assert told["made_up"] is True
    assert len(told["strips"]) == 9
    assert told["due"]
