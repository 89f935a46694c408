"""One sentence for every kind of entry, as the book and a dog's page show it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from kennelward.desk.pages.shell import labels
from kennelward.desk.pages.shell.entry_words_breeding import SAY as SAY_BREEDING
from kennelward.desk.pages.shell.entry_words_breeding import join
from kennelward.desk.pages.shell.entry_words_health import SAY as SAY_HEALTH
from kennelward.desk.pages.shell.labels import label
from kennelward.kennel import Book, Entry
from kennelward.kennel import facts as f
from kennelward.kennel.facts import Fact

ICONS = {
    "arrived": "in",
    "left": "out",
    "moved": "move",
    "kept-apart": "apart",
    "apart-ended": "apart",
    "round-done": "round",
    "observed": "paw",
    "danger-checked": "danger",
    "vet-called": "phone",
    "weighed": "weigh",
    "vaccinated": "needle",
    "wormed": "worm",
    "course-written": "pill",
    "given-ticked": "check",
    "bathed": "bath",
    "cleaned": "broom",
    "mated": "link",
    "cycle-noted": "calendar",
    "whelped": "paw",
    "puppy-died": "cross",
    "pregnancy-lost": "cross",
    "progesterone-measured": "drop",
    "temperature-taken": "weigh",
    "puppies-counted": "scan",
    "pregnancy-aged": "scan",
    "whelping-noted": "clock",
    "puppy-born": "paw",
    "whelping-ended": "check",
    "leaflet-confirmed": "leaflet",
    "leaflet-figures": "leaflet",
    "harms-said": "shelf",
    "lot-received": "box",
    "lot-counted": "shelf",
    "test-started": "drop",
    "strip-seen": "bench",
    "strip-measured": "camera",
    "test-dropped": "cross",
    "other-result": "vet",
    "due-done": "check",
    "due-put-off": "clock",
    "due-declined": "cross",
    "struck": "strike",
    "pen-described": "pens",
    "dog-described": "dogs",
    "kennel-described": "home",
}


LATE_FROM = timedelta(hours=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryLine:
    """An entry as pages show it."""

    entry: Entry
    heading: str
    says: str
    icon: str
    is_struck: bool
    struck_why: str
    struck_by: str
    is_late: bool  # written down well after it happened


def entry_line(*, entry: Entry, book: Book, why: dict[str, Entry]) -> EntryLine:
    """The line of one entry; `why` is `strikes(book)`."""
    strike = why.get(entry.entry)
    reason = strike.fact.why if strike and isinstance(strike.fact, f.Struck) else ""
    is_struck = entry.entry in book.struck
    return EntryLine(
        entry=entry,
        heading=label(entry.fact.kind, labels.KINDS),
        says=entry_words(entry.fact, book),
        icon=ICONS.get(entry.fact.kind, "note"),
        is_struck=is_struck,
        struck_why=reason
        or (_("a corrected entry took its place") if is_struck else ""),
        struck_by=strike.recorded_by if strike else "",
        is_late=entry.recorded_at - entry.happened_at > LATE_FROM,
    )


def strikes(book: Book) -> dict[str, Entry]:
    """For each struck entry, the entry that struck it."""
    return {
        entry.fact.entry: entry
        for entry in book.entries
        if isinstance(entry.fact, f.Struck)
    }


def entry_words(fact: Fact, book: Book) -> str:
    """What an entry says. A kind without words of its own shows its fields."""
    say = SAY.get(type(fact))
    return say(fact, book) if say else str(fact)


def _kennel(fact: f.KennelDescribed, book: Book) -> str:
    return join(
        _("%(name)s described") % {"name": fact.name},
        _("vet %(name)s %(phone)s") % {"name": fact.vet_name, "phone": fact.vet_phone}
        if fact.vet_name or fact.vet_phone
        else "",
    )


def _pen(fact: f.PenDescribed, book: Book) -> str:
    said = _("%(pen)s: %(kind)s") % {
        "pen": fact.name,
        "kind": label(fact.pen_kind, labels.PEN_KINDS),
    }
    return said if fact.in_use else join(said, _("no longer in use"))


def _dog(fact: f.DogDescribed, book: Book) -> str:
    return join(
        _("%(name)s, %(sex)s, born %(day)s")
        % {
            "name": fact.name,
            "sex": label(fact.sex, labels.SEXES),
            "day": date_format(fact.born_on, "j M Y"),
        },
        fact.breed,
        label(fact.origin, labels.ORIGINS),
        _("chip %(chip)s") % {"chip": fact.chip} if fact.chip else "",
    )


def _arrived(fact: f.Arrived, book: Book) -> str:
    seen = [
        _("gums %(seen)s") % {"seen": fact.gums} if fact.gums else "",
        _("stool %(seen)s") % {"seen": fact.stool} if fact.stool else "",
        _("appetite %(seen)s") % {"seen": fact.appetite} if fact.appetite else "",
        f"{fact.temperature_c:.1f} °C" if fact.temperature_c is not None else "",
    ]
    return join(
        _("%(dog)s came into %(pen)s")
        % {"dog": book.name_of(fact.dog), "pen": book.name_of(fact.pen)},
        _("from %(place)s") % {"place": fact.came_from} if fact.came_from else "",
        ", ".join(part for part in seen if part),
        fact.note,
    )


def _left(fact: f.Left, book: Book) -> str:
    return join(
        f"{book.name_of(fact.dog)}: {label(fact.why, labels.LEFT)}",
        fact.went_to,
        fact.note,
    )


def _moved(fact: f.Moved, book: Book) -> str:
    return join(
        _("%(dog)s to %(pen)s")
        % {"dog": book.name_of(fact.dog), "pen": book.name_of(fact.pen)},
        fact.why,
    )


def _apart(fact: f.KeptApart, book: Book) -> str:
    return join(
        _("%(dog)s apart from all others") % {"dog": book.name_of(fact.dog)},
        _("%(infection)s suspect")
        % {"infection": label(fact.infection, labels.INFECTIONS)}
        if fact.infection
        else "",
        fact.why,
    )


def _apart_ended(fact: f.ApartEnded, book: Book) -> str:
    return join(
        _("%(dog)s, on the word of %(who)s")
        % {"dog": book.name_of(fact.dog), "who": fact.on_whose_word},
        fact.why,
    )


def _done(fact: f.DueDone, book: Book) -> str:
    return join(key_words(fact.key, book), fact.note)


def _put_off(fact: f.DuePutOff, book: Book) -> str:
    return join(
        key_words(fact.key, book),
        _("until %(day)s") % {"day": date_format(fact.until, "j M Y")},
        fact.why,
    )


def _declined(fact: f.DueDeclined, book: Book) -> str:
    return join(key_words(fact.key, book), fact.why)


def key_words(key: str, book: Book) -> str:
    """The subject of a due item and its rule, from the item's key."""
    rule, _bar, rest = key.partition("|")
    subject = rest.partition("|")[0]
    return f"{book.name_of(subject)}: {rule}"


def _noted(fact: f.Noted, book: Book) -> str:
    about = book.name_of(fact.about)
    return f"{about}: {fact.text}" if about != fact.about else fact.text


def _struck(fact: f.Struck, book: Book) -> str:
    entry = book.find(fact.entry)
    what = entry_words(entry.fact, book) if entry else fact.entry
    return _("“%(what)s”, because: %(why)s") % {"what": what, "why": fact.why}


SAY: dict[type[Fact], Callable[[Any, Book], str]] = {
    f.KennelDescribed: _kennel,
    f.PenDescribed: _pen,
    f.DogDescribed: _dog,
    f.Arrived: _arrived,
    f.Left: _left,
    f.Moved: _moved,
    f.KeptApart: _apart,
    f.ApartEnded: _apart_ended,
    f.DueDone: _done,
    f.DuePutOff: _put_off,
    f.DueDeclined: _declined,
    f.Noted: _noted,
    f.Struck: _struck,
    **SAY_HEALTH,
    **SAY_BREEDING,
}
