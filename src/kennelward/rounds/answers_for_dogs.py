"""When strips can answer for a dog of the book, and the programme's tests beside it."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from kennelward.handbook import Handbook, Kit
from kennelward.kennel import Book
from kennelward.programme import Action
from kennelward.rounds.answers import (
    LONGEST_DAYS,
    USUAL_WORTH,
    KitAnswer,
    ProgrammeTest,
    kit_of,
    when_can_answer,
)
from kennelward.rounds.case import DogCase, case_from_book
from kennelward.rounds.figures import with_own_figures
from kennelward.rounds.plan import KennelPlan, kennel_plan
from kennelward.rounds.suspects import exposures_by_dog, suspects
from kennelward.terms import Call, Phrase

TESTS = ("test", "repeat-test", "cyst-test", "lab-test", "vet-sample", "scan")
SETTLED = ("done", "declined")
ENDS_PREGNANCY = ("whelping", "pregnancy-loss")
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
OTHER_TEST = Phrase("Another test for the same question. It has days of its own.")
SUSPECT_ALREADY = Phrase(
    "A positive or a trace of this dog is in the book, or it is kept apart for it: a "
    "negative now ends nothing. The vet decides."
)
PREGNANT_ALREADY = Phrase(
    "A strip was positive in this pregnancy: a scan at the vet is next, not another strip."
)


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
    held = kit_of(handbook, kit)
    case = _case(book, handbook, dog, infection=held.infection, on=on)
    reach = handbook.infections[held.infection].values["same_episode_days"].value
    event = clock_of(held, case, pregnancy_days=round(reach))
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
    positive = _positive_flags(book, handbook, dog, found=found)
    return replace(
        found,
        flags=(*positive, *found.flags),
        is_positive=bool(positive),
        programme=programme_tests(found, handbook=handbook, actions=open_tasks),
    )


def _positive_flags(
    book: Book, handbook: Handbook, dog: str, *, found: KitAnswer
) -> tuple[Phrase, ...]:
    """What a positive that is in the book already means for another strip."""
    positive = [
        one
        for one in suspects(
            book=book, handbook=handbook, infection=found.infection, on=found.on
        )
        if one.dog == dog
    ]
    if not positive:
        return ()
    if found.infection != "pregnancy":
        return (SUSPECT_ALREADY,)
    is_of_this = positive[0].since >= found.timing.anchor
    return (PREGNANT_ALREADY,) if is_of_this else ()


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


def clock_of(kit: Kit, case: DogCase, *, pregnancy_days: int) -> str | None:
    """The event to count from: the best that is known, or None.

    A course's end only while it keeps results from counting; a live vaccine only for a
    dog that is ill; nothing of a pregnancy that is over, or `pregnancy_days` old;
    nothing too far back.
    """
    for event in CLOCKS:
        days = case.days_since.get(event)
        if event not in kit.events or days is None or days > LONGEST_DAYS:
            continue
        if kit.infection == "pregnancy" and _is_over(
            case, days, longest=pregnancy_days
        ):
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


def _is_over(case: DogCase, days: int, *, longest: int) -> bool:
    """True where the pregnancy of a mating so many days ago has ended since."""
    since = case.days_since
    ended = any(since.get(end, days + 1) <= days for end in ENDS_PREGNANCY)
    return ended or days > longest


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
