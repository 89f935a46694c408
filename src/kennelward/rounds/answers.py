"""When a strip can answer, from a day and what is known of the dog.

Puts the handbook's days and figures into `evidence.timing`. "One strip never gets
there" is an answer.
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from kennelward.evidence import (
    Condition,
    DayWorth,
    TestTiming,
    Timing,
    in_hundred,
    interpret,
    timing,
)
from kennelward.handbook import ByDay, Handbook, Kit
from kennelward.programme import Action
from kennelward.rounds.case import DogCase
from kennelward.rounds.worth import (
    CONDITIONS,
    circumstances,
    dependences,
    dog_facts,
)
from kennelward.terms import (
    BadInput,
    Call,
    OutOfRange,
    Phrase,
    Provenance,
    check_range,
)

USUAL_WORTH = 0.05  # what a negative may leave, where nobody chose
LONGEST_DAYS = 400  # since the event; beyond it a curve says nothing new

CAUGHT_THAT_DAY = Phrase(
    "This counts an infection caught on that very day. One caught before shows sooner, so "
    "a result on the bench may say more than stands here."
)
ALREADY = Phrase(
    "Before any test it is {before} in 100 already, below the {worth} asked for. That is "
    "no result and takes the place of no test: a negative on {best_on} would leave {best}."
)


ALREADY_NOTHING = Phrase(
    "That is below the {worth} asked for already, without any test: it is no result and "
    "takes the place of no test."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammeTest:
    """A test that the programme asks for, beside the curve."""

    action: Action
    says: Phrase  # whether it agrees, and where it does not, why
    agrees: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class KitAnswer:
    """When one kit can answer, for one dog or for dates alone."""

    kit: str
    infection: str
    event: str
    on: date
    worth: float  # chance that a negative may leave, as asked
    timing: Timing
    counts_from: date  # first day on which a negative counts
    says: tuple[Phrase, ...]  # today, the first day that answers or that none does
    takes: Phrase  # what the curve takes for granted
    source: str
    provenance: Provenance
    flags: tuple[Phrase, ...]  # what makes a result say less today
    retest_on: date
    programme: tuple[ProgrammeTest, ...] = ()
    is_positive: bool = False  # a positive of the dog is in the book already

    @property
    def is_below_before(self) -> bool:
        """True where the level asked for holds before any test."""
        return self.timing.before.median <= self.worth

    @property
    def moves_from(self) -> date | None:
        """First day on which a negative counts and leaves less than before; or None."""
        before = in_hundred(self.timing.before.median)
        return next(
            (
                day.on
                for day in self.timing.curve
                if day.negative_counts
                and day.on >= self.counts_from
                and in_hundred(day.if_negative.median) != before
            ),
            None,
        )

    @property
    def today(self) -> DayWorth:
        """What a test today would be worth."""
        return self.timing.on(self.on)


def when_can_answer(
    *,
    handbook: Handbook,
    kit: str,
    event: str,
    anchor: date,
    on: date,
    case: DogCase | None = None,
    worth: float = USUAL_WORTH,
    tested_on: date | None = None,
) -> KitAnswer:
    """The curve of one kit for a dog whose `event` was on `anchor`.

    `case`: what is known of the dog; without it, a grown dog of a kennel, with the
    signs that the curve is about. `worth` is the chance that a negative may leave, 0
    to 1. `tested_on`: the day of a negative that is to be repeated. Raises BadInput for
    an unknown kit or event, OutOfRange for a day after `on` or too long before it.
    """
    held = kit_of(handbook, kit)
    curve = held.curve_from(event)
    _check_days(event, anchor, on=on, tested_on=tested_on)
    known = case or DogCase(infection=held.infection, on=on)
    if curve.signs and not known.signs:
        known = replace(known, signs=curve.signs)
    test = _timing_of(held, curve, event=event)
    counts = test.negative_counts_from[event]
    last = max((*curve.steps, *curve.onset, counts)) + curve.repeat_after
    start = handbook.prior_for(held.infection, dog_facts(known))
    before = interpret(prior=start).chance.median
    check_range("worth", worth, low=0, high=1)
    found = timing(
        prior=start,
        test=test,
        event=event,
        anchor=anchor,
        on=on,
        days=range(min(LONGEST_DAYS, last + max(14, curve.repeat_after)) + 1),
        # A level that no test is needed for says nothing: then the best day is told.
        worth=worth if before > worth else 0,
        dependence=dependences(handbook, held.infection),
        condition=CONDITIONS.get(held.infection, Condition.INFECTED),
    )
    return KitAnswer(
        kit=kit,
        infection=held.infection,
        event=event,
        on=on,
        worth=worth,
        timing=found,
        counts_from=anchor + timedelta(days=counts),
        says=_said(found, curve=curve, on=on, worth=worth),
        takes=Phrase(curve.says),
        source=curve.source,
        provenance=curve.provenance,
        flags=_flags(
            handbook, held, known, curve=curve, event=event, day=(on - anchor).days
        ),
        retest_on=_retest(found, on=on, tested_on=tested_on),
    )


def _timing_of(kit: Kit, curve: ByDay, *, event: str) -> TestTiming:
    return TestTiming(
        performance=curve.figures(kit.performances),
        by_day=curve.curve(kit.performances),
        negative_counts_from={event: curve.negative_counts_from(event, kit.windows)},
        repeat_after=curve.repeat_after,
        windows=kit.windows,
    )


def _said(found: Timing, *, curve: ByDay, on: date, worth: float) -> tuple[Phrase, ...]:
    """What forbids a negative today first, then what it would leave, then the rest."""
    says = found.in_words
    if found.before.median <= worth:
        says = _already(found, worth=worth)
    if not found.on(on).negative_counts and len(says) > 2:
        says = (says[1], says[0], *says[2:])
    return (*says, CAUGHT_THAT_DAY) if curve.onset and not curve.signs else says


def _already(found: Timing, *, worth: float) -> tuple[Phrase, ...]:
    """Today's sentences, and that the level holds before any test."""
    values = {
        "before": in_hundred(found.before.median),
        "worth": in_hundred(worth),
        "best": in_hundred(found.best.if_negative.median),
        "best_on": found.best.on.isoformat(),
    }
    if values["best"] == values["before"]:
        worth_only = {"worth": values["worth"]}
        return (*found.in_words[:-1], Phrase(ALREADY_NOTHING.template, worth_only))
    return (*found.in_words[:-1], Phrase(ALREADY.template, values))


