"""Rules and the book in, actions out."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from functools import lru_cache
from typing import Any

from kennelward.kennel import Book
from kennelward.programme import (
    conditions,
    ends,
    triggers,
    triggers_breeding,
    triggers_losses,
    triggers_young,
)
from kennelward.programme.action import Action
from kennelward.programme.anchor import Anchor
from kennelward.programme.false_alarms import alarm_words
from kennelward.programme.rules import ProgrammeRules, Rule, Word
from kennelward.programme.view import View
from kennelward.programme.vocabulary import CONDITIONS, ENDS, TRIGGERS
from kennelward.terms import DateWindow, Phrase

WORDS_IN = (  # these fill the vocabulary
    conditions,
    ends,
    triggers,
    triggers_breeding,
    triggers_losses,
    triggers_young,
)
NO_INTERPRETATIONS: Mapping[tuple[str, str], Any] = {}
AHEAD_DAYS = 120  # an action that starts later than this is not shown yet


def decide(
    *,
    book: Book,
    rules: ProgrammeRules,
    on: date,
    interpretations: Mapping[tuple[str, str], Any] = NO_INTERPRETATIONS,
) -> tuple[Action, ...]:
    """All actions that the rules ask for on a day, in the order of the rules.

    Signs alone are enough: `interpretations`, by (dog, infection), are taken so that
    callers need not care, and by design no chance raises or lifts what a rule asks
    for. An action is gone once what it asks for stands in the book, and lapses some
    time after its last day. One subject has one action a rule and occurrence; the
    latest occasion holds.
    """
    view = View(book=book, rules=rules, on=on)
    found: dict[tuple[str, str, int], tuple[date, Action]] = {}
    for rule in rules_on(rules, on):
        for anchor, action in _of_rule(view, rule):
            key = (rule.id, action.subject, action.occurrence)
            if key not in found or anchor.day > found[key][0]:
                found[key] = (anchor.day, action)
    return tuple(action for _, action in found.values())


def rules_on(rules: ProgrammeRules, on: date) -> tuple[Rule, ...]:
    """The rules in force on a day, numbers filled in; kept for the next time."""
    return _rules_on(_Same(rules), on)


class _Same:
    """A set of rules, compared by being the same object."""

    def __init__(self, rules: ProgrammeRules) -> None:
        self.rules = rules

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.rules is self.rules

    def __hash__(self) -> int:
        return id(self.rules)


@lru_cache(maxsize=16)
def _rules_on(same: _Same, on: date) -> tuple[Rule, ...]:
    return same.rules.in_force(on)


def _of_rule(view: View, rule: Rule) -> Iterator[tuple[Anchor, Action]]:
    for anchor in _anchors(view, rule.trigger):
        if not all(_holds(view, word, anchor) for word in rule.conditions):
            continue
        about = _about(view, rule, anchor)
        if about is None:
            continue
        for occurrence, window in _windows(view, rule, about):
            if not any(_is_done(view, word, about, window) for word in rule.ends):
                yield about, _action(view, rule, about, window, occurrence)


def _anchors(view: View, word: Word) -> tuple[Anchor, ...]:
    key = ("anchors", word.name, tuple(sorted(word.tells.items(), key=str)))

    def find() -> tuple[Anchor, ...]:
        found: Iterable[Anchor] = TRIGGERS[word.name].run(view, word)  # type: ignore[assignment]
        return tuple(found)

    return view.keep(key, find)


def _holds(view: View, word: Word, anchor: Anchor) -> bool:
    return bool(CONDITIONS[word.name].run(view, word, anchor))


def _is_done(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    return bool(ENDS[word.name].run(view, word, anchor, window))


def _about(view: View, rule: Rule, anchor: Anchor) -> Anchor | None:
    """The anchor with the subject that the rule is about.

    "unit" is the litter with its dam while puppies are unweaned, else the dog itself.
    """
    dog = anchor.about_dog
    match rule.about:
        case "unit" if dog in view.unit_of:
            litter = view.unit_of[dog]
            return replace(anchor, subject=litter, kind="litter", dog=dog)
        case "dog" if anchor.kind == "litter":
            return replace(anchor, subject=dog, kind="dog") if dog else None
        case "pen" if anchor.kind != "pen":
            pen = view.book.dogs[dog].pen if dog in view.here else ""
            return replace(anchor, subject=pen, kind="pen", dog=dog) if pen else None
        case "kennel" if anchor.kind != "kennel":
            return replace(anchor, subject=view.kennel_id, kind="kennel", dog=dog)
    return anchor


def _windows(
    view: View, rule: Rule, anchor: Anchor
) -> Iterator[tuple[int, DateWindow]]:
    """Windows of a rule that are neither lapsed nor too far ahead, numbered from 1."""
    first = anchor.day + timedelta(days=_int(rule.first_day))
    length = _int(rule.last_day) - _int(rule.first_day)
    every, lapses = _int(rule.every_days), _int(rule.lapses_days)
    if every == 0:
        last = first + timedelta(days=length)
        if rule.until_anchor and anchor.until is not None:
            last = max(first, anchor.until)
        if rule.stands:
            last = max(last, view.on)
        if view.days_ago(last) <= lapses and (first - view.on).days <= AHEAD_DAYS:
            yield 1, DateWindow(first, last)
        return
    passed = view.days_ago(first) - max(length, 0) - lapses
    start = max(0, -(-passed // every))  # the first that has not lapsed
    for number in range(start, _int(rule.times)):
        opens = first + timedelta(days=number * every)
        if rule.until_anchor and anchor.until is not None and opens > anchor.until:
            return
        if (opens - view.on).days > AHEAD_DAYS:
            return
        yield number + 1, DateWindow(opens, opens + timedelta(days=length))
        if opens > view.on:
            return  # only the next one ahead


def _int(amount: object) -> int:
    if not isinstance(amount, int):
        raise TypeError(f"not filled in yet: {amount!r}")
    return amount


def _action(
    view: View, rule: Rule, anchor: Anchor, window: DateWindow, occurrence: int
) -> Action:
    values: dict[str, str | int | float] = {
        "name": view.name(anchor.kind, anchor.subject),
        "dog": view.book.name_of(anchor.about_dog) if anchor.about_dog else "",
        "first": window.first.isoformat(),
        "last": window.last.isoformat(),
        "since": anchor.day.isoformat(),
        "until": (anchor.until or window.last).isoformat(),
        **{name: _int(told) for name, told in rule.shows.items()},
        **anchor.shows,
    }
    if rule.figures:
        values.update(alarm_words(view, rule.figures))
    return Action(
        rule=rule.ref,
        subject=anchor.subject,
        subject_kind=anchor.kind,
        what=rule.do,
        says=_phrase(rule.says, values),
        because=_phrase(rule.because, values),
        window=window,
        urgency=rule.urgency,
        cautions=rule.cautions,
        kit=rule.kit,
        anchor=anchor.entry,
        occurrence=occurrence,
    )


def _phrase(template: str, values: Mapping[str, str | int | float]) -> Phrase:
    """A phrase with only the values that its template has places for."""
    return Phrase(
        template,
        {name: told for name, told in values.items() if f"{{{name}}}" in template},
    )
