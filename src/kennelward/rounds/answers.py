"""When a strip can answer: for bare dates, or for a dog and what the book says of it.

Puts the handbook's days and figures into `evidence.timing` and holds the programme's
own test days against the curve. "One strip never gets there" is an answer.
"""

from collections.abc import Mapping, Sequence
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
from kennelward.kennel import Book
from kennelward.programme import Action
from kennelward.rounds.case import DogCase, case_from_book
from kennelward.rounds.figures import with_own_figures
from kennelward.rounds.plan import KennelPlan, kennel_plan
from kennelward.rounds.suspects import exposures_by_dog
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
LONGEST_PREGNANCY = 80  # days since the mating or surge; she has whelped by then
LONGEST_DAYS = 400  # since the event; beyond it a curve says nothing new
TESTS = ("test", "repeat-test", "cyst-test", "lab-test", "vet-sample", "scan")
# The best clock first. A course's end counts only while it voids results.
CLOCKS = (
    "course-end",
    "lh",
    "ovulation",
    "mating",
    "illness",
    "exposure",
    "arrival",
    "live-vaccine",
)

SETTLED = ("done", "declined")
AGREES = Phrase(
    "This fits the curve: a test on {retest} answers as well as one strip can."
)
EARLIER = Phrase(
    "Earlier than the curve: a positive can show by then, a negative counts only from "
    "{counts}. It is run again then."
)
LATER = Phrase(
    "Later than the first day that answers, {best}: the programme waits for the dogs "
    "that show last, or the days that a rule asks for."
)
ALREADY = Phrase(
    "Before any test it is {before} in 100 already, below the {worth} asked for. That is "
    "no result and takes the place of no test: a negative on {best_on} would leave {best}."
)
OTHER_TEST = Phrase("Another test for the same question. It has days of its own.")


ENDS_PREGNANCY = ("whelping", "pregnancy-loss")


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

    @property
    def is_below_before(self) -> bool:
        """True where the level asked for holds before any test."""
        return self.timing.before.median <= self.worth

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
    held = _kit(handbook, kit)
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
        says=_in_order(
            found.in_words if before > worth else _already(found, worth=worth),
            counts=found.on(on).negative_counts,
        ),
        takes=Phrase(curve.says),
        source=curve.source,
        provenance=curve.provenance,
        flags=_flags(held, known, curve=curve, event=event, day=(on - anchor).days),
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


def _in_order(says: tuple[Phrase, ...], *, counts: bool) -> tuple[Phrase, ...]:
    """What forbids a negative today comes before what it would leave."""
    return says if counts or len(says) < 3 else (says[1], says[0], *says[2:])


def _already(found: Timing, *, worth: float) -> tuple[Phrase, ...]:
    """Today's sentences, and that the level holds before any test."""
    values = {
        "before": in_hundred(found.before.median),
        "worth": in_hundred(worth),
        "best": in_hundred(found.best.if_negative.median),
        "best_on": found.best.on.isoformat(),
    }
    return (*found.in_words[:-1], Phrase(ALREADY.template, values))


def _kit(handbook: Handbook, kit: str) -> Kit:
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
    kit: Kit, case: DogCase, *, curve: ByDay, event: str, day: int
) -> tuple[Phrase, ...]:
    """Windows of the kit that hold today, in its own words."""
    days = {**case.days_since, event: day}
    offset = curve.exact_offset(event)
    if offset is not None:
        days.setdefault(curve.event, max(0, day + offset))
    around = circumstances(replace(case, days_since=days))
    found = [
        window.says
        for window in kit.windows
        if window.holds(test=kit.kit, call=window.call or Call.NEGATIVE, case=around)
    ]
    return tuple(Phrase(says) for says in dict.fromkeys(found))


def dog_answer(
    *,
    book: Book,
    handbook: Handbook,
    dog: str,
    kit: str,
    on: date,
    worth: float = USUAL_WORTH,
    plan: KennelPlan | None = None,
) -> KitAnswer | None:
    """When a kit can answer for a dog, from what the book says of it.

    None where the book holds no day to count from. `plan` is the kennel's for `on`,
    where it is at hand.
    """
    handbook = with_own_figures(book=book, handbook=handbook)
    held = _kit(handbook, kit)
    case = _case(book, handbook, dog, infection=held.infection, on=on)
    event = clock_of(held, case)
    if event is None:
        return None
    found = when_can_answer(
        handbook=handbook,
        kit=kit,
        event=event,
        anchor=on - timedelta(days=case.days_since[event]),
        on=on,
        case=case,
        worth=worth,
        tested_on=_last_negative(book, dog, kit=kit, case=case, event=event),
    )
    tasks = (plan or kennel_plan(book=book, handbook=handbook, on=on)).due.items
    open_tasks = [
        item.action
        for item in tasks
        if item.action.subject == dog and item.state not in SETTLED
    ]
    return replace(
        found, programme=programme_tests(found, handbook=handbook, actions=open_tasks)
    )


