"""The terminal's journeys, each command as a process of its own."""

import json
import subprocess
import sys
from datetime import date, timedelta

import pytest

from kennelward.demo.scenes import draw_strip_photo
from kennelward.terms import stream
from tests.journeys.serving import plain_environment, serve_desk

ON = "2026-03-11"


def kennelward(*arguments, at=None):
    """Run `kennelward …` as a person would, in the folder `at`."""
    return subprocess.run(
        [sys.executable, "-W", "error", "-m", "kennelward.cli", *map(str, arguments)],
        capture_output=True,
        text=True,
        env=plain_environment(),
        cwd=at,
    )


def answer_of(*arguments, status=0, **options):
    """The JSON that a command gives, its exit status checked."""
    done = kennelward(*arguments, "--json", **options)
    assert done.returncode == status, done.stderr + done.stdout
    return json.loads(done.stdout)


def refused(*arguments, status, **options):
    """What a command says on stderr when it does not do it: one line, no traceback."""
    done = kennelward(*arguments, **options)
    assert done.returncode == status, done.stdout
    (line,) = done.stderr.strip().splitlines()
    assert line.startswith("kennelward: ")
    return line


@pytest.fixture(scope="module")
def demo():
    """The demo's answers on one day."""
    return answer_of("demo", "--on", ON)


def test_demo_shows_every_kit_and_every_kind_of_strip(demo):
    """Four kits; positive, faint, negative, failed and unreadable strips."""
    strips = demo["strips"]
    assert {one["kit"] for one in strips} == {
        "giardia-antigen", "parvovirus-antigen", "relaxin", "brucella-antibody",
    }  # fmt: skip
    assert {one["call"] for one in strips} >= {
        "positive",
        "negative",
        "invalid",
        "unreadable",
    }
    assert any(one["faint"] for one in strips)
    assert any(one["void"] for one in strips), "an expired lot"
    assert demo["made_up"] is True


def test_demo_says_what_to_do_and_by_when(demo):
    """Actions, contacts and a due list with rule and source."""
    assert any(one["actions"] for one in demo["strips"])
    assert any(one["exposed"] for one in demo["strips"])
    for item in demo["due"]:
        assert item["rule"]
        assert item["source"]
        assert date.fromisoformat(item["from"]) <= date.fromisoformat(item["by"])


def test_demo_is_the_same_every_time(demo):
    """The same day gives the same story, photos and all."""
    assert answer_of("demo", "--on", ON) == demo


def test_demo_reads_as_a_story():
    """Without --json: words, within 80 columns, and that it is made up."""
    done = kennelward("demo", "--on", ON)
    assert done.returncode == 0, done.stderr
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert "made" in done.stdout.lower()


def test_interpret_gives_the_promised_fields():
    """A nine-week-old pup, soft stool, three days here, a positive strip."""
    found = answer_of(
        "interpret", "--kit", "giardia-antigen", "--result", "positive", "--age-weeks", 9,
        "--sign", "soft-stool", "--arrived-days", 3,
    )  # fmt: skip
    chance = found["chance"]
    assert 0 <= chance["low"] <= chance["median"] <= chance["high"] <= 1
    assert found["chance_before"] < chance["median"]
    assert found["chance_if_negative"] < found["chance_before"]
    assert found["informative"] is True
    assert found["reasons"]


def test_void_results_never_move_a_chance():
    """Expired or read late: the chance stays, and it is not informative."""
    case = ("interpret", "--kit", "giardia-antigen", "--age-weeks", 9)
    for void in (("--expired",), ("--minutes", 55)):
        found = answer_of(*case, "--result", "negative", *void)
        assert found["informative"] is False
        assert found["chance"]["median"] == pytest.approx(found["chance_before"])


