"""Results that are not independent: tests that see the same thing, and repeats.

Between the infection and the results stands what the test looks for: antigen in
this dog's faeces, antibody in its blood. Some infected dogs do not have it, some
clean dogs do. Tests are independent given that, so repeating a test makes surer
that the thing is there or not, never that the dog is infected or not. Hence, for
any order and number of results of one or two kinds of test, and of any number of kinds
where `Dependence.tests` names them all:
- each test keeps its own sensitivity and specificity exactly;
- a negative never raises the chance and a positive never lowers it;
- at dependence 1 a repeat adds nothing, at 0 it counts in full.
(What a third kind sees moves the hidden state of the first two, unless it is named
beforehand; then a result could, rarely, shift the chance the wrong way.)
Source: conditional dependence through the biology of the test, Gardner et al. 2000,
Prev Vet Med 45:107-122; the algebra is derived in docs/methods/evidence.md, section 4.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kennelward.evidence.accuracy import BetaChance, known_chance
from kennelward.evidence.draws import Array
from kennelward.evidence.performance import (
    TRAINED_EYES,
    ReaderError,
    TestPerformance,
)
from kennelward.terms import Provenance


@dataclass(frozen=True, slots=True, kw_only=True)
class Dependence:
    """How far results that see the same thing repeat each other, 0 to 1.

    0 is independent, 1 means the further result adds nothing. `repeats` is for the
    same test on the same dog again, `kinds` for different tests that see the same
    thing. `tests` are all tests that see it, in every situation, done or not.
    """

    repeats: BetaChance
    kinds: BetaChance
    tests: tuple[TestPerformance, ...] = ()
    source: str = ""
    provenance: Provenance = Provenance.FROM_MEMORY


INDEPENDENT = Dependence(
    repeats=known_chance(0.0), kinds=known_chance(0.0), source="definition"
)


@dataclass(frozen=True, slots=True)
class Likelihood:
    """Chance of what was seen, where the thing is there and where it is not."""

    if_there: Array
    if_not: Array


@dataclass(frozen=True, slots=True)
class OneResult:
    """One result with its test's draws: chance of a positive in each class."""

    is_positive: bool
    positive_if_there: Array  # sensitivity
    positive_if_not: Array  # 1 - specificity
    reader: ReaderError = TRAINED_EYES

    def likelihood(self) -> Likelihood:
        """Chance of what was read in each class."""
        there = self._read_as_positive(self.positive_if_there)
        clean = self._read_as_positive(self.positive_if_not)
        if self.is_positive:
            return Likelihood(there, clean)
        return Likelihood(1 - there, 1 - clean)

    def _read_as_positive(self, chance_line: Array) -> Array:
        missed, imagined = self.reader.line_missed, self.reader.line_imagined
        return imagined + chance_line * (1 - missed - imagined)


@dataclass(frozen=True, slots=True)
class Kind:
    """All results of one test on one dog, behind their own hidden state."""

    shows: tuple[Array, Array]  # chance the state shows, if infected and if clean
    likelihood: Likelihood  # of the results, if it shows and if not


def repeated(
    results: Sequence[OneResult],
    *,
    dependence: Array,
    figures: Sequence[tuple[Array, Array]] = (),
) -> Kind:
    """Results of one test on one dog, `dependence` 0 to 1 between them.

    The results may come from different situations (sick, then recovered). `figures`
    are this test's chances of a positive, infected and clean, in further situations.
    """
    shows = shown_by(
        [*((r.positive_if_there, r.positive_if_not) for r in results), *figures],
        dependence=dependence,
    )
    pieces = [_given_state(r, shows) for r in results]
    return Kind(shows=shows, likelihood=_product([p.likelihood() for p in pieces]))


def shown_by(
    figures: Sequence[tuple[Array, Array]], *, dependence: Array
) -> tuple[Array, Array]:
    """Chance that the state behind these figures shows, if infected and if clean."""
    missed = _least([1 - there for there, _ in figures])
    false = _least([clean for _, clean in figures])
    return 1 - dependence * missed, dependence * false


def joined(
    kinds: Sequence[Kind],
    *,
    dependence: Array,
    others: Sequence[tuple[Array, Array]] = (),
) -> Likelihood:
    """Chance of the results of several tests that see the same thing, by class.

    `others` are the states of further tests that see it and were not done.
    """
    shows = shown_by([*(k.shows for k in kinds), *others], dependence=dependence)
    parts = []
    for kind in kinds:
        state = OneResult(
            is_positive=True,
            positive_if_there=kind.shows[0],
            positive_if_not=kind.shows[1],
        )
        parts.append(_through(kind.likelihood, _given_state(state, shows)))
    whole = _product(parts)
    return Likelihood(_mix(whole, shows[0]), _mix(whole, shows[1]))


def _given_state(result: OneResult, shows: tuple[Array, Array]) -> OneResult:
    """The result's chances given the hidden state, keeping its marginals.

    Solves Se = v1 s + (1 - v1) f and 1 - Sp = v0 s + (1 - v0) f for s and f.
    """
    there, clean = shows
    gap = there - clean
    informs = gap > 1e-12
    slope = np.where(
        informs,
        (result.positive_if_there - result.positive_if_not)
        / np.where(informs, gap, 1.0),
        0.0,
    )
    base = np.clip(result.positive_if_not - clean * slope, 0.0, 1.0)
    return OneResult(
        is_positive=result.is_positive,
        reader=result.reader,
        positive_if_there=np.clip(base + slope, 0.0, 1.0),
        positive_if_not=base,
    )


def _through(likelihood: Likelihood, state: OneResult) -> Likelihood:
    return Likelihood(
        _mix(likelihood, state.positive_if_there),
        _mix(likelihood, state.positive_if_not),
    )


def _mix(likelihood: Likelihood, chance_there: Array) -> Array:
    mixed: Array = chance_there * likelihood.if_there
    mixed = mixed + (1 - chance_there) * likelihood.if_not
    return mixed


def _product(parts: Sequence[Likelihood]) -> Likelihood:
    there, clean = parts[0].if_there, parts[0].if_not
    for part in parts[1:]:
        there, clean = there * part.if_there, clean * part.if_not
    return Likelihood(there, clean)


def _least(arrays: Sequence[Array]) -> Array:
    least = arrays[0]
    for array in arrays[1:]:
        least = np.minimum(least, array)
    return least
