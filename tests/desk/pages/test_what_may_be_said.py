"""What may be said of a traced or simulated chance: on the page, in the terminal, as JSON.

Each chance stands with its range; that it holds for the log as it was written is said;
so is how many of its numbers are our guess; and a low chance is called nothing better.
The JSON of `foresee` is held to its ranges in tests/cli/test_foresee.py.
"""

import json
import re
import sys

import pytest
from click.testing import CliRunner

from kennelward.cli import main
from kennelward.desk import tasks
from kennelward.desk.task_worker import TRACE
from kennelward.handbook import load_handbook
from kennelward.kennel import Book
from kennelward.rounds.spread_knowledge import knowledge_of
from kennelward.rounds.suspects import Suspect
from kennelward.rounds.trace_and_contain import TracedDog, Tracing
from kennelward.rounds.trace_json import tracing_as_plain
from kennelward.spread.knowledge import Grade
from kennelward.spread.trace import DogTraced
from kennelward.terms import Phrase
from tests.desk.pages.conftest import NOW, text_of
from tests.desk.pages.test_foresee import answered

NUMBER = r"(?:less than |more than )?[\d.]+"
CHANCE = rf"{NUMBER} of 100\b"
RANGE = rf" \({NUMBER} to {NUMBER}(?: with what is not known)?\)"
HAS_IT = r" that it has it now, if the log is complete, by all results\. "
RANGES = (  # ways in which a range stands behind its chance
    rf"{CHANCE}{RANGE}",
    rf"{CHANCE} that it has it now{RANGE}",
    rf"{CHANCE}{HAS_IT}Between {NUMBER} and {NUMBER} with what is not known",
)
COUNTS_OF_RUNS = (  # of how a picture is drawn: no chances of a dog
    r"(?:Dark|Light) band: \d+ of 100",
    r"not even 5 of 100 runs",
    r"half 75 of 100 95 of 100",
)
BETTER_THAN_LOW = (
    r"\b(safe|clear|clean|healthy|harmless|negligible|free of|ruled out|no risk|"
    r"all right|nothing to fear|unaffected|uninfected)\b"
)
DENIED = r"\b(not|no|never|nothing|nobody)\b"
NO_CHANCE = {  # keys of a tracing's JSON whose numbers are no chance
    "averted", "effective_runs", "low", "high", "runs", "results", "signs", "seed",
    "numbers",
}  # fmt: skip


def without_range(text):
    """Chances of a text that stand without their range."""
    for way in (*RANGES, *COUNTS_OF_RUNS):
        text = re.sub(way, "", text)
    return re.findall(CHANCE, text)


def called_better(text):
    """Sentences that call something safe and do not deny it."""
    sentences = re.split(r"(?<=[.!?:;]) ", text)
    return [
        one
        for one in sentences
        if re.search(BETTER_THAN_LOW, one, re.I) and not re.search(DENIED, one, re.I)
    ]


def chances_without_range(plain, at=""):
    """Where in a tracing's JSON a chance stands without a range that holds it."""
    if isinstance(plain, list):
        return [
            path
            for n, one in enumerate(plain)
            for path in chances_without_range(one, f"{at}[{n}]")
        ]
    if not isinstance(plain, dict):
        return []
    found = []
    for key, value in plain.items():
        if key in NO_CHANCE or key.endswith("_range"):
            continue
        if isinstance(value, float):
            ends = plain.get(f"{key}_range") or [plain.get("low"), plain.get("high")]
            if None in ends or not 0 <= ends[0] <= value <= ends[1] <= 1:
                found.append(f"{at}.{key}")
        found += chances_without_range(value, f"{at}.{key}")
    return found


def test_the_rules_themselves_find_what_they_are_for():
    """Each of the three finds the fault it looks for, and passes what is right."""
    assert without_range("Mossy: 3 of 100. Figgy: 5 of 100 (1 to 9).") == ["3 of 100"]
    assert without_range("less than 0.1 of 100 (less than 0.1 to 0.4)") == []
    assert called_better("Mossy: 0.1 of 100 (0 to 1). It is safe.") == ["It is safe."]
    assert called_better("a negative does not make it safe.") == []
    assert chances_without_range([{"found_now": 0.2}]) == ["[0].found_now"]
    assert chances_without_range({"chance": 0.2, "low": 0.1, "high": 0.3}) == []
    assert chances_without_range({"a": 0.2, "a_range": [0.3, 0.4]}) == [".a"]


