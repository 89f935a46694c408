"""A dog that met nobody comes to the same in the tracing as on the page of its result."""

from datetime import timedelta
from math import log

import pytest

from kennelward.handbook import load_handbook
from kennelward.kennel import facts as f
from kennelward.rounds import dog_worth
from kennelward.rounds.trace_and_contain import trace_and_contain
from kennelward.rounds.trace_beliefs import dogs_in, sign_ratio
from kennelward.rounds.trace_log import trace_log
from kennelward.rounds.trace_scenario import results_in
from tests.rounds.test_worth import KIT, ON, Kennel

HANDBOOK = load_handbook()
PARVO = "parvovirus-antigen"
SPARE = 0.45  # of log-odds: the draws, and a day between sample and evening


def alone(*, kit=KIT, call="", signs=(), read_by="person", day=6.0):
    """A kennel of one puppy, with a result and signs on the same day."""
    told = Kennel()
    told.puppy("Sedge")
    if signs:
        told.tell(day, f.Observed(dog="Sedge", signs=signs))
    if call and read_by == "person":
        told.strip("Sedge", call, day=day + 0.01, kit=kit)
    elif call:
        told.tell(
            day + 0.01, f.TestStarted(test="t", dog="Sedge", kit=kit, sample="faeces")
        )
        told.tell(day + 0.015, f.StripMeasured(test="t", call=call, minutes=7))
    return told.book


def traced(book, infection):
    found = trace_and_contain(
        book=book, handbook=HANDBOOK, dog="Sedge", infection=infection, on=ON, seed=3
    )
    assert found.found is not None
    return found.found.infected_now


def worth(book, infection):
    told = dog_worth(book=book, handbook=HANDBOOK, dog="Sedge", on=ON)
    return next(one.worth.chance for one in told if one.infection == infection)


def log_odds(chance):
    return log(chance / (1 - chance))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("infection", "case"),
    [
        ("giardia", {"call": "positive"}),
        ("giardia", {"call": "positive", "signs": ("soft-stool",)}),
        ("giardia", {"call": "positive", "read_by": "reader"}),
        ("parvovirus", {"call": "positive", "kit": PARVO}),
        ("parvovirus", {"call": "positive", "kit": PARVO, "signs": ("diarrhoea",)}),
        ("parvovirus", {"call": "positive", "kit": PARVO, "signs": ("vomiting",)}),
    ],
)
def test_a_dog_that_met_nobody_is_worth_the_same_on_both_pages(infection, case):
    book = alone(**case)
    mine, theirs = traced(book, infection), worth(book, infection)
    assert theirs.low < mine < theirs.high
    assert abs(log_odds(mine) - log_odds(theirs.median)) < SPARE, (mine, theirs)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("infection", "case"),
    [
        ("giardia", {"call": "negative"}),
        ("parvovirus", {"call": "negative", "kit": PARVO, "signs": ("diarrhoea",)}),
    ],
)
def test_a_negative_leaves_what_no_test_can_find_yet(infection, case):
    """A dog in its latency sheds nothing, so tracing says more than one result, not less."""
    book = alone(**case)
    mine, theirs = traced(book, infection), worth(book, infection)
    assert log_odds(theirs.median) - SPARE < log_odds(mine)
    assert mine < theirs.high


def test_a_result_brings_the_figures_of_its_own_test_and_reader():
    """The reader's own error makes a positive worth less; the world's test is not asked."""
    seen = []
    for read_by in ("person", "reader"):
        book = alone(call="positive", read_by=read_by)
        log = trace_log(book=book, first=ON - timedelta(days=60), on=ON)
        (one,) = results_in(log=log, handbook=HANDBOOK, infection="giardia")
        seen.append(one)
    assert all(0.5 < one.sensitivity < 1 and 0.5 < one.specificity < 1 for one in seen)
    assert seen[1].specificity < seen[0].specificity


def test_signs_are_worth_what_the_handbook_starts_such_dogs_at():
    """In parvovirus a sick puppy starts far higher; by the odds, with the base's medians."""
    book = alone(call="negative", kit=PARVO, signs=("diarrhoea",))
    held = trace_log(book=book, first=ON - timedelta(days=60), on=ON)
    (dog,) = dogs_in(log=held, handbook=HANDBOOK, infection="parvovirus")
    ratio = sign_ratio(
        held, HANDBOOK, "parvovirus", dog="Sedge", signs=("diarrhoea",), on=ON
    )
    sick = HANDBOOK.priors["parvovirus"].bases
    chance = {base.id: base.chance.interval().median for base in sick}
    by_hand = log_odds(chance["sick-puppy"]) - log_odds(chance["healthy-puppy"])
    assert abs(log(ratio) - by_hand) < 0.05
    assert abs(dog.believed.chance - chance["healthy-puppy"]) < 0.001
    assert sign_ratio(held, HANDBOOK, "parvovirus", dog="Sedge", signs=(), on=ON) == 1
