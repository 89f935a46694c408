"""Everything the result page shows: both calls, the worth, what to do, what is next."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.utils.translation import gettext as _

from kennelward.desk.pages.bench.not_meant import not_meant
from kennelward.desk.pages.bench.phase import READ, reading_time
from kennelward.desk.pages.bench.photo_looks import photo_readings, photos_differ
from kennelward.desk.pages.bench.sight import (
    BY_CODE,
    SIGHTS,
    Sight,
    sight_words,
)
from kennelward.desk.pages.due.lines import due_lines
from kennelward.desk.pages.shell.dog_lines import signs_words
from kennelward.desk.pages.shell.forms import EntryForm
from kennelward.desk.pages.shell.here import Here, id_beside, new_id
from kennelward.desk.pages.worth.panel import panel
from kennelward.evidence import NaturalFrequency
from kennelward.kennel import Contact, TestCard
from kennelward.kennel import facts as f
from kennelward.programme import DueItem
from kennelward.rounds import (
    TestOutcome,
    disagreement,
    set_aside,
    suspects,
    test_outcome,
)
from kennelward.terms import Call, Phrase

NEXT_SHOWN = 6
NEXT_DAYS = 28  # what is further off is left to the due list: it may never come
CELL = 10  # of the picture, in its own units
COLUMNS = {100: 10, 1_000: 40, 10_000: 100}


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A rectangle of the picture: whole rows, or a part of one."""

    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Crowd:
    """Dogs like this one, as a picture: filled, perhaps, and the rest."""

    frequency: NaturalFrequency
    width: int
    height: int
    before: tuple[Strip, ...]  # before the test
    filled: tuple[Strip, ...]
    perhaps: tuple[Strip, ...]


def crowd(frequency: NaturalFrequency) -> Crowd:
    """The picture of `of` dogs, `after` of them filled, up to `high` of them perhaps."""
    columns = COLUMNS[frequency.of]
    return Crowd(
        frequency=frequency,
        width=columns * CELL,
        height=frequency.of // columns * CELL,
        before=strips(0, frequency.before, columns=columns),
        filled=strips(0, frequency.after, columns=columns),
        perhaps=strips(frequency.after, max(frequency.after, frequency.high),
                       columns=columns),
    )  # fmt: skip


def strips(first: int, last: int, *, columns: int) -> tuple[Strip, ...]:
    """Rectangles that cover dogs `first` to `last` (not included), row by row."""
    found = []
    at = first
    while at < last:
        row, column = divmod(at, columns)
        whole_rows = (last - at) // columns if column == 0 else 0
        if whole_rows:
            take, wide, high = whole_rows * columns, columns, whole_rows
        else:
            take = wide = min(columns - column, last - at)
            high = 1
        found.append(
            Strip(x=column * CELL, y=row * CELL, width=wide * CELL, height=high * CELL)
        )
        at += take
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """A dog that was exposed, and how."""

    dog: str
    name: str
    how: str
    contact: Contact


def exposed(place: Here, contacts: tuple[Contact, ...]) -> list[Met]:
    """Each dog once, by its closest way."""
    words = {
        "same litter": _("same litter"),
        "mating": _("mating"),
        "same pen": _("same pen"),
        "pen used after": _("came into the pen after"),
    }
    found: dict[str, Met] = {}
    for contact in contacts:
        found.setdefault(
            contact.dog,
            Met(
                dog=contact.dog,
                name=place.book.name_of(contact.dog),
                how=words.get(contact.how.value, contact.how.value),
                contact=contact,
            ),
        )
    return list(found.values())


def result_context(place: Here, card: TestCard) -> dict[str, Any]:
    """Values for the result page."""
    outcome = test_outcome(
        book=place.book, handbook=place.handbook, test=card.test, on=place.on
    )
    time = reading_time(card, book=place.book)
    first = new_id()
    lines = due_lines(items_now(place, outcome), place=place, first=first)
    later = [
        item
        for item in place.plan.due.about(card.dog)
        if item.state in ("later", "put-off")
        and item.shows_on <= place.on + timedelta(days=NEXT_DAYS)
    ]
    later.sort(key=lambda item: item.shows_on)
    worth = outcome.worth.worth if outcome.worth is not None else None
    call = card.call
    return {
        "outcome": outcome,
        "worth": worth,
        "crowd": crowd(worth.frequency) if worth is not None else None,
        "panel": panel(place, outcome.worth) if outcome.worth is not None else None,
        "notes": result_notes(outcome),
        "call": call,
        "person": sight_words(card.person_call, is_faint=person_is_faint(card))
        if card.person_call is not None
        else "",
        "sight": drawing_of(
            call, is_faint=card.is_faint, t_only=was_t_only(place, card)
        ),
        "t_only": was_t_only(place, card),
        "is_suspect": is_suspect(card),
        "infection": place.handbook.kits[card.kit].infection,
        "may_trace": is_suspect(card),
        "aside": aside_of(place, card),
        "vet_first": vet_first(place, card),
        "photos": photo_readings(card),
        "together": together_words(card),
        "photos_differ": photos_differ(card),
        "exposed": exposed(place, outcome.exposed),
        "not_meant": not_meant(card, handbook=place.handbook, worth=worth),
        "lines": lines,
        "next": due_lines(
            later[:NEXT_SHOWN], place=place, first=id_beside(first, steps=len(lines))
        ),
        "may_photo": time is not None and time.phase(place.at) == READ,
        "sights": SIGHTS,
        "form": EntryForm(),
        "repeat_now": bool(card.void_reasons) or call is Call.TRACE or card.disagree,
        "here_again": place.request.get_full_path(),
    }


