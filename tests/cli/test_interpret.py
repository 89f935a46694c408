"""`kennelward interpret`: the keys promised, the same numbers as rounds, honest refusals."""

import json
from datetime import date

import pytest
from click.testing import CliRunner

from kennelward.cli import main
from kennelward.handbook import load_handbook
from kennelward.rounds import CaseResult, DogCase, interpret_case
from kennelward.terms import Call

PUPPY = (
    "--kit",
    "giardia-antigen",
    "--age-weeks",
    "9",
    "--sign",
    "soft-stool",
    "--arrived-days",
    "3",
)


def run(*args: str):
    return CliRunner().invoke(main, ["interpret", *args], prog_name="kennelward")


def answer(*args: str):
    found = run(*args, "--json")
    assert found.exit_code == 0, found.output
    return json.loads(found.stdout)


def test_the_answer_holds_what_is_promised_in_order():
    told = answer(*PUPPY, "--result", "positive")
    chance = told["chance"]
    assert 0 <= chance["low"] < chance["median"] < chance["high"] <= 1
    assert 0 < told["chance_if_negative"] < told["chance_before"] < chance["median"]
    assert told["informative"] is True
    assert told["reasons"]
    assert all(isinstance(reason, str) for reason in told["reasons"])


def test_it_is_what_rounds_says_of_the_same_case():
    told = answer(*PUPPY, "--result", "positive", "--on", "2026-11-25")
    found = interpret_case(
        handbook=load_handbook(),
        case=DogCase(
            infection="giardia",
            on=date(2026, 11, 25),
            age_days=63,
            signs=("soft-stool",),
            days_since={"arrival": 3},
        ),
        results=[CaseResult(test="giardia-antigen", call=Call.POSITIVE)],
    )
    assert told["chance"] == found.chance.as_json()
    assert told["chance_before"] == found.chance_before.median
    assert told["reasons"] == [str(reason) for reason in found.reasons]


def test_a_negative_lowers_the_chance_to_what_was_foretold():
    positive = answer(*PUPPY, "--result", "positive")
    negative = answer(*PUPPY, "--result", "negative")
    assert negative["chance"]["median"] == positive["chance_if_negative"]


def test_faint_is_a_positive_in_full():
    faint, positive = (answer(*PUPPY, "--result", r) for r in ("faint", "positive"))
    assert faint == positive


@pytest.mark.parametrize(
    "void",
    [
        ("--result", "positive", "--expired"),
        ("--result", "negative", "--minutes", "45"),
        ("--result", "negative", "--minutes", "1"),
        ("--result", "negative", "--minutes", "8", "--leaflet", "3-5"),
        ("--result", "invalid"),
        ("--result", "unreadable"),
        ("--result", "trace"),
    ],
)
def test_a_result_that_does_not_count_moves_nothing_and_says_why(void):
    told = answer(*PUPPY, *void)
    assert told["informative"] is False
    assert told["chance"]["median"] == told["chance_before"]
    assert len(told["reasons"]) > len(answer(*PUPPY)["reasons"])


def test_a_void_positive_is_still_acted_on():
    assert answer(*PUPPY, "--result", "positive", "--expired")["act_as_suspect"] is True
    assert answer(*PUPPY, "--result", "trace")["act_as_suspect"] is True
    assert answer(*PUPPY, "--result", "invalid")["act_as_suspect"] is False


def test_the_leaflets_minutes_decide():
    args = (*PUPPY, "--result", "negative", "--minutes", "4", "--leaflet", "3-5")
    assert answer(*args)["informative"] is True


def test_another_method_beside_the_strip_counts_its_days():
    """A flotation negative lowers what the strip said; three days lower it more."""
    strip = answer(*PUPPY, "--result", "positive")["chance"]["median"]
    one = answer(*PUPPY, "--result", "positive", "--result", "flotation=negative")
    three = answer(*PUPPY, "--result", "positive", "--result", "flotation=negative:3")
    assert three["chance"]["median"] < one["chance"]["median"] < strip


def test_no_result_at_all_gives_the_chance_before():
    told = answer(*PUPPY)
    assert told["informative"] is False
    assert told["chance"]["median"] == told["chance_before"]


