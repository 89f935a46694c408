"""The mixes of dogs that a plan looks at: none that matters is left out."""

from datetime import date
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from kennelward.evidence import (
    DogAtRisk,
    DogsToTest,
    FreedomQuestion,
    TestedDog,
    kennel_sensitivity,
    known_chance,
)
from kennelward.evidence.freedom_search import round_options


@settings(max_examples=40)
@given(
    sizes=st.lists(st.integers(1, 4), min_size=2, max_size=3),
    risks=st.lists(st.sampled_from([0.3, 1.0, 2.8, 12.0]), min_size=3, unique=True),
    degree=st.integers(1, 4),
    se=st.floats(0.05, 1.0),
    visit=st.integers(0, 900),
)
def test_at_one_price_the_riskiest_first_is_the_whole_choice(
    sizes, risks, degree, se, visit
) -> None:
    """Against every mix of numbers by kind: no mix is cheaper and surer."""
    dogs, kinds = [], []
    for k, (size, risk) in enumerate(zip(sizes, risks, strict=False)):
        names = tuple(f"k{k}-{i}" for i in range(size))
        dogs += [DogAtRisk(dog=name, relative_risk=risk) for name in names]
        kinds.append(DogsToTest(name=f"k{k}", dogs=names, price_cents=500))
    degree = min(degree, len(dogs))
    question = FreedomQuestion(
        infection="Brucella",
        dogs=tuple(dogs),
        design_infected=degree,
        starts_on=date(2026, 1, 1),
        prior=known_chance(0.5),
    )
    found = round_options(question, kinds=kinds, sensitivity=se, visit_cents=visit)
    for counts in product(*(range(size + 1) for size in sizes)):
        tests = [
            TestedDog(dog=name, missed=1 - se)
            for kind, n in zip(kinds, counts, strict=True)
            for name in kind.dogs[:n]
        ]
        missed = 1 - kennel_sensitivity(tuple(dogs), tests=tests, infected=degree)
        price = 500 * len(tests) + (visit if tests else 0)
        allowed = found.missed[found.prices <= price]
        assert allowed.min() <= missed + 1e-9
