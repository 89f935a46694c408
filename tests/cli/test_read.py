"""`kennelward read`: one answer a photo, in order, whatever state the photo is in."""

import json

import pytest
from click.testing import CliRunner

from kennelward.cli import main
from kennelward.cli.minutes import Minutes
from kennelward.cli.read_command import in_words, within_minutes
from kennelward.demo import draw_photo

EVERY_KEY = {
    "file",
    "call",
    "faint",
    "reason",
    "lines",
    "could_see",
    "window",
    "quality",
    "model",
    "milliseconds",
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    found = tmp_path_factory.mktemp("photos")
    (found / "faint.jpg").write_bytes(draw_photo("pip-giardia.jpg"))
    (found / "note.jpg").write_text("not a picture")
    (found / "empty.jpg").write_bytes(b"")
    return found


def run(*args: object):
    return CliRunner().invoke(main, ["read", *map(str, args)], prog_name="kennelward")


def test_one_object_a_line_in_order_and_status_1_where_one_is_unreadable(folder):
    names = ["note.jpg", "faint.jpg", "empty.jpg", "missing.jpg"]
    found = run(
        *(folder / name for name in names), "--kit", "giardia-antigen", "--json"
    )
    assert found.exit_code == 1
    told = [json.loads(line) for line in found.stdout.splitlines()]
    assert [each["file"] for each in told] == [str(folder / name) for name in names]
    assert [each["call"] for each in told] == [
        "unreadable",
        "positive",
        "unreadable",
        "unreadable",
    ]
    assert all(set(each) >= EVERY_KEY for each in told)
    assert all(each["says"] and each["do"] for each in told if each["reason"])

    read = told[1]
    assert read["faint"] is True
    assert [line["name"] for line in read["lines"]] == ["control", "test"]
    for line in read["lines"]:
        assert 0 <= line["chance_line"] <= 1
        assert line["low_95"] < line["low"] <= line["contrast"]
        assert line["contrast"] <= line["high"] < line["high_95"]
    assert read["interval"] == 0.9
    assert read["could_see"] > 0
    assert len(read["window"]) == 4
    assert read["quality"]["sharpness"] > 0
    assert read["model"]
    assert read["milliseconds"] > 0


def test_read_too_late_is_no_call_although_the_line_is_there(folder):
    found = run(
        folder / "faint.jpg", "--kit", "giardia-antigen", "--minutes", 45, "--json"
    )
    assert found.exit_code == 1
    told = json.loads(found.stdout)
    assert (told["call"], told["faint"], told["reason"]) == (
        "unreadable",
        False,
        "read-late",
    )


READ = {"file": "a.jpg", "call": "negative", "faint": False, "could_see": 0.02}


@pytest.mark.parametrize(
    ("minutes", "call"),
    [(None, "negative"), (4.9, "unreadable"), (5, "negative"), (10, "negative")],
)
def test_both_ends_of_the_minutes_belong_to_them(minutes, call):
    window = Minutes(5, 10)
    found = within_minutes(dict(READ), window=window, minutes=minutes)
    assert found["call"] == call


@pytest.mark.parametrize("call", ["positive", "negative", "trace", "invalid"])
def test_each_call_has_its_sentence(call):
    said = in_words({**READ, "call": call})
    assert said.startswith(f"a.jpg: {call}")
    assert said.endswith((".", "test."))


def test_corners_go_with_one_photo(folder):
    found = run(
        folder / "faint.jpg",
        folder / "faint.jpg",
        "--kit",
        "giardia-antigen",
        "--corners",
        "1,2 3,4 5,6 7,8",
    )
    assert found.exit_code == 1
    assert "one photo" in found.stderr


def test_an_unknown_kit_is_refused_before_anything_is_read(folder):
    found = run(folder / "faint.jpg", "--kit", "other")
    assert found.exit_code == 1
    assert found.stdout == ""
    assert "no kit 'other'" in found.stderr


def test_nothing_of_a_photo_is_held_once_its_answer_is_out(folder):
    """Only photos of one strip, which are called together, are kept in mind."""
    from kennelward.cli import read_command
    from kennelward.handbook import load_handbook

    help_ = read_command.Help(corners=None, well=None, flip=False, window_only=False)
    kit = load_handbook().kits["giardia-antigen"]
    photos = (folder / "faint.jpg",) * 2
    held: list = []
    for measured in (None, held):
        answers = list(
            read_command._answers(photos, kit=kit, help_=help_, measured=measured)
        )
        assert [one["call"] for one in answers] == ["positive"] * 2
    assert len(held) == 2


def test_photos_of_one_strip_give_one_answer_more(folder):
    found = run(
        folder / "faint.jpg",
        folder / "note.jpg",
        folder / "faint.jpg",
        "--kit",
        "giardia-antigen",
        "--together",
        "--json",
    )
    told = [json.loads(line) for line in found.stdout.splitlines()]
    assert [each["call"] for each in told] == [
        "positive", "unreadable", "positive", "positive",
    ]  # fmt: skip
    whole = told[-1]
    assert (whole["file"], len(whole["photos"])) == ("together", 3)
    assert found.exit_code == 0


def test_photos_of_one_strip_that_differ_are_said_to(tmp_path):
    """One with a clear line, one without: the line stays, and a sentence says it."""
    from kennelward.demo.scenes import draw_strip_photo
    from kennelward.terms import stream

    for name, od in (("line", 0.3), ("none", 0.0)):
        photo = draw_strip_photo(
            test_od=od, control_od=0.5, rng=stream(41, "test.differ"), size=(1200, 900)
        )
        (tmp_path / f"{name}.jpg").write_bytes(photo)
    line, none = tmp_path / "line.jpg", tmp_path / "none.jpg"
    options = ("--kit", "giardia-antigen", "--together")
    told = [
        json.loads(text)
        for text in run(line, none, *options, "--json").stdout.splitlines()
    ]
    assert [one["call"] for one in told] == ["positive", "negative", "positive"]
    assert told[-1]["photos_differ"] is True
    assert "The photos do not say the same." in run(line, none, *options).stdout
    same = json.loads(run(line, line, *options, "--json").stdout.splitlines()[-1])
    assert same["photos_differ"] is False
    assert "do not say the same" not in run(line, line, *options).stdout