def kit_of(handbook: Handbook, kit: str) -> Kit:
    """The kit by its id. Raises BadInput with those there are."""
    if kit not in handbook.kits:
        raise BadInput(
            f"no kit {kit!r} in the handbook; use one of {', '.join(handbook.kits)}"
        )
    return handbook.kits[kit]


def _check_days(event: str, anchor: date, *, on: date, tested_on: date | None) -> None:
    earliest = on - timedelta(days=LONGEST_DAYS)
    if not earliest <= anchor <= on:
        raise OutOfRange(
            f"the day of the {event} must be from {earliest} to {on}, got {anchor}"
        )
    if tested_on is not None and not anchor <= tested_on <= on:
        raise OutOfRange(
            f"the day of the test must be from {anchor} to {on}, got {tested_on}"
        )


def _retest(found: Timing, *, on: date, tested_on: date | None) -> date:
    """The day to test (again): never in the past, never before a negative counts."""
    if tested_on is not None:
        return max(on, found.retest_on(tested_on))
    return max(on, (found.reaches or found.best).on)


def _flags(
    handbook: Handbook, kit: Kit, case: DogCase, *, curve: ByDay, event: str, day: int
) -> tuple[Phrase, ...]:
    """Windows of the kit that hold today, in its own words."""
    days = {**case.days_since, event: day}
    offset = curve.exact_offset(event)
    if offset is not None:
        days.setdefault(curve.event, max(0, day + offset))
    around = circumstances(replace(case, days_since=days), handbook=handbook)
    found = [
        window.says
        for window in kit.windows
        if window.holds(test=kit.kit, call=window.call or Call.NEGATIVE, case=around)
    ]
    return tuple(Phrase(says) for says in dict.fromkeys(found))
