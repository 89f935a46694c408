"""due-date, litter and losses: the same numbers as the rooms, honest refusals."""

import json
from datetime import date, timedelta

import pytest
from click.testing import CliRunner

from kennelward.cli import main


@pytest.fixture(autouse=True)
def _no_book_here(tmp_path, monkeypatch):
    """The made-up kennel answers, whatever lies in the folder of the tests."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("KENNELWARD_DATA", raising=False)


def run(*args: str):
    return CliRunner().invoke(main, list(args), prog_name="kennelward")


def answer(*args: str):
    found = run(*args, "--json")
    assert found.exit_code == 0, found.output
    return json.loads(found.stdout)


def test_due_date_from_lh_is_65_days_on():
    """65 days from the LH surge (Hollinshead & Hanlon 2017, Theriogenology 101:62)."""
    told = answer("due-date", "--lh", "2026-01-10")
    assert told["median"] == (date(2026, 1, 10) + timedelta(days=65)).isoformat()
    assert told["low"] < told["median"] < told["high"]


def test_due_date_from_ovulation_is_63_days_on():
    """63.1 +/- 2.1 days from ovulation (Mir 2011)."""
    told = answer("due-date", "--ovulation", "2026-01-12")
    assert told["median"] == (date(2026, 1, 12) + timedelta(days=63)).isoformat()


def width(told):
    return date.fromisoformat(told["high"]) - date.fromisoformat(told["low"])


def test_matings_alone_say_less_than_an_lh_day():
    by_mating = answer("due-date", "--mated", "2026-01-12", "--mated", "2026-01-14")
    assert by_mating["because"] == ["mating dates"]
    assert width(by_mating) > width(answer("due-date", "--lh", "2026-01-10"))


def test_a_small_litter_comes_later():
    """One day later at four puppies or fewer (Eilts 2005)."""
    few = answer("due-date", "--lh", "2026-01-10", "--litter-size", "2")
    assert few["median"] > answer("due-date", "--lh", "2026-01-10")["median"]


@pytest.mark.parametrize(
    ("args", "status"),
    [
        ((), 2),
        (("--mated", "2026-02-30"), 2),
        (("--lh", "2026-01-10", "--litter-size", "0"), 2),
        (("--lh", "2026-03-20", "--ovulation", "2026-01-10"), 1),
    ],
)
def test_due_date_refuses_in_one_line(args, status):
    found = run("due-date", *args)
    assert found.exit_code == status
    assert found.stdout == ""
    assert found.stderr.count("\n") == 1


def test_litters_of_the_made_up_kennel():
    told = answer("litter", "--on", "2026-11-25")
    assert told[0]["name"] == "Sorrel's litter"
    (one,) = answer("litter", "sorrel's litter", "--on", "2026-11-25")
    assert len(one["puppies"]) == 4
    assert all(puppy["grams"] > 300 for puppy in one["puppies"])


def test_an_unknown_litter_is_refused_with_the_names():
    found = run("litter", "Nobody's")
    assert found.exit_code == 1
    assert "Sorrel's litter" in found.stderr


def test_losses_of_the_made_up_kennel():
    told = answer("losses", "--on", "2026-11-25")
    lost = {one["litter"]: (one["lost"], one["born"]) for one in told["litters"]}
    assert lost["Sorrel's litter"] == (3, 7)
    assert told["alarm"] is False
    assert "no proof" in run("losses", "--on", "2026-11-25").stdout
