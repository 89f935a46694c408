"""The hand example of tracing comes out in exact fractions."""

from fractions import Fraction as F

import pytest

from kennelward.spread.exact_trace import NightTest, exact_trace
from kennelward.terms import BadInput

PRIORS = {"A": F(1, 5), "B": F(0), "C": F(0), "D": F(1, 10)}
NIGHTS = [[["A", "B"], ["C", "D"]], [["B", "C"]], [["C", "D"]]]
C_POSITIVE = NightTest(dog="C", is_positive=True, sensitivity=F(4, 5), specificity=F(1))


def trace(nights=NIGHTS, tests=(C_POSITIVE,)):
    return exact_trace(priors=PRIORS, nights=nights, spread=F(1, 2), tests=tests)


def test_who_carried_it_in_and_who_has_it():
    """C12: P(positive) 97/1000; A 49/97, D carried it in 61/97; now B 61/97, D 79/97."""
    found = trace()
    assert found.evidence == F(97, 1000)
    assert found.infected_at_start["A"] == F(49, 97)
    assert found.infected_at_start["D"] == F(61, 97)
    assert found.infected_now["B"] == F(61, 97)
    assert found.infected_now["D"] == F(79, 97)


def test_with_false_positives():
    """C12, specificity .95: P(+) 451/3200; A .39690, B .44922, C .68825, D .56896."""
    test = NightTest(
        dog="C", is_positive=True, sensitivity=F(4, 5), specificity=F(19, 20)
    )
    found = trace(tests=(test,))
    assert found.evidence == F(451, 3200)
    now = {dog: round(float(chance), 5) for dog, chance in found.infected_now.items()}
    assert now == {"A": 0.39690, "B": 0.44922, "C": 0.68825, "D": 0.56896}


def test_with_a_negative_too():
    """C12: B negative as well: P(data) .0482; A .26971, B .25311, D .92531."""
    negative = NightTest(
        dog="B", is_positive=False, sensitivity=F(4, 5), specificity=F(1)
    )
    found = trace(tests=(C_POSITIVE, negative))
    assert float(found.evidence) == pytest.approx(0.0482, abs=5e-5)
    now = {dog: round(float(found.infected_now[dog]), 5) for dog in "ABD"}
    assert now == {"A": 0.26971, "B": 0.25311, "D": 0.92531}


def test_the_order_of_nights_matters():
    """C12, nights 1 and 2 swapped: A cannot be the source."""
    found = trace(nights=[NIGHTS[1], NIGHTS[0], NIGHTS[2]])
    assert found.infected_at_start["A"] == F(1, 5)
    assert found.infected_now["B"] == F(1, 10)
    assert found.infected_now["D"] == 1


def test_let_in_from_outside_before_each_night_but_the_first():
    """By hand, two dogs in one pen, then apart: A 1/5 at the start, 1/10 before night 2.

    A: 1 - 4/5 * 9/10 = 7/25. B, never from outside, catches it from A in night 1 alone.
    """
    found = exact_trace(
        priors={"A": F(1, 5), "B": F(0)},
        nights=[[["A", "B"]], [["A"], ["B"]]],
        spread=F(1, 2),
        tests=(),
        let_in={"A": F(1, 10)},
    )
    assert found.infected_now == {"A": F(7, 25), "B": F(1, 10)}
    assert found.infected_at_start == {"A": F(1, 5), "B": F(0)}


@pytest.mark.parametrize(
    ("nights", "says"),
    [
        ([[["A", "B"], ["A", "C"]]], "in two pens at once"),
        ([[["A", "Z"]]], "unknown dog"),
    ],
)
def test_impossible_nights_are_named(nights, says):
    with pytest.raises(BadInput, match=f"night 1.*{says}"):
        trace(nights=nights)


def test_impossible_results_are_refused():
    priors = dict.fromkeys("AB", F(0))
    with pytest.raises(BadInput, match="cannot happen"):
        exact_trace(
            priors=priors, nights=[[["A", "B"]]], spread=F(1, 2),
            tests=[NightTest(dog="A", is_positive=True, sensitivity=F(1), specificity=F(1))],
        )  # fmt: skip
