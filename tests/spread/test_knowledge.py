"""Draws of what is not known, and what the simulator makes of them."""

from dataclasses import replace
from math import exp, log

import numpy as np
import pytest

from kennelward.handbook import load_handbook
from kennelward.rounds.spread_knowledge import knowledge_of
from kennelward.spread.course_of import (
    course_of,
    decay,
    kind_of_test,
    logs,
    protected_days,
    works,
)
from kennelward.spread.environment import decay_and_deposit
from kennelward.spread.knowledge import (
    Grade,
    Known,
    drawn_world,
    middle_world,
    name_key,
)
from kennelward.terms import BadInput

INFECTIONS = ("parvovirus", "giardia", "brucella")


def known(**given):
    """A number, with what the test says of it."""
    usual = {
        "name": "attack",
        "value": 0.5,
        "low": 0.2,
        "high": 0.9,
        "says": "",
        "source": "",
        "grade": Grade.GUESS,
        "is_chance": True,
    }
    return Known(**{**usual, **given})


def knowledge(infection):
    """The handbook's."""
    return knowledge_of(handbook=load_handbook(), infection=infection)


def test_a_range_holds_ninety_in_a_hundred_draws():
    """Low and high are the 5 % and 95 % points, the value the middle."""
    one = known()
    assert one.at(0.5) == pytest.approx(0.5, abs=0.002)
    assert one.at(0.05) == pytest.approx(0.2, abs=0.005)
    assert one.at(0.95) == pytest.approx(0.9, abs=0.005)


def test_an_amount_may_be_crooked():
    one = known(value=10, low=9, high=120, is_chance=False)
    assert one.at(0.05) == pytest.approx(9, rel=0.01)
    assert one.at(0.95) == pytest.approx(120, rel=0.03)


def test_a_number_without_a_range_is_always_the_same():
    one = known(low=0.5, high=0.5)
    assert {one.at(share) for share in (0.01, 0.4, 0.99)} == {0.5}


def test_a_range_the_wrong_way_round_is_refused():
    with pytest.raises(BadInput, match="low <= value <= high"):
        known(low=0.7)
    with pytest.raises(BadInput, match="from 0 to 1"):
        known(high=1.2)


def test_worlds_differ_and_each_is_always_the_same():
    one, again, other = (
        drawn_world(knowledge("parvovirus"), seed=4, number=number).values
        for number in (0, 0, 1)
    )
    assert dict(one) == dict(again)
    assert one["attack"] != other["attack"]


def test_a_number_more_leaves_the_others_as_they_were():
    """Draws go by name, so a kennel with one more suspect keeps its worlds."""
    held = knowledge("giardia")
    more = replace(
        held, numbers={"zz": known(name="zz"), **held.numbers, "aa": known(name="aa")}
    )
    before = drawn_world(held, seed=1, number=7).values
    after = drawn_world(more, seed=1, number=7).values
    assert all(after[name] == value for name, value in before.items())


def test_draws_over_worlds_keep_to_the_range():
    """2000 worlds: 5 % below low and above high, 4 standard errors (0.0195)."""
    held = knowledge("parvovirus")
    half_lives = np.array(
        [
            drawn_world(held, seed=9, number=n).values["half_life_floor_days"]
            for n in range(2000)
        ]
    )
    spread = held.numbers["half_life_floor_days"]
    assert abs((half_lives < spread.low).mean() - 0.05) < 0.0195
    assert abs((half_lives > spread.high).mean() - 0.05) < 0.0195


@pytest.mark.parametrize("infection", INFECTIONS)
def test_every_world_makes_a_course_and_a_test(infection):
    held = knowledge(infection)
    for number in range(-1, 60):
        world = (
            middle_world(held)
            if number < 0
            else drawn_world(held, seed=3, number=number)
        )
        course = course_of(held, world)
        assert course.direct > 0
        assert course.chance_death <= 0.4
        assert course.is_chronic == (infection == "brucella")
        assert kind_of_test(world).specificity > 0.5


def test_the_attack_is_what_was_said():
    """A pen-mate in an uncleaned pen is hit with just the chance the handbook names."""
    held = knowledge("parvovirus")
    world = middle_world(held)
    course = course_of(held, world)
    days = world.value("shedding_days")
    sheds = days * (course.full_share + course.tail * (1 - course.full_share))
    place = decay_and_deposit(
        level=0.0, shed=sheds / days, decay=decay(world, "floor"), days=days
    )
    hazard = course.direct * sheds + course.from_place * place.integral
    assert 1 - exp(-hazard) == pytest.approx(held.value("attack"), abs=1e-9)


def test_brucella_goes_by_mating_birth_and_slow_contact_only():
    """No contamination curve: the page on it says that data do not support one."""
    held = knowledge("brucella")
    course = course_of(held, middle_world(held))
    assert (course.from_place, course.deposit, course.birth_pulse) == (0, 0, 0)
    assert (course.venereal, course.birth_exposure) == (0.6, 0.65)
    month = 1 - exp(-course.direct * 30.4375)
    assert month == pytest.approx(held.value("contact_a_month"))


def test_maternal_antibody_leaves_a_gap():
    """C11: half-life 10.8, titre 320: unprotected from day 21.6, vaccine from 43.2."""
    held = knowledge("parvovirus")
    found = protected_days(middle_world(held), titre_share=0.0)
    assert found == pytest.approx((21.6, 43.2), abs=0.05)
    assert protected_days(middle_world(knowledge("giardia")), titre_share=1) == (0, 0)


def test_surfaces_and_products():
    """Olson 1999 by the reference table E12: 0.49 a day at 25 degrees, soil 0.14."""
    world = middle_world(knowledge("giardia"))
    assert decay(world, "floor") == pytest.approx(0.49, abs=0.01)
    assert decay(world, "soil") == pytest.approx(0.14, abs=0.005)
    assert works(world, "soil") == pytest.approx(0, abs=1e-5)
    assert works(world, "floor") == 1
    assert logs(world, "steam") == 2  # BVNA 2025: 99 %
    assert logs(world, "no such product") == 0


def test_antibody_tests_find_nothing_early():
    held = knowledge("brucella")
    test = kind_of_test(middle_world(held), window=(21, 84))
    assert (test.antibody_from, test.antibody_full) == (21, 84)


def test_unknown_numbers_and_infections_are_named():
    with pytest.raises(BadInput, match="nothing is known of 'wings'"):
        middle_world(knowledge("giardia")).value("wings")
    with pytest.raises(BadInput, match="brucella, giardia, parvovirus"):
        knowledge("rabies")


def test_guesses_are_named_widest_first():
    guesses = knowledge("parvovirus").guesses
    assert all(one.grade is Grade.GUESS for one in guesses)
    widths = [
        log(one.high / (1 - one.high)) - log(one.low / (1 - one.low))
        for one in guesses
        if one.is_chance
    ]
    assert widths == sorted(widths, reverse=True)


def test_a_name_has_one_number_everywhere():
    """SHA-256 of the name, its first seven bytes: the same on every computer."""
    assert name_key("attack") == 71110942332771299
    assert name_key("attack") != name_key("signs")
