"""What may happen as a whole job, and its words: patterns, ranges, no claim beyond."""

import re
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from kennelward.demo import demo_book
from kennelward.handbook import load_handbook
from kennelward.kennel import Book
from kennelward.rounds import (
    AheadSettings,
    Asked,
    plan_outbreak,
    prepare_outbreak,
)
from kennelward.rounds.outbreak_words import (
    amount,
    difference_words,
    in_thousand,
    said_of,
    times,
)
from kennelward.rounds.spread_knowledge import learnt_from_book, offered_tests
from kennelward.spread.compare import Amount, compare
from kennelward.spread.knowledge import Grade
from kennelward.spread.measures import COLUMNS, Figure
from kennelward.spread.policies import Plan, Prices
from kennelward.terms import BadInput, stream

ON = date(2026, 11, 25)


@pytest.fixture(scope="module")
def book():
    return Book.from_entries(demo_book(on=ON))


def prepared(book, infection="parvovirus", **more):
    asked = Asked(
        infection=infection,
        settings=AheadSettings(days=21),
        amount=Amount(worlds=2, runs=2),
        **more,
    )
    return prepare_outbreak(book=book, handbook=load_handbook(), on=ON, asked=asked)


def compared(outbreaks, *, sick=0.0, better=0.0, prices=None):
    """A comparison on made-up runs: so many of 1000 had an outbreak."""
    rows = np.zeros((10, 100, len(COLUMNS)))
    flat = rows.reshape(-1, len(COLUMNS))
    flat[:outbreaks, COLUMNS.index("cases")] = 5
    flat[:, COLUMNS.index("sick_days")] = sick
    other = rows.copy()
    other.reshape(-1, len(COLUMNS))[:, COLUMNS.index("sick_days")] -= better
    found = {"now": rows, "other": other}
    return compare(
        lambda plans, worlds, runs, seed: {p.id: found[p.id] for p in plans},
        now=Plan(id="now"),
        plans=[Plan(id="other")] if better else [],
        prices=prices or Prices(),
        seed=1,
    )


def text_of(comparison, **more):
    given = {"days": 180, "kills": True, "is_chronic": False, "prices": Prices()}
    return " ".join(str(p) for p in said_of(comparison, **{**given, **more}))


def test_the_chance_is_said_as_the_pattern_has_it():
    """'In 1000 simulated half-years like yours, about 300 had an outbreak'."""
    text = text_of(compared(300))
    assert re.search(
        r"In 1000 simulated half-years like yours, with what you do now, about 300 had "
        r"an outbreak \(3 or more further cases\)\. With what we do not know about how "
        r"it spreads, that could be \d+ to \d+\.",
        text,
    )


def test_never_is_not_said():
    text = text_of(compared(0))
    assert "In none of 4000" in text or "In none of" in text
    assert re.search(r"It could still be up to \d+ in 1000", text)


def test_a_better_plan_is_counted_in_worlds():
    text = text_of(compared(10, sick=5, better=1))
    assert "beat what you do now in 10 of 10 plausible worlds" in text


def test_the_plan_least_regretted_is_named_with_its_measure():
    """The other plan is better in every world, so nobody regrets it: named once."""
    said = text_of(compared(100, sick=5.0, better=2.0))
    assert (
        "It is also the one least to be regretted whatever turns out to be true, by "
        "dog-days ill" in said
    )
    assert said.index("came out best") < said.index("least to be regretted")
    assert said.index("least to be regretted") < said.index("In 1000 simulated")
    assert said.count(": other") == 1


def test_of_plans_that_cost_the_same_the_one_with_fewer_ill_is_least_regretted():
    """Only tests have a price and neither plan tests: cost alone tells nothing."""
    found = compared(100, sick=5.0, better=2.0, prices=Prices(test=500))
    assert all(plan.figures["cost"].high == 0 for plan in found.all)
    assert found.least_regret == "other"
    said = text_of(found, prices=Prices(test=500))
    assert "by cost, and at the same cost by dog-days ill" in said