def traced_dog(chance):
    """A dog's chances around one number, each with a range."""
    low, high = chance / 2, min(1.0, 2 * chance)
    return DogTraced(
        dog=1, infected_now=chance, low=low, high=high,
        found_now=chance * 0.9, found_low=low * 0.9, found_high=high * 0.9,
        brought_in=chance / 4, source_low=low / 4, source_high=high / 4,
        let_in=0.0, sheds_for=3.0, averted=3 * chance, error=0.01,
    )  # fmt: skip


@pytest.fixture
def book(demo_entries):
    return Book.from_entries(demo_entries)


def tracing(book, *, is_ranked):
    """A tracing of the made-up kennel's dogs; from a high chance to hardly any."""
    infection, handbook = "giardia", load_handbook()
    found, *others = sorted(
        (card for card in book.dogs.values() if card.is_here), key=lambda card: card.dog
    )
    chances = [traced_dog(0.9 / 4**n) for n in range(len(others))]  # to hardly any
    dogs = tuple(
        TracedDog(
            dog=card.dog,
            chance=chance if is_ranked else None,
            if_unwritten=chance if is_ranked else None,
            may_have_it=True,
            may_be_source=True,
            suspect=None
            if number
            else Suspect(dog=card.dog, since=NOW.date(), because="test"),
            reasons=(
                Phrase("Mated with {dog} on {first}.", {"dog": "x", "first": "y"}),
            ),
            last_met=None,
            is_here=number != 1,
        )
        for number, (card, chance) in enumerate(zip(others, chances, strict=True))
    )
    return Tracing(
        dog=found.dog,
        infection=infection,
        people_first=(),
        first=NOW.date().replace(day=1),
        on=NOW.date(),
        dogs=dogs,
        found=traced_dog(0.4) if is_ranked else None,
        results=3,
        signs=1,
        guesses=knowledge_of(handbook=handbook, infection=infection).guesses[:3],
        grades={Grade.PUBLISHED: 10, Grade.GUESS: 22},
        runs=1536,
        effective=420.0 if is_ranked else 12.0,
        faults=(),
        seed=1,
    )


def page_of(client, kennel, told, monkeypatch):
    """The text of the answer page for a tracing."""
    monkeypatch.setattr(tasks, "start_worker", lambda: None)
    asked = {"dog": told["id"], "infection": told["agent"]}
    name = tasks.ask(TRACE, asked, kennel=kennel, by="Mara")
    tasks.work({TRACE: lambda *_: told})
    text = text_of(client.get(f"/trace/{name}/"))
    return text.split("Your book from", 1)[1]


def terminal_of(told, monkeypatch):
    """What `kennelward trace` prints of it."""
    module = sys.modules["kennelward.rounds.trace_and_contain"]
    monkeypatch.setattr(module, "trace_and_contain", lambda **_: told)
    arguments = ["trace", told.dog, "--agent", told.infection, "--on", "2026-11-25"]
    done = CliRunner().invoke(main, arguments)
    assert done.exit_code == 0, done.output
    return " ".join(done.output.split())


