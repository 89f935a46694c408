"""`kennelward trace` in the terminal: JSON, words, refusals."""

import json
import re

import pytest
from click.testing import CliRunner

from kennelward.cli import main

ON = ("--on", "2026-11-25")


@pytest.fixture(autouse=True)
def _nowhere(tmp_path, monkeypatch):
    """No book lies about, so the made-up one answers."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("KENNELWARD_DATA", raising=False)


def run(*arguments):
    return CliRunner().invoke(main, ["trace", *arguments])


@pytest.mark.slow
def test_json_says_chances_reasons_and_what_they_hold_for():
    done = run("hazel", "--agent", "giardia", *ON, "--json")
    assert done.exit_code == 0, done.output
    found = json.loads(done.output)
    assert found["has_chances"]
    assert found["effective_runs"] >= 200
    first = found["isolate_first"][0]
    chance = first["infected_now"]
    assert 0 <= chance["low"] <= chance["chance"] <= chance["high"] <= 1
    assert first["reasons"]
    assert [one["averted"] for one in found["act_first"]] == sorted(
        (one["averted"] for one in found["isolate_first"]), reverse=True
    )
    assert found["left_out"] == []
    assert done.output == run("hazel", "--agent", "giardia", *ON, "--json").output


@pytest.mark.slow
def test_words_claim_nothing_about_anybody():
    done = run("Mossy", "--agent", "parvovirus", *ON)
    assert done.exit_code == 0, done.output
    for word in (" free of ", "proves", "guilty", "innocent"):
        assert word not in done.output
    assert "no evidence" in " ".join(done.output.split())
    assert "made-up kennel" in done.output
    assert "2026-" not in done.output
    said = " ".join(done.output.split())
    ranked = said.split("Keep apart first:")[1].split("Whose keeping apart")[0]
    assert said.index("If the log is complete") < said.index("Keep apart first:")
    assert re.search(
        r"Of the \d+ numbers it is worked out from, \d+ are our guess", said
    )
    assert re.search(r"[\d.]+ of 100 \([\d.]+ to [\d.]+\)", ranked)
    assert "Guesses that may be furthest off:" in said


def test_refusals_say_what_to_do():
    done = run("Nobody", "--agent", "giardia", *ON)
    assert done.exit_code == 1
    assert "0 dogs are called" in done.output
    done = run("Hazel", "--agent", "plague", *ON)
    assert done.exit_code == 1
    assert "infection must be one of" in done.output
