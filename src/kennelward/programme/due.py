"""The due list: actions, and what was said about each, in walking order."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.kennel import Book, round_order
from kennelward.kennel.facts import DueDeclined, DueDone, DuePutOff
from kennelward.programme.action import Action

THIS_WEEK_DAYS = 7
OPEN_STATES = ("overdue", "today", "this-week")
# Actions that come round every day and are done on the walk through the pens.
DAILY_WALK = ("care", "clean", "hygiene", "look", "round", "watch", "weigh")
# What protects people stands before what is done with the dogs.
PEOPLE_FIRST = ("tell-people", "gloves", "keep-cool")
STATES = (*OPEN_STATES, "later", "put-off", "done", "declined")


@dataclass(frozen=True, slots=True, kw_only=True)
class DueItem:
    """One action on the list.

    `shows_on` is the day it comes up: the first day of its window, or the day it was
    put off to.
    """

    action: Action
    state: str  # one of STATES
    shows_on: date
    note: str = ""  # why it was put off or declined, or the note of who did it

    @property
    def is_open(self) -> bool:
        """True where it waits to be done now or within the week."""
        return self.state in OPEN_STATES

    @property
    def is_daily_walk(self) -> bool:
        """True for what is done on the daily walk anyway, unless it is urgent."""
        return self.action.what in DAILY_WALK and self.action.urgency != "now"


@dataclass(frozen=True, slots=True, kw_only=True)
class DueList:
    """Everything due, as seen on a day: urgent first, then in walking order."""

    on: date
    items: tuple[DueItem, ...]

    def in_state(self, *states: str) -> tuple[DueItem, ...]:
        """Items in any of these states, in the list's order."""
        return tuple(item for item in self.items if item.state in states)

    def about(self, subject: str) -> tuple[DueItem, ...]:
        """Items about one dog, pen, litter or lot."""
        return tuple(item for item in self.items if item.action.subject == subject)


def due_list(actions: Iterable[Action], *, book: Book, on: date) -> DueList:
    """What is due, derived from actions and what the book says of each.

    Nothing here is stored. The latest word on an action holds: done, put off until a
    day (it comes back by itself), or declined with a reason.
    """
    words = _latest_words(book)
    place = _walking_order(book)
    items = [_item(action, words.get(action.key), on) for action in actions]
    return DueList(
        on=on, items=tuple(sorted(items, key=lambda item: _order(item, place)))
    )


def _latest_words(book: Book) -> dict[str, DueDone | DuePutOff | DueDeclined]:
    entries = [*book.of(DueDone), *book.of(DuePutOff), *book.of(DueDeclined)]
    words: dict[str, DueDone | DuePutOff | DueDeclined] = {}
    for entry in sorted(entries, key=lambda entry: entry.happened_at):
        if isinstance(entry.fact, DueDone | DuePutOff | DueDeclined):
            words[entry.fact.key] = entry.fact
    return words


def _item(
    action: Action, word: DueDone | DuePutOff | DueDeclined | None, on: date
) -> DueItem:
    first = action.window.first
    match word:
        case DueDone(note=note):
            return DueItem(action=action, state="done", shows_on=first, note=note)
        case DueDeclined(why=why):
            return DueItem(action=action, state="declined", shows_on=first, note=why)
        case DuePutOff(until=until, why=why) if until > on:
            return DueItem(action=action, state="put-off", shows_on=until, note=why)
        case DuePutOff(until=until, why=why):
            state = "today" if until == on else "overdue"
            return DueItem(action=action, state=state, shows_on=until, note=why)
    return DueItem(action=action, state=_by_day(action, on), shows_on=first)


def _by_day(action: Action, on: date) -> str:
    if action.window.last < on:
        return "overdue"
    if action.window.first <= on:
        return "today"
    within = timedelta(days=THIS_WEEK_DAYS)
    return "this-week" if action.window.first < on + within else "later"


def _walking_order(book: Book) -> dict[str, int]:
    """Where each pen, and each dog and litter in it, comes on the daily walk."""
    place: dict[str, int] = {}
    for number, pen in enumerate(round_order(book)):
        place[pen.pen] = number
        place.update(dict.fromkeys(pen.dogs_now, number))
    for litter, card in book.litters.items():
        if card.dam in place:
            place[litter] = place[card.dam]
    return place


def _order(item: DueItem, place: dict[str, int]) -> tuple[object, ...]:
    action = item.action
    return (
        STATES.index(item.state) >= len(OPEN_STATES),
        action.urgency != "now",
        not (action.urgency == "now" and action.what in PEOPLE_FIRST),
        STATES.index(item.state),
        place.get(action.subject, len(place)),
        action.subject,
        item.shows_on,
        action.key,
    )