@pytest.fixture
def said(request, mara, demo, book, monkeypatch, tmp_path):
    """A ranked tracing's text, on the page or in the terminal."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("KENNELWARD_DATA", raising=False)
    where, is_ranked = request.param
    told = tracing(book, is_ranked=is_ranked)
    if where == "page":
        return page_of(mara, demo, tracing_as_plain(told, book=book), monkeypatch)
    return terminal_of(told, monkeypatch)


RANKED = pytest.mark.parametrize(
    "said",
    [("page", True), ("terminal", True)],
    indirect=True,
    ids=["page", "terminal"],
)
REFUSED = pytest.mark.parametrize(
    "said", [("page", False), ("terminal", False)], indirect=True,
    ids=["page", "terminal"],
)  # fmt: skip


@RANKED
def test_every_traced_chance_stands_with_its_range(said):
    assert len(re.findall(CHANCE, said)) > 20
    assert without_range(said) == []
    unwritten = re.findall(r"If one move in ten was not written down: (.{60})", said)
    assert len(unwritten) == 8
    assert all(re.match(rf"{CHANCE}{RANGE}\.", one) for one in unwritten)


@RANKED
def test_the_limits_of_a_tracing_are_said_before_its_numbers(said):
    """The log's completeness beside both lists; how many numbers are guesses, and which."""
    assert said.index("If the log is complete") < said.index("are our guess")
    source = re.split("Who may have brought it in|May have brought it in", said)[1]
    assert "f the log is complete" in source[:30]
    assert "Of the 32 numbers it is worked out from, 22 are our guess." in said
    assert re.search(r"[Tt]hat may be furthest off", said)
    assert "Act on the higher." in said
    assert "No chance here ends a precaution" in said or (
        "no chance here ends a precaution" in said
    )


@RANKED
def test_a_low_chance_is_called_nothing_better(said):
    assert "less than 0.1 of 100" in said
    assert called_better(said) == []
    for word in (" proves", " guilty", " innocent", " dose", " antibiotic"):
        assert word not in said
    assert "no evidence" in said


@RANKED
def test_the_dog_asked_about_and_suspects_are_acted_on_first(said):
    assert said.index("stays apart until the vet says otherwise") < said.index(
        " of 100"
    )
    assert re.search(rf"itself: {CHANCE}{RANGE}", said)
    assert "o longer here" in said
    assert "A litter stays with its dam and is kept apart as one." in said


@REFUSED
def test_where_nothing_can_be_ranked_no_chance_is_said(said):
    assert "stays apart until the vet says otherwise" in said
    assert re.findall(CHANCE, said) == []
    assert "a path through the log leads to" in said
    assert called_better(said) == []


@pytest.mark.parametrize("is_ranked", [True, False])
def test_every_chance_of_a_tracings_json_stands_with_its_range(book, is_ranked):
    told = json.loads(
        json.dumps(tracing_as_plain(tracing(book, is_ranked=is_ranked), book=book))
    )
    assert chances_without_range(told) == []
    first = told["isolate_first"][0]
    assert ("infected_now" in first) is is_ranked
    assert told["numbers"] == {"our guess": 22, "published": 10}
    assert "this log as it is written" in told["holds_for"]


def simulated_on_page(client, kennel):
    task = answered(kennel, "giardia").task
    text = text_of(client.get(f"/what-may-happen/{task}/"))
    return text.split("Do now", 1)[1]


def simulated_in_terminal():
    small = ("--days", "21", "--worlds", "2", "--runs", "2", "--on", "2026-11-25")
    done = CliRunner().invoke(main, ["foresee", "--agent", "giardia", *small])
    assert done.exit_code == 0, done.output
    return " ".join(done.output.split())


@pytest.mark.slow
@pytest.mark.parametrize("where", ["page", "terminal"])
def test_a_simulated_chance_is_said_with_its_range_and_its_limits(
    where, mara, demo, monkeypatch, tmp_path
):
    monkeypatch.setattr(tasks, "start_worker", lambda: None)
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("KENNELWARD_DATA", raising=False)
    if where == "page":
        text = simulated_on_page(mara, demo)
        assert len(re.findall(rf"outbreak {CHANCE}{RANGE}", text)) > 3
    else:
        text = simulated_in_terminal()
        told = len(re.findall(r"outbreaks in 100:", text))
        assert told > 3
        assert len(re.findall(rf"outbreaks in 100: {NUMBER}{RANGE}", text)) == told
    assert without_range(text) == []
    assert re.search(r"could (?:be|still be) (?:up to )?\d+", text)
    assert re.search(r"numbers it is worked out from, \d+ are our guess", text)
    assert "what was not written down is not in it" in text
    assert "is assumed, not known" in text
    assert "not a forecast" in text
    assert called_better(text) == []
    assert text.index("Suspects today:") < text.index("simulated")
