"""`kennelward foresee` in the terminal: JSON, words, refusals, the other name."""

import json

import distributed
import pytest
from click.testing import CliRunner

from kennelward.cli import main

pytestmark = pytest.mark.slow  # the first call compiles

SMALL = ("--days", "21", "--worlds", "2", "--runs", "2", "--on", "2026-11-25")


def run(*arguments, tmp_path=None):
    """The command on the made-up kennel."""
    return CliRunner().invoke(main, ["foresee", *arguments], catch_exceptions=True)


@pytest.fixture(autouse=True)
def _nowhere(tmp_path, monkeypatch):
    """No book lies about, so the made-up one answers."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("KENNELWARD_DATA", raising=False)


def answer(*arguments):
    done = run(*arguments, "--json")
    assert done.exit_code == 0, done.output
    return json.loads(done.output)


@pytest.mark.parametrize("agent", ["parvovirus", "giardia", "brucella"])
def test_json_holds_what_the_page_says(agent):
    found = answer("--agent", agent, *SMALL)
    assert list(found)[:3] == ["agent", "people_first", "says"]
    assert found["people_first"]
    assert found["plans"][0]["is_now"]
    for plan in found["plans"]:
        for figure in (*plan["figures"].values(), *plan["difference"].values()):
            assert figure["low"] <= figure["mean"] <= figure["high"]
        assert 0 <= plan["figures"]["outbreak"]["mean"] <= 1
    assert {one["grade"] for one in found["numbers"]} >= {"published", "our guess"}
    assert {len(weeks) for weeks in found["cases_by_week"].values()} == {3}


def test_the_same_seed_gives_the_same_bytes_whoever_works():
    """One thread, three threads: equal to the last bit."""
    one, three = (
        run("--agent", "parvovirus", *SMALL, "--json", "--workers", str(n)).output
        for n in (1, 3)
    )
    assert one == three
    other = run("--agent", "parvovirus", *SMALL, "--json", "--seed", "2").output
    assert other != one


def test_the_other_name():
    done = CliRunner().invoke(main, ["outlook", "--agent", "giardia", *SMALL])
    assert done.exit_code == 0
    assert "outlook" not in CliRunner().invoke(main, ["--help"]).output


def test_own_policies_are_tried_beside_the_ready_ones(tmp_path):
    file = tmp_path / "mine.toml"
    file.write_text(
        '[[policies]]\nid = "mine"\nkind = "arrivals"\nsays = "Ten days apart"\n'
        'rules = [{ trigger = "arrival", scope = "dog", action = "quarantine", '
        "days = 10 }]\n"
    )
    found = answer("--agent", "giardia", *SMALL, "--policies", str(file))
    assert any("mine" in plan["plan"] for plan in found["plans"])


@pytest.mark.parametrize(
    ("arguments", "status", "message"),
    [
        (("--agent", "rabies"), 1, "brucella, giardia, parvovirus"),
        (("--agent", "giardia", "--now", "hope"), 1, "no policy 'hope'"),
        (("--agent", "giardia", "--test", "tea-leaves"), 1, "must be one of"),
        (("--agent", "giardia", "--days", "3"), 2, "7<=x<=1100"),
        (("--agent", "giardia", "--by", "luck"), 2, "sick_days"),
        (("--agent", "giardia", "--policies", "no.toml"), 2, "does not exist"),
        ((), 2, "--agent"),
    ],
)
def test_what_cannot_be_is_one_line(arguments, status, message, capsys):
    with pytest.raises(SystemExit) as left:
        main(["foresee", *arguments], prog_name="kennelward")
    assert left.value.code == status
    said = capsys.readouterr().err
    assert message in said
    assert said.count("\n") == 1


def test_a_scheduler_that_does_not_answer_is_said():
    done = run("--agent", "giardia", *SMALL, "--scheduler", "tcp://127.0.0.1:9")
    assert done.exit_code == 1


def test_a_cluster_gives_the_same_numbers():
    """1 and 3 workers of a local Dask cluster, and this thread alone."""
    alone = run("--agent", "giardia", *SMALL, "--json").output
    for workers in (1, 3):
        with distributed.LocalCluster(
            n_workers=workers,
            threads_per_worker=1,
            processes=False,
            dashboard_address=None,
        ) as cluster:
            done = run(
                "--agent", "giardia", *SMALL, "--json",
                "--scheduler", cluster.scheduler_address,
            )  # fmt: skip
        assert done.output == alone
