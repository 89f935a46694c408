"""What the tests of one pregnancy say so far, and when to test again.

One negative never takes a bitch off the list of those who may be carrying.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.litters import PregnancyWindows
from kennelward.rounds.case import CaseResult
from kennelward.rounds.worth import DogInterpretation, results_of, worth_of
from kennelward.terms import Call

PREGNANCY = "pregnancy"


class PregnancyState(StrEnum):
    """How the tests stand together."""

    NO_MATING = "no-mating"  # nothing but her season speaks for it
    UNTESTED = "untested"
    EARLY_NEGATIVE = "early-negative"  # too early to say
    ONE_LATE_NEGATIVE = "one-late-negative"  # repeat before it is believed
    LIKELY = "likely"  # a strip said yes; a scan shows whether they live
    CONFIRMED = "confirmed"  # by scan or X-ray
    MAYBE_LOST = "maybe-lost"  # yes, and later no: the vet
    RULED_OUT = "ruled-out"  # two late negatives, or the vet's scan


IS_EXPECTING = (  # she stays on the list of those who may be carrying
    PregnancyState.NO_MATING,
    PregnancyState.UNTESTED,
    PregnancyState.EARLY_NEGATIVE,
    PregnancyState.ONE_LATE_NEGATIVE,
    PregnancyState.LIKELY,
    PregnancyState.CONFIRMED,
    PregnancyState.MAYBE_LOST,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PregnancyTest:
    """One test of this pregnancy."""

    test: str  # kit or method
    call: Call
    on: date
    is_scan: bool
    counts: bool  # not void, and a negative is not too early
    is_early: bool  # a negative before negatives count
    entry: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PregnancyStanding:
    """What the tests say together."""

    state: PregnancyState
    tests: tuple[PregnancyTest, ...]  # oldest first
    repeat_from: date | None  # first day on which a repeat is worth it

    @property
    def is_expecting(self) -> bool:
        """False only where two late negatives or the vet's scan said no."""
        return self.state in IS_EXPECTING


def pregnancy_standing(
    *,
    book: Book,
    handbook: Handbook,
    dam: str,
    on: date,
    windows: PregnancyWindows,
    is_mated: bool = True,
) -> PregnancyStanding:
    """The tests since the last mating, read by the repeat rule.

    Early negatives say nothing. One late negative is repeated. Two late ones as many
    days apart as the repeat rule asks, or a scan in its window, say no. `is_mated`: a
    mating stands in the book.
    """
    again = timedelta(days=handbook.litters(on).test_days.repeat_days)
    tests = tuple(
        _test(result, handbook=handbook, windows=windows)
        for result in results_of(
            book=book, handbook=handbook, dog=dam, infection=PREGNANCY, on=on
        )
        if result.on is not None
    )
    state = _state([test for test in tests if test.counts], again=again)
    if state is PregnancyState.UNTESTED and any(test.is_early for test in tests):
        state = PregnancyState.EARLY_NEGATIVE
    if state is PregnancyState.UNTESTED and not is_mated:
        state = PregnancyState.NO_MATING
    repeat_from = None
    if state in (PregnancyState.EARLY_NEGATIVE, PregnancyState.ONE_LATE_NEGATIVE):
        last = max(test.on for test in tests if test.call is Call.NEGATIVE)
        repeat_from = max(last + again, windows.negative_counts_from)
    return PregnancyStanding(state=state, tests=tests, repeat_from=repeat_from)


def pregnancy_worth(
    *, book: Book, handbook: Handbook, dam: str, on: date
) -> DogInterpretation:
    """The chance that she is pregnant: from the mating, through each test that counts."""
    results = results_of(
        book=book, handbook=handbook, dog=dam, infection=PREGNANCY, on=on
    )
    return worth_of(
        book=book,
        handbook=handbook,
        dog=dam,
        infection=PREGNANCY,
        on=on,
        results=results,
        exposures={},
    )


def _test(
    result: CaseResult, *, handbook: Handbook, windows: PregnancyWindows
) -> PregnancyTest:
    is_scan = result.test not in handbook.kits
    on = result.on or windows.surge_on
    first = windows.scan.first if is_scan else windows.negative_counts_from
    is_early = result.call is Call.NEGATIVE and on < first
    said = result.call in (Call.POSITIVE, Call.NEGATIVE)
    return PregnancyTest(
        test=result.test,
        call=result.call,
        on=on,
        is_scan=is_scan,
        counts=said and not result.void_reasons and not is_early,
        is_early=is_early and not result.void_reasons,
        entry=result.entry,
    )


def _state(counted: list[PregnancyTest], *, again: timedelta) -> PregnancyState:
    positive = [test for test in counted if test.call is Call.POSITIVE]
    after = counted
    if positive:
        after = counted[counted.index(positive[-1]) + 1 :]
    negative = [test for test in after if test.call is Call.NEGATIVE]
    if negative:
        if positive:
            return PregnancyState.MAYBE_LOST
        by_scan = negative[-1].is_scan
        if by_scan or negative[-1].on - negative[0].on >= again:
            return PregnancyState.RULED_OUT
        return PregnancyState.ONE_LATE_NEGATIVE
    if any(test.is_scan for test in positive):
        return PregnancyState.CONFIRMED
    return PregnancyState.LIKELY if positive else PregnancyState.UNTESTED
