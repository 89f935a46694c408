"""Reach respects time, cleaning and survival; backwards agrees with forwards."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kennelward.spread.reach import (
    ContactLog,
    EffectiveCleaning,
    Presence,
    could_be_infected,
    could_be_source,
    log_problems,
    path_to,
)
from kennelward.terms import BadInput


def here(dog: str, place: str, since: float, until: float) -> Presence:
    return Presence(dog=dog, place=place, since=since, until=until)


# The hand example of the exact filter: three nights, four dogs.
NIGHTS = (
    here("A", "one", 0, 0.9), here("B", "one", 0, 0.9),
    here("C", "two", 0, 0.9), here("D", "two", 0, 0.9),
    here("B", "three", 1, 1.9), here("C", "three", 1, 1.9),
    here("C", "two", 2, 2.9), here("D", "two", 2, 2.9),
)  # fmt: skip


def test_the_hand_example():
    """A reaches C through B; nobody reaches A but B on the first night."""
    log = ContactLog(presences=NIGHTS)
    steps = could_be_infected(log, source="A", since=0)
    assert set(steps) == {"B", "C", "D"}
    assert [step.by for step in path_to(steps, "D")] == ["A", "B", "C"]
    assert steps["D"].at == 2
    assert set(could_be_source(log, found_in="C", at=3)) == {"A", "B", "D"}


def test_a_contact_before_the_infection_never_counts():
    log = ContactLog(presences=NIGHTS)
    assert set(could_be_infected(log, source="A", since=0.95)) == set()
    assert set(could_be_source(log, found_in="A", at=0.5)) == {"B"}


def test_a_place_stays_contaminated_until_it_is_cleaned():
    presences = (here("A", "pen", 0, 1), here("B", "pen", 4, 5))
    assert could_be_infected(ContactLog(presences=presences), source="A", since=0) == {}
    lasting = ContactLog(presences=presences, survival_days=3)
    assert could_be_infected(lasting, source="A", since=0)["B"].at == 4
    cleaned = ContactLog(
        presences=presences,
        survival_days=3,
        cleanings=(EffectiveCleaning(place="pen", at=2),),
    )
    assert could_be_infected(cleaned, source="A", since=0) == {}
    assert could_be_source(cleaned, found_in="B", at=5) == {}


def test_a_dog_in_two_places_is_reported_with_both_entries():
    problems = log_problems(
        [
            Presence(dog="A", place="one", since=0, until=3, entry="e1"),
            Presence(dog="A", place="two", since=2, until=4, entry="e2"),
        ]
    )
    assert problems[0].entries == ("e1", "e2")
    assert "on day 2" in problems[0].says


def test_leaving_before_coming_is_refused():
    with pytest.raises(BadInput, match="before it came"):
        here("A", "one", 3, 2)


DOGS = "ABCDE"
LOGS = st.builds(
    lambda stays, cleans, survival: ContactLog(
        presences=tuple(
            here(dog, place, since / 4, (since + length) / 4)
            for dog, place, since, length in stays
        ),
        cleanings=tuple(EffectiveCleaning(place=p, at=t / 4) for p, t in cleans),
        survival_days=survival,
    ),
    st.lists(
        st.tuples(
            st.sampled_from(DOGS),
            st.sampled_from("xyz"),
            st.integers(0, 40),
            st.integers(1, 8),
        ),
        max_size=20,
    ),
    st.lists(st.tuples(st.sampled_from("xyz"), st.integers(0, 50)), max_size=4),
    st.sampled_from([0.0, 0.5, 2.0]),
)


@settings(max_examples=200, deadline=None)
@given(LOGS, st.sampled_from(DOGS))
def test_backwards_agrees_with_going_forwards_from_every_dog(log, target):
    """Slow twin: try every dog as the source, infected as late as claimed."""
    sources = could_be_source(log, found_in=target, at=12)
    for dog in DOGS:
        if dog == target:
            continue
        forward = could_be_infected(log, source=dog, since=0, until=12)
        assert (target in forward) == (dog in sources), dog
        if dog in sources:
            at_the_last = could_be_infected(
                log, source=dog, since=max(0.0, sources[dog]), until=12
            )
            assert target in at_the_last


@given(LOGS, st.sampled_from(DOGS), st.floats(0, 5))
def test_a_longer_survival_never_reaches_fewer(log, source, more):
    longer = ContactLog(
        presences=log.presences,
        cleanings=log.cleanings,
        survival_days=log.survival_days + more,
    )
    short = could_be_infected(log, source=source, since=0)
    assert set(short) <= set(could_be_infected(longer, source=source, since=0))
