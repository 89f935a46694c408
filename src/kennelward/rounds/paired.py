"""What the kennel's own results say of the infection and of the kits, taken together.

True prevalence from the share of positives, and the tests' own figures where two or more
were run on the same dogs. Where the data cannot tell, the answer says so and why.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import combinations

from kennelward.evidence import (
    BetaChance,
    CannotTell,
    Estimate,
    LatentClasses,
    Summary,
    TestPerformance,
    TwoTestPriors,
    latent_class_bayes,
    latent_class_mle,
    prevalence_posterior,
    proportion_ci,
    true_prevalence,
)
from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.rounds.case import CaseResult, case_from_book
from kennelward.rounds.figures import with_own_figures
from kennelward.rounds.results_in_book import results_in_book
from kennelward.rounds.seen import seen_in_case
from kennelward.rounds.suspects import Exposure, exposures_by_dog
from kennelward.terms import Call, Interval, Phrase

FEWEST_PAIRS = 10  # our choice: below it the handbook's figures would be printed back
MOST_CELLS = 4_000_000  # ways to split a table that are still counted out exactly
NARROWER = 0.9  # an interval this much of what it was has learnt something
UNIFORM = BetaChance(mean=0.5, strength=2.0, source="uniform")

TOO_FEW = (
    "Dogs that had both tests lately: {dogs}. From {fewest} on the two can be compared."
)
ONLY_POSITIVES = (
    "One test was run only on dogs that were positive on the other. What the other one "
    "missed cannot be seen that way: test some of its negatives as well."
)
NO_FIGURES = (
    "The handbook takes one of these figures as exact, so nothing can be learnt of it."
)
TOO_MANY = "The table of results is too large to be counted out exactly."
SAME_THING = (
    "Both tests look for the same thing, so they miss the same dogs. The sum takes them "
    "as independent and so flatters both; read it as the best they can be."
)
LEARNT_NOTHING = (
    "These results leave the tests' figures as wide as the handbook has them: they "
    "cannot tell more about the tests."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTest:
    """One test in dogs of one situation: positives, and what share truly has it."""

    test: str  # kit or method id
    days_sampled: int
    situation: str
    dogs: int
    positive: int
    apparent: Estimate  # 95 % limits
    true: Interval  # median and 90 %, every figure uncertain, nothing known before
    caution: Phrase | None  # the share of positives does not fit the test's figures


@dataclass(frozen=True, slots=True, kw_only=True)
class PairedTests:
    """Two tests on the same dogs."""

    first: str
    second: str
    counts: tuple[int, int, int, int]  # ++, +-, -+, --
    prevalence: Summary | None
    figures: Mapping[str, Summary]  # those of which something was learnt
    cannot: CannotTell | None  # why nothing is told, or nothing of the figures
    cautions: tuple[Phrase, ...]

    @property
    def dogs(self) -> int:
        """Dogs that had both."""
        return sum(self.counts)


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreeTests:
    """Three or more tests on the same dogs, with nothing known beforehand."""

    tests: tuple[str, ...]
    dogs: int
    answer: LatentClasses | CannotTell


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnResults:
    """One infection in this kennel, by its own results."""

    infection: str
    since: date
    tests: tuple[OwnTest, ...]
    pairs: tuple[PairedTests, ...]
    three: ThreeTests | None


@dataclass(frozen=True, slots=True)
class _One:
    dog: str
    on: date
    result: CaseResult
    performance: TestPerformance

    @property
    def is_positive(self) -> bool:
        return self.result.call is Call.POSITIVE


def own_results(
    *, book: Book, handbook: Handbook, infection: str, on: date
) -> OwnResults:
    """The infection's results over the days that the kennel's own record reaches back.

    Results that do not count are left out. Each dog counts once for each test, by its
    first result there. The share is that of the dogs tested, which were not chosen at
    random. Source: docs/methods/evidence.md, section 9.
    """
    values = handbook.infections[infection].values
    since = on - timedelta(days=int(values["own_record_days"].value))
    within = int(values["same_episode_days"].value)
    own = with_own_figures(book=book, handbook=handbook)
    exposures = exposures_by_dog(
        book=book, handbook=handbook, infection=infection, on=on
    )
    firsts: dict[tuple[str, str], _One] = {}  # by test and dog
    for dog, result in results_in_book(
        book=book, handbook=own, infection=infection, since=since, on=on
    ):
        one = _counted(book, own, infection, dog, result, exposures)
        if one is not None:
            firsts.setdefault((result.test, dog), one)
    by_test: dict[str, dict[str, _One]] = {}
    for (test, dog), one in firsts.items():
        by_test.setdefault(test, {})[dog] = one
    return OwnResults(
        infection=infection,
        since=since,
        tests=_own_tests(by_test),
        pairs=tuple(
            _paired(first, second, by_test, within)
            for first, second in combinations(sorted(by_test), 2)
            if _both(first, second, by_test, within)
        ),
        three=_three(by_test, within),
    )


def _counted(
    book: Book,
    handbook: Handbook,
    infection: str,
    dog: str,
    result: CaseResult,
    exposures: Mapping[str, Sequence[Exposure]],
) -> _One | None:
    assert result.on is not None
    case = case_from_book(
        book=book,
        dog=dog,
        infection=infection,
        on=result.on,
        exposures=exposures.get(dog, ()),
    )
    seen = seen_in_case(handbook, result, case)
    return _One(dog, result.on, result, seen.performance) if seen.counts else None


def _own_tests(by_test: Mapping[str, Mapping[str, _One]]) -> tuple[OwnTest, ...]:
    groups: dict[tuple[str, int, str], list[_One]] = {}
    for test, firsts in by_test.items():
        for one in firsts.values():
            situation = one.performance.situation.says
            key = (test, one.result.days_sampled, situation)
            groups.setdefault(key, []).append(one)
    found = []
    for (test, days, situation), ones in sorted(groups.items()):
        positive, dogs = sum(one.is_positive for one in ones), len(ones)
        performance = ones[0].performance
        told = true_prevalence(
            positive,
            dogs,
            sensitivity=performance.sensitivity.mean,
            specificity=performance.specificity.mean,
        )
        found.append(
            OwnTest(
                test=test,
                days_sampled=days,
                situation=situation,
                dogs=dogs,
                positive=positive,
                apparent=proportion_ci(positive, dogs, method="wilson"),
                true=prevalence_posterior(
                    positive,
                    dogs,
                    sensitivity=performance.sensitivity,
                    specificity=performance.specificity,
                    prior=UNIFORM,
                ),
                # A single dog can leave 0 to 1 by chance; told where the limits do too.
                caution=told.caution
                if told.true.high < 0 or told.true.low > 1
                else None,
            )
        )
    return tuple(found)


def _both(
    first: str, second: str, by_test: Mapping[str, Mapping[str, _One]], within: int
) -> list[tuple[_One, _One]]:
    """Dogs with both tests in the same episode."""
    return [
        (one, by_test[second][dog])
        for dog, one in by_test[first].items()
        if dog in by_test[second]
        and abs((one.on - by_test[second][dog].on).days) <= within
    ]


def _paired(
    first: str, second: str, by_test: Mapping[str, Mapping[str, _One]], within: int
) -> PairedTests:
    both = _both(first, second, by_test, within)
    counts = [0, 0, 0, 0]
    for a, b in both:
        counts[2 * (not a.is_positive) + (not b.is_positive)] += 1
    table = (counts[0], counts[1], counts[2], counts[3])
    told: Mapping[str, Summary] | CannotTell = _why_not(table) or _posterior(
        table, both[0]
    )
    if isinstance(told, CannotTell):
        return PairedTests(
            first=first,
            second=second,
            counts=table,
            prevalence=None,
            figures={},
            cannot=told,
            cautions=(),
        )
    one, other = (each.performance for each in both[0])
    known = {
        "sensitivity_1": one.sensitivity,
        "sensitivity_2": other.sensitivity,
        "specificity_1": one.specificity,
        "specificity_2": other.specificity,
    }
    learnt = {
        name: told[name]
        for name, chance in known.items()
        if _is_new(told[name], chance)
    }
    cautions = (Phrase(SAME_THING),) if one.sees == other.sees else ()
    return PairedTests(
        first=first,
        second=second,
        counts=table,
        prevalence=told["prevalence"],
        figures=learnt,
        cannot=None if learnt else CannotTell(says=Phrase(LEARNT_NOTHING)),
        cautions=cautions,
    )


def _why_not(counts: tuple[int, int, int, int]) -> CannotTell | None:
    """Why this table cannot tell anything, before any sum."""
    dogs = sum(counts)
    if dogs < FEWEST_PAIRS:
        values = {"dogs": dogs, "fewest": FEWEST_PAIRS}
        return CannotTell(says=Phrase(TOO_FEW, values))
    _, first_only, second_only, neither = counts
    if second_only + neither == 0 or first_only + neither == 0:
        return CannotTell(says=Phrase(ONLY_POSITIVES))
    if math.prod(count + 1 for count in counts) > MOST_CELLS:
        return CannotTell(says=Phrase(TOO_MANY))
    return None


def _posterior(
    counts: tuple[int, int, int, int], tests: tuple[_One, _One]
) -> Mapping[str, Summary] | CannotTell:
    a, b = (one.performance for one in tests)
    figures = (a.sensitivity, b.sensitivity, a.specificity, b.specificity)
    if any(figure.is_exact for figure in figures):
        return CannotTell(says=Phrase(NO_FIGURES))
    return latent_class_bayes(
        counts,
        priors=TwoTestPriors(
            sensitivity=(a.sensitivity, b.sensitivity),
            specificity=(a.specificity, b.specificity),
        ),
    )


def _is_new(found: Summary, known: BetaChance) -> bool:
    """True where the results narrowed what was known of a figure."""
    before = known.interval(level=0.95)
    return found.q975 - found.q025 < NARROWER * (before.high - before.low)


def _three(by_test: Mapping[str, Mapping[str, _One]], within: int) -> ThreeTests | None:
    """The three tests that most dogs share, where at least ten do."""
    best: ThreeTests | None = None
    for tests in combinations(sorted(by_test), 3):
        patterns: dict[str, int] = {}
        for dog in set.intersection(*(set(by_test[test]) for test in tests)):
            ones = [by_test[test][dog] for test in tests]
            days = [one.on for one in ones]
            if (max(days) - min(days)).days <= within:
                pattern = "".join("1" if one.is_positive else "0" for one in ones)
                patterns[pattern] = patterns.get(pattern, 0) + 1
        dogs = sum(patterns.values())
        if dogs >= FEWEST_PAIRS and (best is None or dogs > best.dogs):
            best = ThreeTests(
                tests=tests,
                dogs=dogs,
                answer=latent_class_mle(list(patterns), list(patterns.values())),
            )
    return best