def test_a_pregnancy_test_too_early_says_nothing():
    """Clinical rule: a negative counts from LH + 31 or 33 days after the last mating."""
    bitch = ("--kit", "relaxin", "--age-months", "33", "--result", "negative")
    assert answer(*bitch, "--mated-days", "23")["informative"] is False
    assert answer(*bitch, "--mated-days", "32")["informative"] is False
    assert answer(*bitch, "--mated-days", "33")["informative"] is True
    assert answer(*bitch, "--lh-days", "30")["informative"] is False
    assert answer(*bitch, "--lh-days", "31")["informative"] is True


def test_brucella_is_never_called_an_infected_dog():
    found = run("--kit", "brucella-antibody", "--result", "positive")
    assert found.exit_code == 0, found.output
    said = found.stdout.casefold()
    assert "infected dog" not in said
    assert "positive dog" not in said
    assert "turn out to carry" in " ".join(said.split())


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--kit", "no-such-kit"), "use one of brucella-antibody, giardia-antigen"),
        ((*PUPPY, "--result", "maybe"), "'maybe' is no result"),
        ((*PUPPY, "--result", "smell=negative"), "no test 'smell'"),
        ((*PUPPY, "--result", "flotation=negative:0"), "days sampled are 1 to 10"),
        ((*PUPPY, "--age-months", "2"), "not both"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_line(args, said):
    found = run(*args)
    assert found.exit_code == 1
    assert found.stderr.startswith("kennelward: ")
    assert found.stderr.count("\n") == 1
    assert said in found.stderr


@pytest.mark.parametrize(
    "args",
    [
        ("--result", "positive"),  # no kit
        (*PUPPY, "--sign", "purple"),
        (*PUPPY, "--leaflet", "ten"),
        (*PUPPY, "--leaflet", "10-5"),
        (*PUPPY, "--arrived-days", "-3"),
    ],
)
def test_options_written_wrongly_end_with_2(args):
    found = run(*args)
    assert found.exit_code == 2
    assert found.stderr.count("\n") == 1


def test_nothing_printed_is_wider_than_80_columns():
    found = run(*PUPPY, "--result", "positive", "--result", "flotation=negative")
    assert max(len(line) for line in found.stdout.splitlines()) <= 80


def test_own_figures_move_the_chance_and_the_handbooks_stand_beside():
    ours = answer(*PUPPY, "--result", "negative")
    own = answer(*PUPPY, "--result", "negative", "--sensitivity", "58/60")
    assert ours["by_handbook"] is None
    assert own["by_handbook"] == ours["chance"]
    assert own["chance"]["median"] < ours["chance"]["median"]
    assert own["figures"][0]["provenance"] == "user"


def test_the_steps_lead_from_the_start_to_the_chance():
    told = answer(
        *PUPPY,
        *("--result", "faint@2026-11-20"),
        *("--result", "flotation=negative:3@2026-11-22"),
        *("--on", "2026-11-25"),
    )
    kinds = [step["kind"] for step in told["steps"]]
    assert kinds == ["start", "known", "result", "result"]
    assert told["steps"][-1]["chance"] == pytest.approx(told["chance"]["median"])
    assert told["steps"][2]["on"] == "2026-11-20"


def test_the_next_step_is_never_below_a_seen_line():
    told = answer(*PUPPY, "--result", "faint", "--visit-price", "60")["next"]
    assert told["at_least"] == "keep-apart"
    assert told["unit"] == "money"
    assert all(test["then_if_negative"] != "carry-on" for test in told["tests"])


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (("--sensitivity", "1.2"), "sensitivity must be from 0 to 1, got 1.2"),
        (("--sensitivity", "40/30"), "40 of 30, the first number must be from 0 to 30"),
        (("--sensitivity", "high"), "write 0.83, or counts such as 58/60"),
        (("--prior", "-0.1"), "prior must be from 0 to 1, got -0.1"),
        (("--prior", "0"), "must be more than 0 where a result is positive, got 0"),
        (("--sensitivity", "0.1", "--specificity", "0.2"), "add up to less than 1"),
        (("--result", "negative@2027-01-01"), "allowed are days up to 2026-11-25"),
        (("--result", "negative@soon"), "write it as 2026-03-31"),
    ],
)
def test_a_slip_is_answered_with_the_value_and_what_is_allowed(wrong, says):
    found = run(*PUPPY, "--result", "positive", "--on", "2026-11-25", *wrong)
    assert found.exit_code == 1
    assert says in " ".join(found.output.split())