def test_read_answers_for_every_photo(tmp_path):
    """A strip, a text file and a missing one: three answers, status 1."""
    strip = tmp_path / "strip.jpg"
    strip.write_bytes(
        draw_strip_photo(test_od=0.3, control_od=0.5, rng=stream(11, "journey.read"))
    )
    text = tmp_path / "letter.jpg"
    text.write_text("no photo")
    asked = ["read", strip, text, tmp_path / "none.jpg", "--kit", "giardia-antigen"]
    done = kennelward(*asked, "--json")
    assert done.returncode == 1
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert [one["call"] for one in answers] == ["positive", "unreadable", "unreadable"]
    assert all(one["do"] for one in answers[1:])
    alone = kennelward("read", strip, "--kit", "giardia-antigen")
    assert (alone.returncode, "positive" in alone.stdout) == (0, True)


def test_due_of_the_demo_where_there_is_no_book(tmp_path):
    """Each item names subject, action, days, rule, source and reason."""
    items = answer_of("due", "--on", ON, at=tmp_path)
    assert items
    for item in items:
        for key in ("subject", "action", "from", "by", "rule", "source", "because"):
            assert item[key], (key, item)
    assert list(tmp_path.iterdir()) == [], "looking makes no book"


def test_handbook_names_unit_and_source_of_every_number():
    """Nothing without a source, or marked as having none."""
    values = answer_of("handbook")["values"]
    assert len(values) > 50
    kinds = {"published", "common practice, no source", "from memory", "user"}
    for one in values:
        assert one["unit"], one
        assert one["provenance"] in kinds, one
        assert one["source"] or one["provenance"] != "published", one


@pytest.mark.slow
def test_book_is_verified_backed_up_and_restored(tmp_path):
    """Demo desk once; then verify, backup, restore, verify against the head."""
    with serve_desk(tmp_path, "--demo"):
        pass
    data = tmp_path / "demo"
    before = answer_of("verify", "--data", data)
    assert before["ok"] is True
    assert before["entries"] > 100
    made = answer_of("backup", tmp_path / "book.zip", "--data", data)
    assert (made["entries"], made["head"]) == (before["entries"], before["head"])
    back = tmp_path / "back"
    restored = answer_of("restore", tmp_path / "book.zip", "--data", back)
    assert restored["head"] == before["head"]
    again = answer_of("verify", "--data", back, "--head", before["head"])
    assert (again["ok"], again["entries"]) == (True, before["entries"])
    assert answer_of("due", "--data", back) == answer_of("due", "--data", data)

    wrong = answer_of("verify", "--data", back, "--head", "f" * 64, status=1)
    assert wrong["problem"]
    line = refused("restore", tmp_path / "book.zip", "--data", back, status=1)
    assert "empty" in line
    torn = tmp_path / "torn.zip"
    torn.write_bytes((tmp_path / "book.zip").read_bytes()[:-2000])
    refused("restore", torn, "--data", tmp_path / "other", status=1)


def test_commands_that_need_a_book_say_so(tmp_path):
    """Status 1 and what to do where there is none."""
    for command in (("verify",), ("backup", tmp_path / "book.zip")):
        line = refused(*command, "--data", tmp_path / "none", status=1)
        assert "kennelward desk" in line


@pytest.mark.parametrize(
    "wrong",
    [
        ("dance",),
        ("interpret",),
        ("interpret", "--kit", "giardia-antigen", "--sign", "purple"),
        ("due", "--on", "yesterday"),
        ("read",),
        ("interpret", "--kit", "giardia-antigen", "--arrived-days", "-3"),
    ],
)
def test_wrongly_written_is_status_2(wrong):
    """One line that says how to write it."""
    refused(*wrong, status=2)


@pytest.mark.parametrize(
    "wrong",
    [
        ("interpret", "--kit", "moon-antigen", "--result", "positive"),
        ("interpret", "--kit", "giardia-antigen", "--result", "perhaps"),
        ("restore", "none.zip", "--data", "none-at-all"),
    ],
)
def test_what_cannot_be_done_is_status_1(wrong):
    """One line that says what is allowed."""
    refused(*wrong, status=1)


def test_demo_of_another_day_moves_with_it(tmp_path):
    """Dates of the demo are relative to --on."""
    later = date.fromisoformat(ON) + timedelta(days=200)
    items = answer_of("due", "--on", later.isoformat(), at=tmp_path)
    lasts = [date.fromisoformat(item["by"]) for item in items]
    assert min(lasts) > later - timedelta(days=120)
