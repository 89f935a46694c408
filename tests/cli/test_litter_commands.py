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


def test_due_date_from_progesterone_alone_in_either_unit():
    """2.7 at the surge and 4.8 ng/mL two days on (Hollinshead & Hanlon 2019); x 3.180."""
    ng = answer(
        "due-date",
        *("--progesterone", "2026-03-01", "2.7", "--progesterone", "2026-03-03", "4.8"),
    )
    nmol = answer(
        "due-date",
        *("--unit", "nmol/L"),
        *("--progesterone", "2026-03-01", "8.586"),
        *("--progesterone", "2026-03-03", "15.264"),
    )
    for name in ("median", "low", "high", "because", "surge"):
        assert ng[name] == nmol[name]
    days = (date.fromisoformat(ng["median"]) - date(2026, 3, 1)).days
    assert abs(days - 65) <= 1
    assert ng["because"] == ["progesterone in season"]


def test_due_date_of_a_mating_that_nobody_saw_and_past_her_time():
    told = answer(
        "due-date", "--mated-between", "2026-01-01", "2026-01-09", "--on", "2026-03-20"
    )
    assert told["overdue"]
    assert told["low"] >= "2026-03-20"
    assert told["strip_negative_counts_from"] == "2026-02-11"
    assert (
        "call the vet now"
        in run(
            "due-date",
            "--mated-between",
            "2026-01-01",
            "2026-01-09",
            "--on",
            "2026-03-20",
        ).stdout
    )


def test_due_date_says_what_each_fact_says_and_its_days_add_up():
    told = answer("due-date", "--lh", "2026-01-10", "--mated", "2026-01-12")
    assert [one["fact"] for one in told["each_alone"]] == ["LH day", "mating dates"]
    held = sum(
        one["chance"]
        for one in told["days"]
        if told["low"] <= one["day"] <= told["high"]
    )
    assert 0.76 <= held <= 0.90
    assert sum(one["chance"] for one in told["days"]) == pytest.approx(1, abs=0.02)


def test_losses_say_delay_pattern_and_parents():
    told = answer("losses", "--on", "2026-11-25")
    assert told["call_vet"] is False
    assert told["pattern"]["signs"][0]["kind"] == "stillborn"
    assert told["delay"]["years_to_notice"] > 1
    assert (
        told["delay"]["years_between_false_alarms"] > told["delay"]["years_to_notice"]
    )
    dams = {one["name"]: one for one in told["dams"]}
    assert dams["Sorrel"]["raw"] > dams["Sorrel"]["shrunk"] > told["baseline"]
    assert "to notice that losses doubled" in " ".join(
        run("losses", "--on", "2026-11-25").stdout.split()
    )


def test_a_litter_says_when_it_may_leave_and_by_whose_rule():
    """Eight weeks (England 2018)."""
    (one,) = answer("litter", "sorrel's litter", "--on", "2026-11-25")
    born = date.fromisoformat(one["born_on"])
    assert one["leave_from"] == (born + timedelta(days=56)).isoformat()
    assert one["leave_source"]
    assert all("because" in puppy for puppy in one["puppies"])
