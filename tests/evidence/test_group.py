"""Group sensitivity: listed sample by sample, simulated, and its properties."""

from fractions import Fraction
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kennelward.evidence import (
    DogAtRisk,
    NotReachable,
    TestedDog,
    TestedPool,
    combined_sensitivity,
    freecalc_design,
    group_sensitivity,
    group_sensitivity_large,
    group_sensitivity_macdiarmid,
    group_specificity,
    kennel_sensitivity,
    missed_by_repeats,
    n_detect_exact,
    n_detect_large,
    posterior_infected,
)
from kennelward.terms import BadInput, OutOfRange

small = st.integers(2, 7)


@settings(max_examples=60, deadline=None)
@given(data=st.data(), size=small, se=st.floats(0, 1), sp=st.floats(0.5, 1))
def test_group_sensitivity_counts_every_sample(data, size, se, sp) -> None:
    """Every set of tested dogs and every pattern of results, one by one."""
    infected = data.draw(st.integers(0, size))
    tested = data.draw(st.integers(0, size))
    cut = data.draw(st.integers(1, 3))
    total, found = 0, 0.0
    for sample in combinations(range(size), tested):
        total += 1
        for pattern in product((True, False), repeat=tested):
            if sum(pattern) < cut:
                continue
            chance = 1.0
            for dog, is_positive in zip(sample, pattern, strict=True):
                positive = se if dog < infected else 1 - sp
                chance *= positive if is_positive else 1 - positive
            found += chance
    got = group_sensitivity(
        group_size=size,
        infected=infected,
        tested=tested,
        sensitivity=se,
        specificity=sp,
        cut_point=cut,
    )
    assert got == pytest.approx(found / total, abs=1e-12)


def test_exact_fractions() -> None:
    """Twelve dogs, three infected, eight tested at 9/10, in whole fractions."""
    total = missed = Fraction(0)
    for sample in combinations(range(12), 8):
        total += 1
        missed += Fraction(1, 10) ** sum(dog < 3 for dog in sample)
    found = group_sensitivity(group_size=12, infected=3, tested=8, sensitivity=0.9)
    assert found == pytest.approx(float(1 - missed / total), abs=1e-14)
    assert 1 - missed / total == Fraction(26253, 27500)


@settings(max_examples=80, deadline=None)
@given(data=st.data(), size=st.integers(2, 60), se=st.floats(0, 1))
def test_more_tests_never_lower_group_sensitivity(data, size, se) -> None:
    """More tested, more infected, a better test: never less likely to find it."""
    infected = data.draw(st.integers(1, size))
    tested = data.draw(st.integers(0, size - 1))

    def found(**changed):
        asked = {
            "group_size": size,
            "infected": infected,
            "tested": tested,
            "sensitivity": se,
        }
        return group_sensitivity(**{**asked, **changed})

    assert found(tested=tested + 1) >= found() - 1e-12
    assert found(infected=min(size, infected + 1)) >= found() - 1e-12
    assert found(sensitivity=min(1.0, se + 0.1)) >= found() - 1e-12
    near = group_sensitivity_macdiarmid(
        group_size=size, infected=infected, tested=tested, sensitivity=se
    )
    assert near <= found() + 1e-12


def test_a_very_large_group_tends_to_the_binomial() -> None:
    """Ten thousand dogs at the same prevalence."""
    exact = group_sensitivity(
        group_size=10_000,
        infected=500,
        tested=40,
        sensitivity=0.9,
        specificity=0.98,
        cut_point=3,
    )
    large = group_sensitivity_large(
        prevalence=0.05, tested=40, sensitivity=0.9, specificity=0.98, cut_point=3
    )
    assert exact == pytest.approx(large, abs=0.001)


def dogs(*risks: float) -> list[DogAtRisk]:
    """A kennel."""
    return [DogAtRisk(dog=f"d{i}", relative_risk=r) for i, r in enumerate(risks)]


