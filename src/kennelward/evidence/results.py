"""A result on one dog: what was seen, whether it counts, and why not.

A result that does not count moves no chance, in either direction.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from kennelward.evidence.performance import (
    EVENTS,
    TRAINED_EYES,
    Circumstances,
    ReaderError,
    TestPerformance,
)
from kennelward.terms import BadInput, Call, Phrase, check_range

# Why a strip does not count, by the kennel book's code.
WHY_VOID: Mapping[str, str] = {
    "expired": "The kit was past its printed date, so this result does not count.",
    "no-leaflet": (
        "The minutes of this kit's leaflet were never confirmed, so this result does "
        "not count."
    ),
    "read-early": "It was read before its time, so this result does not count.",
    "read-late": "It was read after its time, so this result does not count.",
    "no-control-line": "The control line is missing, so this test gave no result.",
    "unreadable": "The strip could not be read, so there is no result.",
    "disagree": (
        "The person and the reader saw different things, so this result does not "
        "count. Repeat the test."
    ),
    "wrong-sample": (
        "The sample was not one that the leaflet allows, so this result does not count."
    ),
}
TRACE_SAYS = (
    "A trace of a line, or what may be one: act as for a suspect until the test is "
    "repeated. It moves no chance."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class UninformativeWindow:
    """Days after an event on which a result of one test says less than usual.

    `effect` is "no-information" (the result moves nothing) or "flag" (it counts in
    full and the sentence is shown with it, to be treated as real).
    """

    test: str
    call: Call | None  # None: whatever it says
    event: str  # one of performance.EVENTS
    first: int  # days since the event, both ends included
    last: int
    effect: str
    says: str
    source: str = ""

    def __post_init__(self) -> None:
        if self.event not in EVENTS:
            raise BadInput(f"event must be one of {', '.join(EVENTS)}: {self.event!r}")
        if self.effect not in ("no-information", "flag"):
            raise BadInput(f"effect must be no-information or flag: {self.effect!r}")
        check_range("first", self.first, low=0, unit="days")
        check_range("last", self.last, low=self.first, unit="days")

    def holds(self, *, test: str, call: Call, case: Circumstances) -> bool:
        """True where the result fell into this window."""
        days = case.days_since.get(self.event)
        return (
            test == self.test
            and self.call in (None, call)
            and days is not None
            and self.first <= days <= self.last
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultSeen:
    """One result, with the figures that fit the dog on the day of its sample."""

    call: Call
    performance: TestPerformance
    counts: bool = True
    why_not: Phrase | None = None
    flags: tuple[Phrase, ...] = ()  # shown with a result that does count
    reader: ReaderError = TRAINED_EYES
    on: date | None = None  # day of the sample
    ref: str = ""  # test id in the book, to find it again

    def __post_init__(self) -> None:
        if self.counts and not self.call.is_result:
            raise BadInput(
                f"a result that says {self.call.value} cannot count; only "
                "positive and negative can"
            )
        if not self.counts and self.why_not is None:
            raise BadInput("a result that does not count must say why not")


def result_seen(
    call: Call,
    *,
    performance: TestPerformance,
    case: Circumstances | None = None,
    windows: Sequence[UninformativeWindow] = (),
    void_reasons: Sequence[str] = (),
    reader: ReaderError = TRAINED_EYES,
    on: date | None = None,
    ref: str = "",
) -> ResultSeen:
    """A result with its reasons worked out: void, trace, uninformative, flagged.

    `void_reasons` are the kennel book's codes (`kennel.TestCard.void_reasons`). Raises
    BadInput for a code that is not known.
    """
    held = [
        w
        for w in windows
        if w.holds(test=performance.test, call=call, case=case or Circumstances())
    ]
    why_not = _why_not(call, void_reasons=void_reasons, held=held)
    return ResultSeen(
        call=call,
        performance=performance,
        counts=why_not is None,
        why_not=why_not,
        flags=tuple(Phrase(w.says) for w in held if w.effect == "flag"),
        reader=reader,
        on=on,
        ref=ref,
    )


def _why_not(
    call: Call, *, void_reasons: Sequence[str], held: Sequence[UninformativeWindow]
) -> Phrase | None:
    for code in void_reasons:
        if code not in WHY_VOID:
            known = ", ".join(WHY_VOID)
            raise BadInput(f"reason not to count must be one of {known}: {code!r}")
    if void_reasons:
        return Phrase(WHY_VOID[void_reasons[0]])
    if call is Call.INVALID:
        return Phrase(WHY_VOID["no-control-line"])
    if call is Call.UNREADABLE:
        return Phrase(WHY_VOID["unreadable"])
    if call is Call.TRACE:
        return Phrase(TRACE_SAYS)
    for window in held:
        if window.effect == "no-information":
            return Phrase(window.says)
    return None