def test_the_ages_of_vaccinations_are_said_where_a_vaccine_protects(book):
    says = {
        name: " ".join(str(one) for one in prepared(book, name).ahead.assumed)
        for name in ("parvovirus", "giardia")
    }
    assert "vaccinated against it at 8, 12 and 16 weeks" in says["parvovirus"]
    assert "vaccinated against it" not in says["giardia"]


def test_plans_that_are_alike_are_left_to_the_vet():
    rows = np.ones((4, 10, len(COLUMNS)))
    found = compare(
        lambda plans, worlds, runs, seed: {p.id: rows for p in plans},
        now=Plan(id="a"),
        plans=[Plan(id="b"), Plan(id="c")],
        prices=Prices(),
        seed=1,
    )
    said = text_of(found)
    assert (
        "3 plans cannot be told apart with what is known: (1) what you do now; (2) b; "
        "(3) c. Choose among them" in said
    )
    assert "Cost counts" not in said
    said = text_of(found, prices=Prices(test=500))
    assert "Cost counts only what has a price here: each test." in said


def test_a_plan_that_was_just_named_is_not_written_out_again():
    """Two that cannot be told apart, the second the least regretted by a little."""
    rows = np.ones((10, 100, len(COLUMNS)))
    luck = stream(1, "tests.alike").normal(size=(2, 10, 100))
    better, best = rows.copy(), rows.copy()
    better[:, :, COLUMNS.index("sick_days")] = luck[0] - 9
    best[:, :, COLUMNS.index("sick_days")] = luck[1] - 9
    found = {"now": rows, "b": better, "c": best}
    answer = compare(
        lambda plans, worlds, runs, seed: {p.id: found[p.id] for p in plans},
        now=Plan(id="now"),
        plans=[Plan(id="b"), Plan(id="c")],
        prices=Prices(),
        seed=1,
    )
    assert set(answer.alike) == {"b", "c"}
    named = [one.plan.id for one in answer.all if one.plan.id in answer.alike]
    number = 1 + named.index(answer.least_regret)
    said = text_of(answer)
    assert f"known: (1) {named[0]}; (2) {named[1]}. Choose" in said
    assert f"by dog-days ill: ({number}). In its worst world" in said


def test_a_cheaper_plan_that_leaves_more_dogs_ill_is_said_to():
    rows = np.zeros((4, 50, len(COLUMNS)))
    cheap = rows.copy()
    rows[:, :, COLUMNS.index("tests")] = 10
    luck = np.arange(50.0) % 2
    cheap[:, :, COLUMNS.index("sick_days")] = 3 + luck
    found = compare(
        lambda plans, worlds, runs, seed: {
            p.id: rows if p.id == "a" else cheap for p in plans
        },
        now=Plan(id="a"),
        plans=[Plan(id="b")],
        prices=Prices(test=100),
        seed=1,
        by="cost",
    )
    assert "It comes with more of these: dog-days ill" in text_of(found)
    assert "No price was given" in text_of(found)
    assert "No price was given" not in text_of(found, prices=Prices(test=100))


def test_brucella_says_what_is_not_in_it():
    assert "nobody has measured it" in text_of(compared(5), is_chronic=True)
    assert "died" not in text_of(compared(5), kills=False)


@pytest.mark.parametrize(
    ("value", "said"),
    [(0, "0"), (0.004, "0"), (0.034, "0.03"), (0.44, "0.4"), (7, "7"), (7.24, "7.2"),
     (123.4, "123"), (-0.251, "-0.3")],
)  # fmt: skip
def test_figures_have_no_more_digits_than_they_are_worth(value, said):
    assert amount(value) == said


def test_counts_of_a_thousand():
    assert [in_thousand(x) for x in (0, 0.0004, 0.0123, 0.304)] == [
        "0",
        "1",
        "12",
        "300",
    ]
    assert times(180) == "half-years"
    assert times(540) == "spans of 540 days"


