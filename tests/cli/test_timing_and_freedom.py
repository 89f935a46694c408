"""timing and freedom: the numbers of the rooms, honest refusals, errors with ranges."""

import json
from datetime import date, timedelta

import pytest
from click.testing import CliRunner

from kennelward.cli import main
from kennelward.evidence import post_test
from kennelward.terms import Call


@pytest.fixture(autouse=True)
def _no_book_here(tmp_path, monkeypatch):
    """The made-up kennel answers, whatever lies in the folder of the tests."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("KENNELWARD_DATA", raising=False)


def run(*args: str):
    return CliRunner().invoke(main, list(args), prog_name="kennelward")


def answer(*args: str, status: int = 0):
    found = run(*args, "--json")
    assert found.exit_code == status, found.output
    return json.loads(found.stdout)


LH = ("timing", "--kit", "relaxin", "--lh", "2025-03-01")


def test_timing_counts_from_the_worked_case():
    """LH 2025-03-01: a strip is dependable from 1 April (worked check case 1)."""
    told = answer(*LH, "--on", "2025-03-25")
    assert told["negative_counts_from"] == told["retest_on"] == "2025-04-01"
    assert told["answers_from"] is None
    assert told["one_strip_gets_there"] is False
    left = post_test(0.878, sensitivity=0.8, specificity=0.98, result=Call.NEGATIVE)
    today = told["today"]["if_negative"]
    assert today["median"] == pytest.approx(left, abs=0.02)
    assert today["low"] < today["median"] < today["high"]
    assert not told["today"]["negative_counts"]
    assert [w["day"] for w in told["curve"]] == list(range(len(told["curve"])))


def test_timing_says_when_one_strip_does_get_there():
    """Frozen semen: 0.71 before."""
    told = answer(*LH, "--on", "2025-03-25", "--mating", "frozen")
    assert told["answers_from"] == "2025-04-01"
    again = answer(
        *LH, "--on", "2025-04-02", "--mating", "frozen", "--tested", "2025-04-02"
    )
    assert again["retest_on"] == "2025-04-09"


def test_timing_in_words():
    found = run(*LH, "--on", "2025-03-25")
    assert found.exit_code == 0
    assert "One strip never gets there" in " ".join(found.stdout.split())
    assert "does not count yet" in found.stdout
    assert "confirmation and treatment are the vet's" in " ".join(found.stdout.split())


@pytest.mark.parametrize(
    "args",
    [
        ("--kit", "brucella-antibody", "--exposed", "2026-01-06"),
        ("--kit", "brucella-antibody", "--arrived", "2026-01-06"),
        ("--kit", "giardia-antigen", "--treated-until", "2026-01-06"),
        ("--kit", "giardia-antigen", "--exposed", "2026-01-06"),
        ("--kit", "parvovirus-antigen", "--ill-since", "2026-01-06"),
        ("--kit", "parvovirus-antigen", "--live-vaccine", "2026-01-06"),
        ("--kit", "relaxin", "--ovulated", "2026-01-06"),
        ("--kit", "relaxin", "--mated", "2026-01-06"),
    ],
)
def test_every_event_has_an_answer(args):
    told = answer("timing", *args, "--on", "2026-01-20")
    assert told["in_words"]
    assert told["source"]
    assert 0 < told["chance_before"]["median"] < 1


@pytest.mark.parametrize(
    ("args", "status", "says"),
    [
        (("--kit", "relaxin"), 2, "give one day to count from"),
        (
            ("--kit", "relaxin", "--mated", "2026-01-01", "--lh", "2026-01-01"),
            2,
            "give one day to count from",
        ),
        (("--kit", "relaxin", "--mated", "soon"), 2, "write it as 2026-03-31"),
        (
            ("--kit", "relaxin", "--mated", "2026-03-02"),
            1,
            "to 2026-03-01, got 2026-03-02",
        ),
        (("--kit", "relaxin", "--mated", "2020-01-01"), 1, "must be from 2025-01-25"),
        (
            ("--kit", "relaxin", "--exposed", "2026-01-01"),
            1,
            "one of lh, ovulation, mating",
        ),
        (("--kit", "litmus", "--mated", "2026-01-01"), 1, "no kit 'litmus'"),
        (("--kit", "relaxin", "--mated", "2026-02-01", "--worth", "1.2"), 1, "1.2"),
        (
            ("--kit", "relaxin", "--mated", "2026-02-01", "--tested", "2026-01-05"),
            1,
            "from 2026-02-01 to 2026-03-01, got 2026-01-05",
        ),
    ],
)
def test_timing_refuses_with_value_and_range(args, status, says):
    found = run("timing", *args, "--on", "2026-03-01")
    assert found.exit_code == status
    assert says in found.stderr
    assert found.stderr.count("\n") == 1


# --- freedom -----------------------------------------------------------------------

DAY = ("--on", "2026-03-01")


def test_freedom_of_the_demo_is_a_chance_with_what_it_rests_on():
    told = answer("freedom", "--infection", "brucella", *DAY)
    assert told["on"] == "2026-03-01"
    assert (
        0
        < told["chance"]["low"]
        < told["chance"]["median"]
        < told["chance"]["high"]
        < 1
    )
    assert told["fewer_than"] >= 1
    assert told["curve"][-1]["chance"] == told["chance"]
    assert told["tests"] == 10
    assert "free" not in " ".join(told["in_words"]).casefold()


def test_freedom_is_refused_with_the_suspects_names():
    """Giardia and parvovirus are open in the made-up kennel."""
    told = answer("freedom", "--infection", "giardia", *DAY, status=1)
    assert told["chance"] is None
    assert told["suspects"]
    assert told["suspects"][0] in told["refused"]


def test_freedom_of_all_infections_is_a_list():
    told = answer("freedom", *DAY)
    assert [one["infection"] for one in told] == ["brucella", "giardia", "parvovirus"]


def test_freedom_plans_and_says_what_cannot_be_reached():
    by = (date(2026, 3, 1) + timedelta(days=60)).isoformat()
    told = answer("freedom", "--infection", "brucella", *DAY, "--plan-by", by)
    plan = told["plan"]
    assert plan["by"] == by
    assert plan["is_reached"] == (plan["chance"] >= 0.95)
    assert plan["left_out"]
    easy = answer(
        "freedom", "--infection", "brucella", *DAY, "--plan-by", by, "--wanted", "0.85"
    )["plan"]
    assert easy["is_reached"]
    assert easy["chance"] >= 0.85
    assert easy["price_cents"] > 0
    assert easy["rounds"][0]["dogs"]


def test_freedom_assumptions_can_be_changed():
    usual = answer("freedom", "--infection", "brucella", *DAY)
    surer = answer(
        "freedom", "--infection", "brucella", *DAY, "--absent-at-start", "0.9"
    )
    assert surer["chance"]["median"] > usual["chance"]["median"]
    assert surer["assumptions"]["absent_at_start"] == 0.9


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (
            ("--infection", "rabies"),
            "one of brucella, giardia, parvovirus; got 'rabies'",
        ),
        (("--infection", "brucella", "--absent-at-start", "1.5"), "1.5"),
        (("--infection", "brucella", "--infected-share", "0.9"), "0.5"),
        (("--infection", "brucella", "--since", "2026-09-09"), "got 2026-09-09"),
        (("--infection", "brucella", "--plan-by", "2026-02-01"), "got 2026-02-01"),
        (
            ("--infection", "brucella", "--plan-by", "2026-04-01", "--wanted", "2"),
            "chance wanted",
        ),
    ],
)
def test_freedom_refuses_with_value_and_range(args, says):
    found = run("freedom", *args, *DAY)
    assert found.exit_code == 1
    assert says in found.stderr
    assert found.stderr.count("\n") == 1


def test_freedom_does_not_look_into_the_future():
    found = run("freedom", "--infection", "brucella", "--on", "2199-01-01")
    assert found.exit_code == 1
    assert "got 2199-01-01" in found.stderr


def test_freedom_in_words():
    found = run("freedom", *DAY)
    assert found.exit_code == 0
    words = " ".join(found.stdout.split())
    assert "A suspect is open" in words
    assert "of 100 kennels with this record" in words
    assert "A made-up kennel" in words