def listed(kennel, tests, infected) -> float:
    """Every set of infected dogs by its weight, every test in turn."""
    total = missed = 0.0
    for chosen in combinations(kennel, infected):
        weight = float(np.prod([dog.relative_risk for dog in chosen]))
        names = {dog.dog for dog in chosen}
        silent = 1.0
        for test in tests:
            if isinstance(test, TestedDog):
                silent *= test.missed if test.dog in names else 1.0
            else:
                silent *= test.missed if names & set(test.dogs) else 1.0
        total += weight
        missed += weight * silent
    return 1 - missed / total


@settings(max_examples=80, deadline=None)
@given(data=st.data(), size=st.integers(2, 8))
def test_kennel_sensitivity_lists_every_set_of_infected_dogs(data, size) -> None:
    """Dogs at different risk, some alone, some pooled, some not tested."""
    risks = data.draw(
        st.lists(st.sampled_from([0.5, 1, 2.5, 7]), min_size=size, max_size=size)
    )
    kennel = dogs(*risks)
    where = data.draw(
        st.lists(
            st.sampled_from(["no", "alone", "A", "B"]), min_size=size, max_size=size
        )
    )
    chance = st.floats(0, 1)
    tests = [
        TestedDog(dog=dog.dog, missed=data.draw(chance))
        for dog, place in zip(kennel, where, strict=True)
        if place == "alone"
    ]
    for pool in "AB":
        inside = tuple(
            d.dog for d, place in zip(kennel, where, strict=True) if place == pool
        )
        if inside:
            tests.append(TestedPool(dogs=inside, missed=data.draw(chance)))
    infected = data.draw(st.integers(1, size))
    found = kennel_sensitivity(kennel, tests=tests, infected=infected)
    assert found == pytest.approx(listed(kennel, tests, infected), abs=1e-10)


def test_equal_risks_give_the_hypergeometric() -> None:
    """The same number by the other formula."""
    kennel = dogs(*[1.0] * 30)
    tests = [TestedDog(dog=f"d{i}", missed=0.15) for i in range(15)]
    found = kennel_sensitivity(kennel, tests=tests, infected=3)
    want = group_sensitivity(group_size=30, infected=3, tested=15, sensitivity=0.85)
    assert found == pytest.approx(want, abs=1e-12)


def test_kennel_sensitivity_against_simulated_kennels() -> None:
    """Risks 5 and 1; a pool and single dogs; 400 000 kennels."""
    rng = np.random.default_rng(11)
    risks = np.array([5.0, 5, 1, 1, 1, 1, 1, 1])
    kennel = dogs(*risks)
    tests = [
        TestedDog(dog="d0", missed=0.2),
        TestedPool(dogs=("d2", "d3", "d4"), missed=0.4),
    ]
    n = 400_000
    # Infect dogs one by one in odds, keep the kennels with exactly two infected.
    odds = risks / 10
    is_infected = rng.random((n * 4, 8)) < odds / (1 + odds)
    is_infected = is_infected[is_infected.sum(axis=1) == 2]
    single = is_infected[:, 0] & (rng.random(len(is_infected)) < 0.8)
    pooled = is_infected[:, 2:5].any(axis=1) & (rng.random(len(is_infected)) < 0.6)
    want = float((single | pooled).mean())
    found = kennel_sensitivity(kennel, tests=tests, infected=2)
    assert found == pytest.approx(want, abs=0.005)


@given(se=st.floats(0.01, 1), k=st.integers(1, 6), dependence=st.floats(0, 1))
def test_repeats_keep_the_single_test_and_never_find_less(se, k, dependence) -> None:
    """One test misses 1 - Se whatever the dependence; more never miss more."""
    one = missed_by_repeats(se, repeats=1, dependence=dependence)
    assert one == pytest.approx(1 - se, abs=1e-12)
    more = missed_by_repeats(se, repeats=k + 1, dependence=dependence)
    assert more <= missed_by_repeats(se, repeats=k, dependence=dependence) + 1e-12
    assert more >= (1 - se) ** (k + 1) - 1e-12
    assert more <= 1 - se + 1e-12


