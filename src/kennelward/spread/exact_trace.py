"""Who carried it in, exactly, for a handful of dogs: the oracle for tracing.

Susceptible-infected dogs, nights in groups, a chance `spread` per infectious penmate and
night. All joint states are kept, with where each infection started, so that any question
about the past can be answered. Cost grows as 4^n; 10 dogs is the limit.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from kennelward.terms import BadInput

MOST_DOGS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class NightTest:
    """A test after the last night: which dog, what it said, how right such tests are."""

    dog: str
    is_positive: bool
    sensitivity: Fraction
    specificity: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Traced:
    """Exact chances, all given the tests."""

    evidence: Fraction  # chance of these test results
    infected_now: Mapping[str, Fraction]
    infected_at_start: Mapping[str, Fraction]


def exact_trace(
    *,
    priors: Mapping[str, Fraction],
    nights: Sequence[Sequence[Sequence[str]]],
    spread: Fraction,
    tests: Sequence[NightTest],
    let_in: Mapping[str, Fraction] | None = None,
) -> Traced:
    """Chances that each dog is infected now, and that it carried the infection in.

    priors: chance that each dog is infected before the first night, independent.
    nights: for each night the groups of dogs that share a pen. let_in: chance that a dog
    meets the infection outside on the day before each night but the first. Raises
    BadInput for more than 10 dogs, a dog in two pens at once, or results that cannot happen.
    """
    dogs = tuple(priors)
    if len(dogs) > MOST_DOGS:
        raise BadInput(
            f"the exact filter holds up to {MOST_DOGS} dogs, got {len(dogs)}"
        )
    place = {dog: number for number, dog in enumerate(dogs)}
    states = _start(dogs, priors)
    for number, groups in enumerate(nights, 1):
        _check_night(groups, number=number, known=place)
        if let_in and number > 1:
            states = _let_in(states, let_in, place=place)
        states = _night(states, groups, place=place, spread=spread)
    weighted: dict[tuple[int, int], Fraction] = {}
    for (start, now), chance in states.items():
        weighted[start, now] = chance * _likelihood(now, tests, place)
    evidence = sum(weighted.values(), Fraction(0))
    if evidence == 0:
        raise BadInput("these test results cannot happen with these nights and priors")

    def share(dog: str, which: int) -> Fraction:
        bit = 1 << place[dog]
        found = sum(
            (w for state, w in weighted.items() if state[which] & bit), Fraction(0)
        )
        return found / evidence

    return Traced(
        evidence=evidence,
        infected_now={dog: share(dog, 1) for dog in dogs},
        infected_at_start={dog: share(dog, 0) for dog in dogs},
    )


def _start(
    dogs: Sequence[str], priors: Mapping[str, Fraction]
) -> dict[tuple[int, int], Fraction]:
    states: dict[tuple[int, int], Fraction] = {}
    for state in range(1 << len(dogs)):
        chance = Fraction(1)
        for number, dog in enumerate(dogs):
            chance *= priors[dog] if state >> number & 1 else 1 - priors[dog]
        if chance:
            states[state, state] = chance
    return states


def _check_night(
    groups: Sequence[Sequence[str]], *, number: int, known: Mapping[str, int]
) -> None:
    seen: set[str] = set()
    for dog in (dog for group in groups for dog in group):
        if dog not in known:
            raise BadInput(f"night {number}: unknown dog {dog!r}")
        if dog in seen:
            raise BadInput(f"night {number}: {dog!r} is in two pens at once")
        seen.add(dog)


def _night(
    states: Mapping[tuple[int, int], Fraction],
    groups: Sequence[Sequence[str]],
    *,
    place: Mapping[str, int],
    spread: Fraction,
) -> dict[tuple[int, int], Fraction]:
    later: dict[tuple[int, int], Fraction] = {}
    for (start, now), chance in states.items():
        at_risk: list[tuple[int, Fraction]] = []
        for group in groups:
            infected = sum(now >> place[dog] & 1 for dog in group)
            caught = 1 - (1 - spread) ** infected
            at_risk.extend(
                (place[dog], caught)
                for dog in group
                if caught and not now >> place[dog] & 1
            )
        for state, share in _outcomes(now, at_risk):
            key = (start, state)
            later[key] = later.get(key, Fraction(0)) + chance * share
    return later


def _let_in(
    states: Mapping[tuple[int, int], Fraction],
    chances: Mapping[str, Fraction],
    *,
    place: Mapping[str, int],
) -> dict[tuple[int, int], Fraction]:
    later: dict[tuple[int, int], Fraction] = {}
    for (start, now), chance in states.items():
        at_risk = [
            (place[dog], caught)
            for dog, caught in chances.items()
            if not now >> place[dog] & 1
        ]
        for state, share in _outcomes(now, at_risk):
            key = (start, state)
            later[key] = later.get(key, Fraction(0)) + chance * share
    return later


def _outcomes(
    now: int, at_risk: Sequence[tuple[int, Fraction]]
) -> list[tuple[int, Fraction]]:
    outcomes = [(now, Fraction(1))]
    for number, caught in at_risk:
        outcomes = [
            piece
            for state, share in outcomes
            for piece in (
                (state | 1 << number, share * caught),
                (state, share * (1 - caught)),
            )
            if piece[1]
        ]
    return outcomes


def _likelihood(
    now: int, tests: Sequence[NightTest], place: Mapping[str, int]
) -> Fraction:
    chance = Fraction(1)
    for test in tests:
        is_infected = now >> place[test.dog] & 1
        positive = test.sensitivity if is_infected else 1 - test.specificity
        chance *= positive if test.is_positive else 1 - positive
    return chance
