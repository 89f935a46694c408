"""The main job: a photo of a strip in, what it means and what to do out."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING

from kennelward.handbook import Handbook
from kennelward.kennel import Book, Entry
from kennelward.kennel.facts import StripMeasured
from kennelward.rounds.outcome import TestOutcome, test_outcome
from kennelward.terms import BadInput, Call, Unreadable

if TYPE_CHECKING:
    from kennelward.reading import CallCutoffs, Point, StripReading, StripSignals


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingJob:
    """One photo of one started test, and all that is known around it."""

    book: Book
    handbook: Handbook
    test: str  # id of a started test
    photo: bytes
    at: datetime  # when the photo was taken; minutes count from the test's start
    on: date
    photo_hash: str = ""
    corners: "tuple[Point, Point, Point, Point] | None" = None
    flip: bool = False
    well: "Point | None" = None  # the sample well, as tapped on the photo
    is_window_only: bool = False  # the picture is cut to about the window


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingOutcome:
    """The photo read, the fact to record, and what follows once it is in the book."""

    reading: "StripReading"
    fact: StripMeasured
    outcome: TestOutcome


def read_and_plan(job: ReadingJob) -> ReadingOutcome:
    """Read the photo, weigh it, and plan as if the reading were in the book already.

    Raises BadInput for a test that was not started or was dropped. An unreadable photo
    is an answer: its fact says so and moves nothing.
    """
    from kennelward.reading import guess_window, read_strip_photo

    card = job.book.tests.get(job.test)
    if card is None or card.dropped is not None:
        raise BadInput("this test is not running; start it from Bench first")
    kit = job.handbook.kits[card.kit]
    reading = read_strip_photo(
        job.photo,
        layout=kit.layout,
        cutoffs=kit.cutoffs,
        corners=job.corners,
        flip=job.flip,
        well=job.well,
        is_window_only=job.is_window_only,
    )
    minutes = (job.at - card.started.happened_at).total_seconds() / 60
    fact = measured_fact(
        reading,
        test=job.test,
        minutes=minutes,
        photo_hash=job.photo_hash,
        guess=guess_window(job.photo) if reading.signals is None else None,
    )
    fact = with_earlier_photos(
        fact, reading=reading, earlier=card.measured, cutoffs=kit.cutoffs
    )
    entry = Entry(
        entry=f"reading-of-{job.test}-{len(card.measured)}",
        kennel=card.started.kennel,
        fact=fact,
        happened_at=job.at,
        recorded_at=job.at,
        recorded_by=reading.reader or "reader",
    )
    after = Book.from_entries([*job.book.entries, entry])
    return ReadingOutcome(
        reading=reading,
        fact=fact,
        outcome=test_outcome(
            book=after, handbook=job.handbook, test=job.test, on=job.on
        ),
    )


def measured_fact(
    reading: "StripReading",
    *,
    test: str,
    minutes: float,
    photo_hash: str = "",
    guess: "tuple[Point, ...] | None" = None,
) -> StripMeasured:
    """The fact that records a reading.

    `guess`: where the window may be in a photo that could not be read, for a person to
    mend.
    """
    from kennelward.reading import signals_as_json

    match reading.outcome:
        case Unreadable(reason=reason):
            call, is_faint = Call.UNREADABLE, False
        case made:
            call, is_faint, reason = made.call, made.is_faint, ",".join(made.reasons)
    signals = signals_as_json(reading.signals) if reading.signals is not None else {}
    if guess is not None:
        signals["guess"] = [[round(x, 1), round(y, 1)] for x, y in guess]
    if signals and reading.photo_size is not None:
        signals["size"] = list(reading.photo_size)
    return StripMeasured(
        test=test,
        call=call.value,
        is_faint=is_faint,
        reason=reason,
        photo=photo_hash,
        minutes=round(max(0.0, minutes), 2),
        measured=json.dumps(signals, separators=(",", ":")) if signals else "",
        reader=reading.reader,
    )


def with_earlier_photos(
    fact: StripMeasured,
    *,
    reading: "StripReading",
    earlier: Sequence[Entry],
    cutoffs: "CallCutoffs",
) -> StripMeasured:
    """The fact with the call of this photo and the strip's `earlier` ones together.

    A photo read twice counts once, as it was read last. Only what the same reader
    measured goes together. Unchanged where no two photos were measured, or where even
    together they cannot be called.
    """
    from kennelward.reading import call_together, signals_from_json

    by_photo: dict[str, StripSignals | None] = {}
    for entry in sorted(earlier, key=lambda one: one.recorded_at):
        was = entry.fact
        if isinstance(was, StripMeasured) and was.reader == fact.reader:
            kept = json.loads(was.measured) if was.measured else {}
            by_photo[was.photo or entry.entry] = signals_from_json(kept)
    by_photo[fact.photo or "this"] = reading.signals
    measured = [signals for signals in by_photo.values() if signals is not None]
    if len(measured) < 2:
        return fact
    made = call_together(measured, cutoffs=cutoffs)
    if isinstance(made, Unreadable):
        return fact
    return replace(
        fact,
        together_call=made.call.value,
        together_is_faint=made.is_faint,
        together_with=tuple(entry.entry for entry in earlier),
    )
