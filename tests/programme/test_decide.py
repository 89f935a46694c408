"""What must hold for any book: no failure, no order, no lifting by a strip that is void."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kennelward.handbook import load_handbook
from kennelward.kennel import Book, Entry
from kennelward.kennel import facts as f
from kennelward.programme import Action, decide, due_list, explain
from tests.programme.making import (
    DOGS,
    TODAY,
    Told,
    book_of,
    books,
    courses,
    dogs,
    litters,
    moments,
    single,
    strips,
)

HANDBOOK = load_handbook()
RULES = HANDBOOK.programmes
SOME = settings(
    max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
TOLD = st.tuples(
    st.lists(st.tuples(moments, single), max_size=25),
    st.lists(strips, max_size=6),
    st.lists(courses, max_size=2),
    st.lists(litters, max_size=2),
)


def decided(book: Book) -> tuple[Action, ...]:
    """What the rules ask for today."""
    return decide(book=book, rules=RULES, on=TODAY)


@SOME
@given(books())
def test_any_book_gives_whole_actions(book: Book) -> None:
    """Every word is filled, every key is one of a kind, every caution is known."""
    actions = decided(book)
    keys = [action.key for action in actions]
    assert len(keys) == len(set(keys))
    for action in actions:
        assert "{" not in f"{action.says}{action.because}"
        assert set(action.cautions) <= set(HANDBOOK.cautions)
        assert action.subject
        assert [str(sentence) for sentence in explain(action).sentences]
        assert (action.window.first - TODAY).days <= 120
    listed = due_list(actions, book=book, on=TODAY)
    assert {item.action.key for item in listed.items} == set(keys)


@SOME
@given(TOLD, st.permutations(DOGS))
def test_the_order_in_which_dogs_were_entered_changes_nothing(
    told: Told,
    order: list[str],
) -> None:
    """The same kennel, entered in another order, gives the same actions."""
    first = decided(book_of(told))
    second = decided(book_of(told, order=tuple(order)))
    assert {key(a) for a in first} == {key(a) for a in second}


def key(action: Action) -> tuple[object, ...]:
    """Everything but the words, where names are listed in their own order."""
    return (action.rule.rule, action.subject, action.window, action.occurrence)


@SOME
@given(TOLD, dogs, st.sampled_from(("negative", "positive", "invalid")))
def test_a_void_strip_never_lifts_a_precaution(
    told: Told,
    dog: str,
    call: str,
) -> None:
    """Read an hour late, it ends nothing that was asked for in keeping apart or mating."""
    held = ("keep-apart", "no-mating", "stop-movement", "hold", "call-vet")
    before = decided(book_of(told))
    late = (0, (dog, "giardia-antigen", call, 60))
    happened, strip_list, course_list, litter_list = told
    after = decided(book_of((happened, [*strip_list, late], course_list, litter_list)))
    asked = {(a.rule.rule, a.subject) for a in before if a.what in held}
    still = {(a.rule.rule, a.subject) for a in after if a.what in held}
    assert asked <= still


@SOME
@given(TOLD, dogs)
def test_a_negative_brucella_strip_never_lifts_a_precaution(
    told: Told,
    dog: str,
) -> None:
    """Only blood and another method do, unless nothing but a doubtful line stood."""
    happened, _, course_list, litter_list = told
    strip = (-1, (dog, "brucella-antibody", "negative", 8))
    before = decided(book_of((happened, [], course_list, litter_list)))
    after = decided(book_of((happened, [strip], course_list, litter_list)))
    held = ("keep-apart", "no-mating", "stop-movement", "hold")
    asked = {(a.rule.rule, a.subject) for a in before if a.what in held}
    assert asked <= {(a.rule.rule, a.subject) for a in after if a.what in held}


def test_an_empty_book_asks_for_nothing() -> None:
    """No kennel, no dogs, no work."""
    assert decided(Book.from_entries([])) == ()


def test_a_dog_that_left_is_no_work() -> None:
    """Sold dogs are not tested, wormed or kept apart."""
    ill, left = f.Observed(dog="a", signs=("vomiting",)), f.Left(dog="a")
    book = book_of(([(-3, ill), (-1, left)], [], [], []))
    assert not [a for a in decided(book) if a.subject == "a"]


def test_struck_entries_set_nothing_going() -> None:
    """A sign noted on the wrong dog and struck through is gone, and so is its work."""
    book = book_of(([(0, f.Observed(dog="a", signs=("vomiting",)))], [], [], []))
    (seen,) = book.of(f.Observed)
    struck = Entry(
        entry="struck",
        kennel="kennel-1",
        fact=f.Struck(entry=seen.entry, why="wrong dog"),
        happened_at=seen.happened_at + timedelta(minutes=5),
        recorded_at=seen.happened_at + timedelta(minutes=5),
        recorded_by="Ada",
    )
    after = Book.from_entries([*book.entries, struck])
    assert [a for a in decided(book) if a.rule.rule == "sick-dog.vet"]
    assert not [a for a in decided(after) if a.rule.rule == "sick-dog.vet"]


def test_the_words_of_a_false_alarm_are_worked_out() -> None:
    """About 10 in 100 at 0.5 %, as the figures give it, and 0.04 a strip a year."""
    strip = (0, ("a", "relaxin", "positive", 8))
    brucella = (0, ("a", "brucella-antibody", "positive", 8))
    actions = decided(book_of(([], [strip, brucella], [], [])))
    (confirm,) = (a for a in actions if a.rule.rule == "brucella-suspect.confirm")
    assert "About 10 of 100 positive strips" in str(confirm.because)
    assert "prevalence 0.5 %" in str(confirm.because)


class TestDueList:
    """Done, put off, declined: the latest word holds."""

    @pytest.fixture
    def book(self) -> Book:
        """A coughing dog."""
        return book_of(([(0, f.Observed(dog="a", signs=("cough",)))], [], [], []))

    def item(
        self, book: Book, *said: f.DueDone | f.DuePutOff | f.DueDeclined, days: int = 0
    ) -> str:
        """State of the call to the vet after what was said, `days` later."""
        on = TODAY + timedelta(days=days)
        (action,) = (
            a
            for a in decide(book=book, rules=RULES, on=on)
            if a.rule.rule == "sick-dog.cough-or-discharge"
        )
        said = tuple(replace(fact, key=action.key) for fact in said)
        at = datetime(2026, 11, 25, 9, tzinfo=UTC)
        told = [
            Entry(
                entry=f"said-{number}",
                kennel="kennel-1",
                fact=fact,
                happened_at=at + timedelta(minutes=number),
                recorded_at=at,
                recorded_by="Ada",
            )
            for number, fact in enumerate(said)
        ]
        whole = Book.from_entries([*book.entries, *told])
        listed = due_list([action], book=whole, on=on)
        return listed.items[0].state

    def test_open_then_overdue(self, book: Book) -> None:
        """Today while its window is open, overdue after it."""
        assert self.item(book) == "today"
        assert self.item(book, days=2) == "today"
        assert self.item(book, days=3) == "overdue"

    def test_done_and_declined_stay_visible(self, book: Book) -> None:
        """They do not vanish, and they are not open."""
        assert self.item(book, f.DueDone(key="")) == "done"
        assert self.item(book, f.DueDeclined(key="", why="not here")) == "declined"

    def test_put_off_comes_back(self, book: Book) -> None:
        """On its day it is there again."""
        put_off = f.DuePutOff(key="", until=TODAY + timedelta(days=2), why="vet away")
        assert self.item(book, put_off) == "put-off"
        assert self.item(book, put_off, days=2) == "today"
        assert self.item(book, put_off, days=3) == "overdue"

    def test_the_latest_word_holds(self, book: Book) -> None:
        """Declined, then done after all."""
        said = (f.DueDeclined(key="", why="not here"), f.DueDone(key=""))
        assert self.item(book, *said) == "done"

    def test_urgent_comes_first(self, book: Book) -> None:
        """Within what is open, now before planned."""
        items = due_list(decided(book), book=book, on=TODAY).items
        urgency = [item.action.urgency for item in items if item.is_open]
        assert urgency == sorted(urgency, key=lambda u: u != "now")