def result_notes(outcome: TestOutcome) -> list[Phrase]:
    """What to mind about results that count, once each; the story has the rest."""
    if outcome.worth is None:
        return []
    differ = disagreement(outcome.worth)
    flags = [differ] if differ is not None else []
    flags += [flag for seen in outcome.worth.seen if seen.counts for flag in seen.flags]
    return list(dict.fromkeys(flags))


def items_now(place: Here, outcome: TestOutcome) -> list[DueItem]:
    """Due items of the actions this result is about; other chores stay on Due."""
    wanted = {action.key for action in outcome.actions}
    return [item for item in place.plan.due.items if item.action.key in wanted]


def aside_of(place: Here, card: TestCard) -> Phrase | None:
    """Why a strip that counted in its time says nothing of today."""
    found = set_aside(
        book=place.book,
        handbook=place.handbook,
        dog=card.dog,
        infection=place.handbook.kits[card.kit].infection,
        on=place.on,
    )
    entry = card.started.entry
    return next((one.why for one in found if one.result.entry == entry), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class VetFirst:
    """A dog whose vet comes before anything else on the page."""

    signs: str
    called: datetime | None  # since the signs began


def vet_first(place: Here, card: TestCard) -> VetFirst | None:
    """Of an ill dog under suspicion, by a line or by its signs: was the vet called?"""
    dog = place.book.dogs[card.dog]
    if not dog.signs or not (is_suspect(card) or _is_suspect_by_signs(place, card)):
        return None
    began = place.book.find(dog.signs_entry)
    calls = [
        entry.happened_at
        for entry in place.book.about(card.dog)
        if isinstance(entry.fact, f.VetCalled)
        and (began is None or entry.happened_at >= began.happened_at)
    ]
    return VetFirst(
        signs=signs_words(card=dog, on=place.on), called=max(calls, default=None)
    )


def _is_suspect_by_signs(place: Here, card: TestCard) -> bool:
    """True where the rules suspect the dog, whatever this strip says or fails to say."""
    infection = place.handbook.kits[card.kit].infection
    return infection in place.handbook.infections and card.dog in {
        one.dog
        for one in suspects(
            book=place.book, handbook=place.handbook, infection=infection, on=place.on
        )
    }


def person_is_faint(card: TestCard) -> bool:
    """True where the person saw a faint line."""
    return (
        card.seen is not None
        and isinstance(card.seen.fact, f.StripSeen)
        and card.seen.fact.is_faint
    )


def together_words(card: TestCard) -> str:
    """What the reader makes of all photos of the strip; empty where it made nothing."""
    whole = card.together
    if whole is None:
        return ""
    return sight_words(Call(whole.together_call), is_faint=whole.together_is_faint)


def is_suspect(card: TestCard) -> bool:
    """True where a line was seen at T by anyone, whether or not the strip counts."""
    calls = {card.person_call, card.reader_call, card.call}
    return card.kit != "relaxin" and bool(calls & {Call.POSITIVE, Call.TRACE})


def was_t_only(place: Here, card: TestCard) -> bool:
    """True where the person saw a line at T and none at C."""
    if card.seen is None or card.person_call is not Call.INVALID:
        return False
    beside = place.book.find(id_beside(card.seen.entry, steps=1))
    return beside is not None and isinstance(beside.fact, f.Noted)


def drawing_of(call: Call, *, is_faint: bool, t_only: bool) -> Sight:
    """The drawing that goes with a call."""
    match call:
        case Call.POSITIVE:
            return BY_CODE["faint" if is_faint else "two"]
        case Call.TRACE:
            return BY_CODE["faint"]
        case Call.NEGATIVE:
            return BY_CODE["one"]
        case Call.INVALID:
            return BY_CODE["t-only" if t_only else "none"]
    return BY_CODE["unsure"]