def test_a_difference_has_its_error_and_its_worlds():
    figure = Figure(mean=-3.2, error=0.4, low=-6, high=-0.5)
    assert str(difference_words(figure)) == "-3.2, error 0.4, worlds -6 to -0.5"
    same = Figure(mean=0, error=0, low=0, high=0)
    assert str(difference_words(same)) == "no different"


# --- what goes in -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("infection", "caution"),
    [
        ("brucella", "brucella-people"),
        ("giardia", "giardia-people"),
        ("parvovirus", "danger-first"),
    ],
)
def test_people_and_dogs_in_danger_come_first(book, infection, caution):
    found = prepared(book, infection).people_first
    assert found[0].id == caution


def test_every_number_has_a_grade_and_a_source(book):
    numbers = prepared(book).knowledge.numbers.values()
    assert all(known.source for known in numbers)
    assert {known.grade for known in numbers} == set(Grade)


def test_the_tests_figures_are_those_of_the_kit(book):
    """What a strip's result is weighed with is what the simulator tests with."""
    kit = load_handbook().kits["parvovirus-antigen"]
    numbers = prepared(book).knowledge.numbers
    sick = next(p for p in kit.performances if p.situation.is_sick)
    spread = sick.sensitivity.interval()
    known = numbers["test_finds_sick"]
    assert (known.low, known.value, known.high) == (
        spread.low,
        spread.median,
        spread.high,
    )


def test_another_test_may_be_asked_for(book):
    found = prepared(book, test="pcr")
    assert found.test.name == "PCR"
    assert found.test.setting.delay_days > 0
    names = [one.test for one in offered_tests(load_handbook(), "brucella")]
    assert names[0] == "brucella-antibody"
    windows = {
        one.test: one.setting.window
        for one in offered_tests(load_handbook(), "brucella")
    }
    assert windows["brucella-antibody"] == (21, 84)
    assert windows["pcr"] is None


def test_a_kind_that_cannot_matter_stays_as_it_is(book):
    asked = Asked(
        infection="giardia",
        settings=AheadSettings(days=60, visits_a_year=0, arrivals_a_year=0),
    )
    plans = prepare_outbreak(
        book=book, handbook=load_handbook(), on=ON, asked=asked
    ).plans
    named = {p.id for plan in plans for p in plan.policies}
    assert "no-visits" not in named
    assert "quarantine-7" not in named


def test_a_search_tries_many_and_not_too_many(book):
    found = prepared(book, is_search=True)
    assert 20 <= len(found.plans) <= 150
    assert found.runs > 0


def test_prices_come_from_the_shelf_where_nothing_is_said(book):
    assert prepared(book, infection="giardia").prices.test == 690


def test_an_empty_kennel_is_refused(book):
    with pytest.raises(BadInput, match="enter the dogs"):
        prepare_outbreak(
            book=Book.from_entries(()),
            handbook=load_handbook(),
            on=ON,
            asked=Asked(infection="giardia"),
        )


def test_what_records_teach_never_is_a_rate(book):
    found = prepared(book)
    learnt = learnt_from_book(
        book=book, handbook=load_handbook(), knowledge=found.knowledge, on=ON
    )
    assert {one.name for one in learnt} == {"arrival_infected", "signs", "attack"}


# --- the whole ----------------------------------------------------------------------


@pytest.mark.slow
def test_the_whole_job_and_its_stop(book):
    found = prepared(book)
    told = []
    answer = plan_outbreak(found, said=lambda done, total: told.append((done, total)))
    assert answer.runs == found.runs
    assert told == sorted(told)
    assert told[-1][0] == told[-1][1]
    assert answer.says
    assert answer.comparison.now.plan == found.now

    class Enough(Exception):
        pass

    def stop(done, total):
        raise Enough

    with pytest.raises(Enough):
        plan_outbreak(replace(found), said=stop)


@pytest.mark.slow
def test_a_search_counts_its_runs_beforehand(book):
    found = prepared(book, is_search=True)
    answer = plan_outbreak(found)
    assert answer.runs == found.runs
    assert len(answer.comparison.others) <= 3