@given(se=st.floats(0.5, 1), infected=st.integers(1, 4), size=st.integers(4, 40))
@settings(max_examples=60, deadline=None)
def test_n_detect_exact_is_the_least_that_does(se, infected, size) -> None:
    """One fewer does not; where none does, the best is told."""
    found = n_detect_exact(group_size=size, infected=infected, sensitivity=se)

    def reached(n: int) -> float:
        return group_sensitivity(
            group_size=size, infected=infected, tested=n, sensitivity=se
        )

    if isinstance(found, NotReachable):
        assert reached(size) < 0.95
        assert found.best == pytest.approx(reached(size))
        assert str(size) in str(found.says)
    else:
        assert reached(found) >= 0.95 - 1e-9
        assert reached(found - 1) < 0.95


def test_posterior_infected_against_listed_kennels() -> None:
    """Six dogs, four tested, one positive: every set, every pattern."""
    prior = [0.5, 0.2, 0.2, 0.1]
    se, sp = 0.8, 0.9
    joint = []
    for infected, weight in enumerate(prior):
        seen = [
            np.prod(
                [
                    (se if dog < infected else 1 - sp)
                    if dog == hit
                    else (1 - se if dog < infected else sp)
                    for dog in sample
                ]
            )
            for sample in combinations(range(6), 4)
            for hit in sample
        ]
        joint.append(weight * sum(seen) / 15)
    found = posterior_infected(
        prior, group_size=6, tested=4, positive=1, sensitivity=se, specificity=sp
    )
    assert list(found) == pytest.approx([j / sum(joint) for j in joint], abs=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: group_sensitivity(
                group_size=10, infected=2, tested=11, sensitivity=0.9
            ),
            "tested must be from 0 to 10, got 11",
        ),
        (
            lambda: group_sensitivity(
                group_size=10, infected=12, tested=5, sensitivity=0.9
            ),
            "infected must be from 0 to 10, got 12",
        ),
        (
            lambda: group_sensitivity(
                group_size=10, infected=2, tested=5, sensitivity=1.2
            ),
            "sensitivity must be from 0 to 1, got 1.2",
        ),
        (
            lambda: group_specificity(tested=5, specificity=-0.1),
            "specificity must be from 0 to 1, got -0.1",
        ),
        (
            lambda: group_specificity(tested=5, specificity=0.9, group_size=13),
            "must be a whole number of dogs, got 1.3",
        ),
        (lambda: combined_sensitivity([0.5, 1.5]), "from 0 to 1, got 1.5"),
        (
            lambda: n_detect_large(prevalence=0, sensitivity=0.9),
            "prevalence must be from 1e-09 to 1, got 0",
        ),
        (
            lambda: kennel_sensitivity(dogs(1, 1), tests=[], infected=3),
            "infected must be from 1 to 2, got 3",
        ),
        (
            lambda: kennel_sensitivity(
                dogs(1, 1), tests=[TestedDog(dog="x", missed=0.1)], infected=1
            ),
            "'x' is tested but not in the kennel",
        ),
        (
            lambda: kennel_sensitivity(
                dogs(1, 1),
                tests=[
                    TestedDog(dog="d0", missed=0.1),
                    TestedPool(dogs=("d0", "d1"), missed=0.1),
                ],
                infected=1,
            ),
            "'d0' comes up in two tests",
        ),
    ],
)
def test_bad_input_names_value_and_range(call, words) -> None:
    """More tested than dogs, chances beyond 1, dogs that are not there."""
    with pytest.raises((BadInput, OutOfRange)) as caught:
        call()
    assert words in str(caught.value)


def test_a_design_that_cannot_be_reached_says_so() -> None:
    """A poor test in a tiny group."""
    found = freecalc_design(group_size=6, infected=1, sensitivity=0.5, specificity=0.9)
    assert isinstance(found, NotReachable)
    assert found.best < 0.95
