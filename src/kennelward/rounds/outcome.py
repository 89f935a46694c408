"""What one strip test leads to: its worth, what to do, and whom it exposed."""

from dataclasses import dataclass
from datetime import date

from kennelward.handbook import Caution, Handbook, Kit
from kennelward.kennel import Book, Contact, TestCard
from kennelward.kennel import facts as f
from kennelward.programme import Action
from kennelward.rounds.plan import kennel_plan
from kennelward.rounds.suspects import contain, exposures_by_dog
from kennelward.rounds.worth import DogInterpretation, results_of, worth_of
from kennelward.terms import Call, Phrase

# Entries that make an action part of a dog's illness, not a chore.
ILLNESS_FACTS = (
    f.DangerChecked,
    f.KeptApart,
    f.Observed,
    f.OtherResult,
    f.StripMeasured,
    f.StripSeen,
    f.TestStarted,
)

# Sentences that say what a call is, before any chance.
CALL_SAYS = {
    Call.POSITIVE: "Two lines: the strip is positive. A faint test line counts in full.",
    Call.NEGATIVE: "One line, at the control: the strip is negative.",
    Call.TRACE: (
        "A trace of a line, weaker than a person sees, or a mark that may be one: act "
        "as for a suspect, and repeat."
    ),
    Call.INVALID: "No control line: the test failed and says nothing. Repeat it.",
    Call.UNREADABLE: "The strip could not be read. It says nothing.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class TestOutcome:
    """Everything a person needs after a strip was read."""

    __test__ = False  # not a test case of pytest

    test: TestCard
    says: Phrase  # what the strip says, in words
    worth: DogInterpretation | None  # None while the test runs
    meaning: tuple[Phrase, ...]  # what it means, and what it does not
    void_says: tuple[Phrase, ...]  # why it does not count; empty where it does
    actions: tuple[Action, ...]  # what to do about the dog, its unit and the kennel
    exposed: tuple[Contact, ...]  # dogs the suspect may have infected
    cautions: tuple[Caution, ...]


def test_outcome(*, book: Book, handbook: Handbook, test: str, on: date) -> TestOutcome:
    """The outcome of a test as the book has it on `on`."""
    card = book.tests[test]
    kit = handbook.kits[card.kit]
    infection = kit.infection
    plan = kennel_plan(book=book, handbook=handbook, on=on)
    found = [
        item.action
        for item in plan.due.items
        if item.is_open and _concerns(item.action, card, book)
    ]
    # What comes up again on later days is shown once, by its first day.
    actions = tuple({(a.rule.rule, a.subject): a for a in reversed(found)}.values())[
        ::-1
    ]
    is_suspect = card.state == "read" and card.call in (Call.POSITIVE, Call.TRACE)
    exposed: tuple[Contact, ...] = ()
    if is_suspect and infection != "pregnancy":
        exposed = contain(
            book=book, handbook=handbook, dog=card.dog, infection=infection, on=on
        )
    worth = _worth(book, handbook, card, infection=infection, on=on)
    return TestOutcome(
        test=card,
        says=call_says(card),
        worth=worth,
        meaning=_meaning(worth),
        void_says=_void_says(worth, card),
        actions=actions,
        exposed=exposed,
        cautions=_cautions(handbook, kit, actions),
    )


test_outcome.__test__ = False  # type: ignore[attr-defined]


def call_says(card: TestCard) -> Phrase:
    """What the strip says, before any chance."""
    if card.state != "read":
        return Phrase("The test is running.")
    if card.kit == "relaxin" and card.disagree:
        return Phrase(
            "You and the reader saw different things: not known. Repeat the test."
        )
    return Phrase(CALL_SAYS[card.call])


def _worth(
    book: Book, handbook: Handbook, card: TestCard, *, infection: str, on: date
) -> DogInterpretation | None:
    if card.state != "read":
        return None
    exposures = exposures_by_dog(
        book=book, handbook=handbook, infection=infection, on=on
    )
    results = results_of(
        book=book, handbook=handbook, dog=card.dog, infection=infection, on=on
    )
    return worth_of(
        book=book,
        handbook=handbook,
        dog=card.dog,
        infection=infection,
        on=on,
        results=results,
        exposures=exposures,
    )


def _concerns(action: Action, card: TestCard, book: Book) -> bool:
    """Urgent actions about the dog or its unit, and what its illness and tests ask for.

    Chores that would be due without this test (worming, chips, vaccines) are left to
    the due list.
    """
    dog = book.dogs[card.dog]
    anchors = {card.started.entry}
    anchors.update(entry.entry for entry in card.measured)
    if card.seen is not None:
        anchors.add(card.seen.entry)
    if action.anchor in anchors:
        return True
    if action.subject not in {card.dog, dog.pen, dog.described.litter} - {""}:
        return False
    anchor = book.find(action.anchor)
    by_illness = anchor is not None and isinstance(anchor.fact, ILLNESS_FACTS)
    return action.urgency == "now" or by_illness


def _meaning(worth: DogInterpretation | None) -> tuple[Phrase, ...]:
    if worth is None:
        return ()
    return (worth.worth.in_words, *worth.worth.reasons)


def _void_says(worth: DogInterpretation | None, card: TestCard) -> tuple[Phrase, ...]:
    if worth is None:
        return ()
    return tuple(
        seen.why_not
        for seen in worth.worth.not_counted
        if seen.ref == card.started.entry and seen.why_not is not None
    )


def _cautions(
    handbook: Handbook, kit: Kit, actions: tuple[Action, ...]
) -> tuple[Caution, ...]:
    """Cautions of the actions, most urgent first, then the infection's; each once."""
    urgent = sorted(actions, key=lambda action: action.urgency != "now")
    ids = [
        *(caution for action in urgent for caution in action.cautions),
        *handbook.infections[kit.infection].cautions,
    ]
    return tuple(handbook.cautions[caution] for caution in dict.fromkeys(ids))