def dog_answers(
    *,
    book: Book,
    handbook: Handbook,
    dog: str,
    on: date,
    plan: KennelPlan | None = None,
) -> Mapping[str, KitAnswer | None]:
    """One answer a kit; the pregnancy strip for bitches only."""
    is_bitch = book.dogs[dog].described.sex == "bitch"
    return {
        name: dog_answer(
            book=book, handbook=handbook, dog=dog, kit=name, on=on, plan=plan
        )
        for name, kit in handbook.kits.items()
        if is_bitch or kit.infection != "pregnancy"
    }


def clock_of(kit: Kit, case: DogCase) -> str | None:
    """The event to count from: the best that is known, or None.

    A course's end only while it keeps results from counting; a live vaccine only for a
    dog that is ill; nothing of a pregnancy that is over; nothing too far back.
    """
    for event in CLOCKS:
        days = case.days_since.get(event)
        if event not in kit.events or days is None or days > LONGEST_DAYS:
            continue
        if kit.infection == "pregnancy" and _is_over(case, days):
            continue
        curve = kit.curve_from(event)
        if event == "course-end" and days >= curve.negative_counts_from(
            event, kit.windows
        ):
            continue
        if event == "live-vaccine" and not case.signs:
            continue
        return event
    return None


def _is_over(case: DogCase, days: int) -> bool:
    """True where the pregnancy of a mating so many days ago has ended since."""
    since = case.days_since
    ended = any(since.get(end, days + 1) <= days for end in ENDS_PREGNANCY)
    return ended or days > LONGEST_PREGNANCY


def _case(
    book: Book, handbook: Handbook, dog: str, *, infection: str, on: date
) -> DogCase:
    exposures = exposures_by_dog(
        book=book, handbook=handbook, infection=infection, on=on
    ).get(dog, ())
    return case_from_book(
        book=book, dog=dog, infection=infection, on=on, exposures=exposures
    )


def _last_negative(
    book: Book, dog: str, *, kit: str, case: DogCase, event: str
) -> date | None:
    """Day of the dog's last negative with this kit since the event, if it counts."""
    anchor = case.on - timedelta(days=case.days_since[event])
    days = [
        book.day_of(card.started.happened_at)
        for card in book.tests_of(dog)
        if card.kit == kit and card.counts and card.call is Call.NEGATIVE
    ]
    return max((day for day in days if anchor <= day <= case.on), default=None)


def programme_tests(
    found: KitAnswer, *, handbook: Handbook, actions: Sequence[Action]
) -> tuple[ProgrammeTest, ...]:
    """The programme's tests for the same question, each beside the curve."""
    return tuple(
        _beside(action, found)
        for action in actions
        if action.what in TESTS and _infection_of(action, handbook) == found.infection
    )


def _infection_of(action: Action, handbook: Handbook) -> str:
    """What an action's test is for, by its kit or by what its rule waits for."""
    if action.kit:
        return handbook.kits[action.kit].infection
    rule = handbook.programmes.find(action.rule.rule)
    told = [word.text("infection") for word in (rule.ends if rule else ())]
    return next((infection for infection in told if infection), "")


def _beside(action: Action, found: KitAnswer) -> ProgrammeTest:
    if action.kit != found.kit:
        return ProgrammeTest(action=action, says=OTHER_TEST, agrees=True)
    first, last = action.window.first, action.window.last
    best = found.timing.reaches or found.timing.best
    if last < found.counts_from:
        says = Phrase(EARLIER.template, {"counts": found.counts_from.isoformat()})
        return ProgrammeTest(action=action, says=says, agrees=False)
    if first > found.retest_on:
        says = Phrase(LATER.template, {"best": best.on.isoformat()})
        return ProgrammeTest(action=action, says=says, agrees=False)
    return ProgrammeTest(
        action=action,
        says=Phrase(
            AGREES.template, {"retest": max(first, found.retest_on).isoformat()}
        ),
        agrees=True,
    )
