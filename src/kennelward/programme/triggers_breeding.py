"""What sets rules going, second half: matings, litters, losses, puppies, pens, the shelf."""

from collections.abc import Iterator
from datetime import timedelta

from kennelward.programme.anchor import Anchor
from kennelward.programme.attempts import (
    Attempt,
    attempts,
    counts_from,
    due_day,
    failed_in_a_row,
    is_confirmed,
    is_ruled_out,
    open_attempt,
    overdue_day,
    season_starts,
)
from kennelward.programme.cases import open_cases
from kennelward.programme.rules import Word
from kennelward.programme.view import View
from kennelward.programme.vocabulary import trigger


@trigger("attempt", shows=("due",), needs=("day",), day="attempt-day")
def attempt(view: View, word: Word) -> Iterator[Anchor]:
    """A bitch was mated and has neither whelped nor lost. The day is what is asked for."""
    for dam in view.here:
        found = open_attempt(view, dam)
        if found is None or is_ruled_out(view, found):
            continue
        anchor = _of_attempt(view, found, word.text("day"))
        if anchor is not None:
            yield anchor


def _of_attempt(view: View, found: Attempt, day: str) -> Anchor | None:
    days = {
        "countable": counts_from(view, found),
        "due": due_day(view, found),
        "overdue": overdue_day(view, found),
        "last-mating": found.last_mating,
        "lh": found.lh,
    }
    asked = days[day]
    if asked is None:
        return None
    return Anchor(
        subject=found.dam,
        entry=found.entry,
        day=asked,
        since=found.first_mating,
        shows={"due": due_day(view, found).isoformat()},
    )


@trigger("confirmed-but-empty")
def confirmed_but_empty(view: View, word: Word) -> Iterator[Anchor]:
    """A bitch was said to be pregnant and her time passed without a litter."""
    for dam in view.here:
        for found in attempts(view).get(dam, [])[-1:]:
            over = overdue_day(view, found)
            if found.ended is None and is_confirmed(view, found) and view.on >= over:
                yield Anchor(
                    subject=dam, entry=found.entry, day=over, since=found.first_mating
                )


@trigger("failed", shows=("count",), at_least="number")
def failed(view: View, word: Word) -> Iterator[Anchor]:
    """So many matings in a row without a litter."""
    for dam in view.here:
        found = failed_in_a_row(view, dam)
        if len(found) >= word.number("at_least", 2):
            latest = found[-1]
            yield Anchor(
                subject=dam,
                entry=latest.entry,
                day=overdue_day(view, latest),
                since=latest.first_mating,
                shows={"count": len(found)},
            )


@trigger("season")
def season(view: View, word: Word) -> Iterator[Anchor]:
    """A season started, or a mating shows that one did; the latest of each bitch."""
    for dam, (day, entry) in sorted(season_starts(view).items()):
        if dam in view.here:
            yield Anchor(subject=dam, entry=entry, day=day)


@trigger("whelped")
def whelped(view: View, word: Word) -> Iterator[Anchor]:
    """A litter was born to a bitch that is here."""
    for litter, card in sorted(view.book.litters.items()):
        day = view.day(card.whelped)
        if view.days_ago(day) <= 200 and card.dam in view.here:
            yield Anchor(
                subject=litter,
                kind="litter",
                dog=card.dam,
                entry=card.whelped.entry,
                day=day,
            )


@trigger("puppy")
def puppy(view: View, word: Word) -> Iterator[Anchor]:
    """A dog here is young; the day is its birth."""
    for dog, card in view.here.items():
        born = card.described.born_on
        if view.days_ago(born) <= 400:
            yield Anchor(subject=dog, entry=card.first_entry, day=born)


@trigger("case-pen", shows=("of",), needs=("infection",), infection="infection")
def case_pen(view: View, word: Word) -> Iterator[Anchor]:
    """A pen where a case was while it may have infected others."""
    infection = word.text("infection")
    back = timedelta(days=view.number(f"{infection}.contact_look_back_days"))
    used: dict[str, Anchor] = {}
    for dog, case in sorted(open_cases(view, infection).items()):
        for stay in view.book.dogs[dog].stays:
            until = view.book.day_of(stay.until) if stay.until is not None else None
            if stay.pen not in view.book.pens:
                continue
            if until is not None and until < case.first_day - back:
                continue
            day = max(case.first_day, until) if until is not None else case.first_day
            if stay.pen not in used or day > used[stay.pen].day:
                used[stay.pen] = Anchor(
                    subject=stay.pen,
                    kind="pen",
                    entry=case.entry,
                    dog=dog,
                    day=day,
                    shows={"of": view.book.name_of(dog)},
                )
    yield from (anchor for _, anchor in sorted(used.items()))


@trigger("every-day")
def every_day(view: View, word: Word) -> Iterator[Anchor]:
    """The kennel itself, today."""
    if view.kennel_id and view.here:
        yield Anchor(
            subject=view.kennel_id, kind="kennel", entry=view.kennel_entry, day=view.on
        )


@trigger("lot", shows=("kit", "left"))
def lot(view: View, word: Word) -> Iterator[Anchor]:
    """A lot with kits left; the day is its printed date."""
    for lot_id, card in sorted(view.book.lots.items()):
        if card.count_left > 0:
            yield Anchor(
                subject=lot_id,
                kind="lot",
                entry=card.received.entry,
                day=card.expires_on,
                shows={"kit": card.kit, "left": card.count_left},
            )


@trigger("shelf-empty", shows=("kit",))
def shelf_empty(view: View, word: Word) -> Iterator[Anchor]:
    """A kit that the kennel keeps has no usable one left."""
    kits: dict[str, list[int]] = {}
    entry: dict[str, str] = {}
    for _, card in sorted(view.book.lots.items()):
        usable = 0 if card.is_expired(view.on) else card.count_left
        kits.setdefault(card.kit, []).append(usable)
        entry[card.kit] = card.received.entry
    for kit, left in sorted(kits.items()):
        if not any(left):
            yield Anchor(
                subject=view.kennel_id,
                kind="kennel",
                entry=entry[kit],
                day=view.on,
                shows={"kit": kit},
            )


@trigger("leaflet-unread", shows=("kit",))
def leaflet_unread(view: View, word: Word) -> Iterator[Anchor]:
    """Kits are on the shelf whose leaflet nobody confirmed; one a kit."""
    asked: set[str] = set()
    for lot_id, card in sorted(view.book.lots.items()):
        known = card.kit in view.book.leaflets or card.kit in asked
        if not known and card.count_left > 0:
            asked.add(card.kit)
            yield Anchor(
                subject=lot_id,
                kind="lot",
                entry=card.received.entry,
                day=view.day(card.received),
                shows={"kit": card.kit},
            )
