"""When can this test answer? What a negative and a positive are worth, day by day.

"One strip never gets there" is an answer.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from kennelward.evidence.accuracy import known_chance
from kennelward.evidence.by_day import SensitivityByDay, days_covered, performance_on
from kennelward.evidence.dependence import Dependence
from kennelward.evidence.interpret import Interpretation, interpret
from kennelward.evidence.performance import Circumstances, TestPerformance
from kennelward.evidence.prior import Prior, in_hundred
from kennelward.evidence.results import ResultSeen, UninformativeWindow
from kennelward.evidence.words import Condition
from kennelward.terms import Call, Interval, OutOfRange, Phrase, check_range

WORDS = {
    Condition.INFECTED: {
        "today": Phrase(
            "On {on} a negative would leave {left} in 100 dogs like this one with the "
            "infection; before the test it is {before}."
        ),
        "from": Phrase("From {first} a negative leaves {worth} in 100 or fewer."),
        "never": Phrase(
            "One strip never gets there: a negative leaves at best {best} in 100, on "
            "{best_on}. A repeat on {again_on} would leave {again}."
        ),
    },
    Condition.PREGNANT: {
        "today": Phrase(
            "On {on} a negative would leave {left} in 100 bitches like this one still "
            "pregnant; before the test it is {before}."
        ),
        "from": Phrase("From {first} a negative leaves {worth} in 100 or fewer."),
        "never": Phrase(
            "One strip never gets there: a negative leaves at best {best} in 100, on "
            "{best_on}. A repeat on {again_on} would leave {again}."
        ),
    },
    Condition.BRUCELLA: {
        "today": Phrase(
            "On {on} a negative would leave {left} in 100 dogs like this one carrying "
            "Brucella; before the test it is {before}."
        ),
        "from": Phrase(
            "From {first} a negative leaves {worth} in 100 or fewer; clearing still "
            "takes the vet's blood sample and a second method."
        ),
        "never": Phrase(
            "One strip never gets there: a negative leaves at best {best} in 100, on "
            "{best_on}. A repeat on {again_on} would leave {again}."
        ),
    },
}
NOTHING = Phrase(
    "On {on} a negative changes nothing: {before} in 100 before it and after it."
)
TOO_EARLY = Phrase("A negative before {first} does not count: too early to say.")


@dataclass(frozen=True, slots=True, kw_only=True)
class TestTiming:
    """What the handbook says about when one test can answer."""

    __test__ = False  # not a test case of pytest

    performance: TestPerformance
    by_day: SensitivityByDay
    # Days since an event from which a negative counts, by event; the rule in force.
    negative_counts_from: Mapping[str, int]
    repeat_after: int  # days until a negative is repeated
    windows: tuple[UninformativeWindow, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DayWorth:
    """What one test on one day would be worth."""

    day: int  # days since the event
    on: date
    sensitivity: float  # 0 to 1, mean
    if_negative: Interval
    if_positive: Interval
    negative_counts: bool
    positive_counts: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """The curve, the first day that answers, and the day to test again."""

    event: str
    anchor: date
    worth: float  # chance that a negative may leave, 0 to 1
    before: Interval
    curve: tuple[DayWorth, ...]
    reaches: DayWorth | None  # first day on which a negative counts and leaves `worth`
    # Lowest chance a single counting negative leaves: the first such day from the day
    # asked about on, or the last one where they are over.
    best: DayWorth
    after_repeat: Interval  # a second negative `repeat_after` days after the best day
    repeat_on: date  # the day of that second test
    in_words: tuple[Phrase, ...]

    def on(self, day: date) -> DayWorth:
        """The worth of a test on `day`; the nearest day of the curve beyond its ends."""
        return min(self.curve, key=lambda worth: abs((worth.on - day).days))

    def retest_on(self, tested_on: date) -> date:
        """When to test (again): the first day that answers, and never sooner than
        the repeat interval after the test just done."""
        answers = (self.reaches or self.best).on
        gap = self.repeat_on - self.best.on
        return max(answers, tested_on + gap)


def timing(
    *,
    prior: Prior,
    test: TestTiming,
    event: str,
    anchor: date,
    on: date,
    days: Sequence[int],
    worth: float = 0.05,
    dependence: Mapping[str, Dependence],
    condition: Condition = Condition.INFECTED,
) -> Timing:
    """What the test is worth on each of `days` since `event`, which was on `anchor`.

    `on` is the day asked about. `worth` is the chance that a negative may leave.
    Raises OutOfRange where `on` lies before the anchor, BadInput for an event that the
    test's curve knows nothing about.
    """
    check_range("worth", worth, low=0, high=1)
    if on < anchor:
        raise OutOfRange(f"the day asked about must be {anchor} or later, got {on}")
    covered = days_covered([*days, (on - anchor).days])
    before = interpret(prior=prior).chance
    ask = _Asker(
        prior=prior, test=test, event=event, anchor=anchor, dependence=dependence
    )
    curve = tuple(ask.worth_on(day) for day in covered)
    counting = [w for w in curve if w.negative_counts] or list(curve)
    reaches = next(
        (w for w in curve if w.negative_counts and w.if_negative.median <= worth), None
    )
    lowest = min(w.if_negative.median for w in counting)
    lowest_days = [w for w in counting if w.if_negative.median <= lowest + 1e-9]
    best = next((w for w in lowest_days if w.on >= on), lowest_days[-1])
    again_day = best.day + test.repeat_after
    found = Timing(
        event=event,
        anchor=anchor,
        worth=worth,
        before=before,
        curve=curve,
        reaches=reaches,
        best=best,
        after_repeat=ask.after_two_negatives(best.day, again_day),
        repeat_on=anchor + timedelta(days=again_day),
        in_words=(),
    )
    return _with_words(found, on=on, condition=condition, counts=counting[0])


class _Asker:
    """Answers one dog's questions about one test."""

    def __init__(
        self,
        *,
        prior: Prior,
        test: TestTiming,
        event: str,
        anchor: date,
        dependence: Mapping[str, Dependence],
    ) -> None:
        self.prior, self.test, self.event, self.anchor = prior, test, event, anchor
        self.dependence = dependence
        self.counts_from = test.negative_counts_from.get(event, 0)
        # Days with the same figures (before the first, after the last) are asked once.
        self._told: dict[TestPerformance, Interpretation] = {}

    def worth_on(self, day: int) -> DayWorth:
        """What one test `day` days after the event is worth."""
        figures = self._figures(day)
        case = Circumstances(days_since={self.event: day})
        negative_void = self._is_void(Call.NEGATIVE, case)
        positive_void = self._is_void(Call.POSITIVE, case)
        if negative_void and positive_void:  # says nothing either way: moves nothing
            figures = self._says_nothing()
        told = self._told.get(figures)
        if told is None:
            told = interpret(prior=self.prior, if_tested=figures)
            self._told[figures] = told
        return DayWorth(
            day=day,
            on=self.anchor + timedelta(days=day),
            sensitivity=figures.sensitivity.mean,
            if_negative=told.chance_if_negative,
            if_positive=told.chance_if_positive,
            negative_counts=day >= self.counts_from and not negative_void,
            positive_counts=not positive_void,
        )

    def after_two_negatives(self, first: int, second: int) -> Interval:
        """The chance after a negative on each of the two days."""
        results = [
            ResultSeen(call=Call.NEGATIVE, performance=self._figures(day))
            for day in (first, second)
        ]
        return interpret(
            prior=self.prior, results=results, dependence=self.dependence
        ).chance

    def _figures(self, day: int) -> TestPerformance:
        return performance_on(
            self.test.performance, by_day=self.test.by_day, event=self.event, day=day
        )

    def _says_nothing(self) -> TestPerformance:
        false = 1 - self.test.performance.specificity.mean
        return replace(
            self.test.performance,
            sensitivity=known_chance(false),
            specificity=known_chance(1 - false),
        )

    def _is_void(self, call: Call, case: Circumstances) -> bool:
        return any(
            w.effect == "no-information"
            and w.holds(test=self.test.performance.test, call=call, case=case)
            for w in self.test.windows
        )


def _with_words(
    found: Timing, *, on: date, condition: Condition, counts: DayWorth
) -> Timing:
    words = WORDS[condition]
    today = found.on(on)
    before = in_hundred(found.before.median)
    left = in_hundred(today.if_negative.median)
    values = {"on": on.isoformat(), "before": before}
    if left == before:
        said = [Phrase(NOTHING.template, values)]
    else:
        said = [Phrase(words["today"].template, values | {"left": left})]
    if not today.negative_counts and counts.negative_counts:
        said.append(Phrase(TOO_EARLY.template, {"first": counts.on.isoformat()}))
    if found.reaches is not None:
        first = found.reaches.on.isoformat()
        said.append(
            Phrase(
                words["from"].template,
                {"first": first, "worth": in_hundred(found.worth)},
            )
        )
    else:
        values = {
            "best": in_hundred(found.best.if_negative.median),
            "best_on": found.best.on.isoformat(),
            "again_on": found.repeat_on.isoformat(),
            "again": in_hundred(found.after_repeat.median),
        }
        said.append(Phrase(words["never"].template, values))
    return replace(found, in_words=tuple(said))
