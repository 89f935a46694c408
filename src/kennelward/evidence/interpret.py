"""What a sequence of results on one dog is worth.

Bayes' theorem on draws of the prior and of every test's figures, so that the answer
has an honest range. Results that do not count move nothing and say why.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from kennelward.evidence.dependence import (
    INDEPENDENT,
    Dependence,
    Likelihood,
    OneResult,
    joined,
    repeated,
    shown_by,
)
from kennelward.evidence.draws import (
    Array,
    Draws,
    LatticeDraws,
    draws_from,
    interval_of,
)
from kennelward.evidence.figures import Figures
from kennelward.evidence.performance import TestPerformance
from kennelward.evidence.prior import Prior, chance_from_log_odds, log_odds_of
from kennelward.evidence.results import ResultSeen
from kennelward.evidence.words import (
    Condition,
    NaturalFrequency,
    interpretation_words,
    natural_frequency,
)
from kennelward.terms import BadInput, Call, Interval, OutOfRange, Phrase

if TYPE_CHECKING:
    from numpy.random import Generator

DRAWS = 10_000  # where a generator is given; the fixed lattice has its own size


@dataclass(frozen=True, slots=True, kw_only=True)
class Interpretation:
    """The chance that one dog is infected (or pregnant), and what it rests on."""

    condition: Condition
    chance: Interval
    chance_before: Interval  # before any test
    chance_if_negative: Interval  # had the latest, or the asked, result been negative
    chance_if_positive: Interval
    informative: bool  # at least one result counted
    act_as_suspect: bool  # a positive or a trace stands, whether or not it counts
    reasons: tuple[Phrase, ...]  # in the order of thought: prior, results, cautions
    in_words: Phrase
    frequency: NaturalFrequency
    counted: tuple[ResultSeen, ...]
    not_counted: tuple[ResultSeen, ...]


def interpret(
    *,
    prior: Prior,
    results: Sequence[ResultSeen] = (),
    dependence: Mapping[str, Dependence] | None = None,
    condition: Condition = Condition.INFECTED,
    if_tested: TestPerformance | None = None,
    level: float = 0.90,
    rng: "Generator | None" = None,
    draws: int = DRAWS,
) -> Interpretation:
    """The chance after `results`, in the order they were sampled.

    Give only results about the same possible infection: none from before a dog was
    cured or from before the exposure in question. `dependence` is by what tests see
    (`TestPerformance.sees`); it is required wherever two counted results see the same
    thing, because independence there would claim too much. `if_tested` asks what one
    further test would leave; without it, `chance_if_negative` and `_if_positive` say
    what the latest counted result would have left either way.

    With `rng` the uncertainty is drawn `draws` times; without it a fixed lattice of
    quantiles answers the same every time. Chances are 0 to 1.

    Raises BadInput for results that need a dependence and have none, and OutOfRange
    where no dog can have been infected (prior exactly 0) and yet one tests positive.
    Source: docs/methods/evidence.md, sections 1 to 4.
    """
    weighed = _weigh(
        prior=prior,
        results=results,
        dependence=dependence or {},
        if_tested=if_tested,
        source=draws_from(rng=rng, size=draws),
    )
    counted = tuple(r for r in results if r.counts)
    chance = interval_of(weighed.after, level=level)
    chance_before = interval_of(weighed.before, level=level)
    frequency = natural_frequency(before=chance_before, after=chance)
    return Interpretation(
        condition=condition,
        chance=chance,
        chance_before=chance_before,
        chance_if_negative=interval_of(weighed.if_negative, level=level),
        chance_if_positive=interval_of(weighed.if_positive, level=level),
        informative=bool(counted),
        act_as_suspect=condition is not Condition.PREGNANT
        and any(r.call in (Call.POSITIVE, Call.TRACE) for r in results),
        reasons=(*weighed.reasons, *_result_reasons(results)),
        in_words=interpretation_words(
            frequency, condition=condition, is_informative=bool(counted)
        ),
        frequency=frequency,
        counted=counted,
        not_counted=tuple(r for r in results if not r.counts),
    )


def chances_either_way(
    *,
    prior: Prior,
    results: Sequence[ResultSeen] = (),
    dependence: Mapping[str, Dependence] | None = None,
    if_tested: TestPerformance | None = None,
) -> tuple[Array, Array, Array]:
    """Draws of the chance now, after one more negative, after one more positive.

    On the fixed lattice; without `if_tested` the latest counted result turned.
    """
    weighed = _weigh(
        prior=prior,
        results=results,
        dependence=dependence or {},
        if_tested=if_tested,
        source=LatticeDraws(),
    )
    return weighed.after, weighed.if_negative, weighed.if_positive


@dataclass(frozen=True, slots=True)
class _Weighed:
    before: Array
    after: Array
    if_negative: Array
    if_positive: Array
    reasons: tuple[Phrase, ...]


def _weigh(
    *,
    prior: Prior,
    results: Sequence[ResultSeen],
    dependence: Mapping[str, Dependence],
    if_tested: TestPerformance | None,
    source: Draws,
) -> _Weighed:
    before, reasons = prior.draw_with_reasons(source)
    figures = Figures(source)
    counted = tuple(r for r in results if r.counts)
    _check_possible(before, counted)
    after = _chance(before, counted, figures=figures, dependence=dependence)
    negative, positive = (
        after
        if case is None
        else _chance(before, case, figures=figures, dependence=dependence)
        for case in _either_way(counted, if_tested)
    )
    return _Weighed(before, after, negative, positive, reasons)


def _chance(
    before: Array,
    results: Sequence[ResultSeen],
    *,
    figures: Figures,
    dependence: Mapping[str, Dependence],
) -> Array:
    log_odds = log_odds_of(before)
    for sees, group in _by_what_they_see(results).items():
        found = _group_likelihood(sees, group, figures=figures, dependence=dependence)
        with np.errstate(divide="ignore", invalid="ignore"):
            log_odds = log_odds + np.log(found.if_there) - np.log(found.if_not)
    if np.isnan(log_odds).any():
        raise BadInput(
            "two tests that are both given as never wrong contradict each other; "
            "allowed are a sensitivity and specificity below 1 for one of them"
        )
    return chance_from_log_odds(log_odds)


def _group_likelihood(
    sees: str,
    group: Mapping[str, Sequence[ResultSeen]],
    *,
    figures: Figures,
    dependence: Mapping[str, Dependence],
) -> Likelihood:
    """Chance of all results that see the same thing; `group` is by test."""
    several = sum(len(results) for results in group.values()) > 1
    if several and sees not in dependence:
        raise BadInput(
            f"two results that see {sees} are not independent; give a dependence for "
            f"{sees!r} (INDEPENDENT, if that is what is meant)"
        )
    held = dependence.get(sees, INDEPENDENT)
    repeats, kinds = figures.dependence(sees, held)
    known: dict[str, list[tuple[Array, Array]]] = {}
    for performance in held.tests:
        if performance.sees == sees:
            known.setdefault(performance.test, []).append(figures.of(performance))
    return joined(
        [
            repeated(
                [_drawn(result, figures) for result in results],
                dependence=repeats,
                figures=known.pop(test, ()),
            )
            for test, results in group.items()
        ],
        dependence=kinds,
        others=[shown_by(own, dependence=repeats) for own in known.values()],
    )


def _drawn(result: ResultSeen, figures: Figures) -> OneResult:
    there, clean = figures.of(result.performance)
    return OneResult(
        is_positive=result.call is Call.POSITIVE,
        positive_if_there=there,
        positive_if_not=clean,
        reader=result.reader,
    )


def _by_what_they_see(
    results: Sequence[ResultSeen],
) -> dict[str, dict[str, list[ResultSeen]]]:
    groups: dict[str, dict[str, list[ResultSeen]]] = {}
    for result in results:
        tests = groups.setdefault(result.performance.sees, {})
        tests.setdefault(result.performance.test, []).append(result)
    return groups


def _either_way(
    counted: tuple[ResultSeen, ...], if_tested: TestPerformance | None
) -> list[tuple[ResultSeen, ...] | None]:
    """The results with the asked (or latest) one negative, and with it positive.

    None stands for the results as they are.
    """
    if if_tested is not None:
        return [
            (*counted, ResultSeen(call=call, performance=if_tested))
            for call in (Call.NEGATIVE, Call.POSITIVE)
        ]
    if not counted:
        return [None, None]
    *rest, latest = counted
    return [
        None if call is latest.call else (*rest, replace(latest, call=call))
        for call in (Call.NEGATIVE, Call.POSITIVE)
    ]


def _check_possible(before: Array, counted: Sequence[ResultSeen]) -> None:
    is_positive = any(r.call is Call.POSITIVE for r in counted)
    is_negative = any(r.call is Call.NEGATIVE for r in counted)
    if is_positive and not before.any():
        raise OutOfRange(
            "the chance before the test must be more than 0 where a result is "
            "positive, got 0; allowed is above 0 to 1"
        )
    if is_negative and (before == 1).all():
        raise OutOfRange(
            "the chance before the test must be less than 1 where a result is "
            "negative, got 1; allowed is 0 to below 1"
        )


def _result_reasons(results: Sequence[ResultSeen]) -> tuple[Phrase, ...]:
    reasons: list[Phrase] = []
    for result in results:
        if result.why_not is not None:
            reasons.append(result.why_not)
        reasons.extend(result.flags)
    return tuple(reasons)
