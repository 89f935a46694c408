"""A dog in one line: its name, its pen, its state and what is going on, in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from kennelward.desk.pages.shell.labels import INFECTIONS, SIGNS, label
from kennelward.kennel import Book, DogCard
from kennelward.kennel.facts import RoundDone

DAYS_A_WEEK = 7
WEEKS_SHOWN_UNTIL_MONTHS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class DogLine:
    """One dog as lists show it."""

    dog: str
    name: str
    pen: str  # name, or empty
    pen_id: str
    state: str  # a mark of `marks.MARKS`
    going_on: str
    age: str
    litter: str  # name, or empty
    litter_id: str
    words: str  # what a search looks through
    is_here: bool


def dog_line(*, card: DogCard, book: Book, on: date) -> DogLine:
    """The line of one dog on a day."""
    state, going_on = dog_state(card=card, book=book, on=on)
    pen = book.name_of(card.pen) if card.pen else ""
    litter = book.name_of(card.described.litter) if card.described.litter else ""
    age = age_words(card=card, on=on)
    return DogLine(
        dog=card.dog,
        name=card.name,
        pen=pen,
        pen_id=card.pen,
        state=state,
        going_on=going_on,
        age=age,
        litter=litter,
        litter_id=card.described.litter,
        words=f"{card.name} {pen} {litter} {card.described.chip} {card.described.breed}",
        is_here=card.is_here,
    )


def dog_lines(*, cards: Iterable[DogCard], book: Book, on: date) -> list[DogLine]:
    """The lines of several dogs, by name."""
    lines = [dog_line(card=card, book=book, on=on) for card in cards]
    return sorted(lines, key=lambda line: (line.name.casefold(), line.dog))


def dog_state(*, card: DogCard, book: Book, on: date) -> tuple[str, str]:
    """The mark of a dog and the words for it; what is most pressing comes first.

    A result never makes this state milder: it is read from what was decided and seen.
    """
    said: list[str] = []
    marks: list[str] = []
    if not card.is_here:
        return "empty", _("not here")
    if card.apart is not None:
        said.append(apart_words(card))
        marks.append("suspect" if card.apart.infection else "apart")
    if card.signs:
        marks.append("watch")
        said.append(signs_words(card=card, on=on))
    if any(test.state == "running" for test in book.tests_of(card.dog)):
        marks.append("waiting")
        said.append(_("test running"))
    kind = book.pens[card.pen].described.pen_kind if card.pen in book.pens else ""
    if kind in ("isolation", "quarantine"):
        marks.append("apart" if kind == "isolation" else "quarantine")
        said.append(_("in isolation") if kind == "isolation" else _("in quarantine"))
    if card.is_visiting:
        marks.append("visiting")
        said.append(_("visiting"))
    if marks:
        return marks[0], "; ".join(said)
    return looked_at(card=card, book=book, on=on)


def looked_at(*, card: DogCard, book: Book, on: date) -> tuple[str, str]:
    """The mark of a dog with nothing to note: when somebody last looked.

    Well is said only of a dog that was looked at today or yesterday.
    """
    days = [day for day in (card.last_observed_on, last_round(card, book)) if day]
    if not days:
        return "unknown", _("nobody has looked yet")
    ago = (on - max(days)).days
    if ago <= 0:
        return "well", _("well today")
    if ago == 1:
        return "well", _("well yesterday")
    said = ngettext(
        "last looked at %(n)s day ago", "last looked at %(n)s days ago", ago
    )
    return "unknown", said % {"n": ago}


def last_round(card: DogCard, book: Book) -> date | None:
    """The latest day on which a round went through the dog's pen while it was there."""
    since = card.stays[-1].since if card.stays else None
    for entry in reversed(book.of(RoundDone)):
        if since is None or entry.happened_at < since:
            return None
        if isinstance(entry.fact, RoundDone) and card.pen in entry.fact.pens:
            return book.happened_on(entry)
    return None


def apart_words(card: DogCard) -> str:
    """Why a dog is kept apart, and of which suspicion."""
    if card.apart is None:
        return ""
    if card.apart.infection:
        return _("kept apart, %(infection)s suspect") % {
            "infection": label(card.apart.infection, INFECTIONS)
        }
    return _("kept apart")


def signs_words(*, card: DogCard, on: date) -> str:
    """The signs last seen, and for how long."""
    signs = ", ".join(label(sign, SIGNS) for sign in card.signs)
    days = (on - card.signs_since).days if card.signs_since else 0
    if days < 1:
        return signs
    return ngettext("%(signs)s for %(n)s day", "%(signs)s for %(n)s days", days) % {
        "signs": signs,
        "n": days,
    }


def age_words(*, card: DogCard, on: date) -> str:
    """Age as a breeder says it: days, weeks, months, then years."""
    days = card.age_days(on)
    months = int(card.age_months(on))
    if days < 3 * DAYS_A_WEEK:
        said = ngettext("%(n)s day", "%(n)s days", days) % {"n": days}
    elif months < WEEKS_SHOWN_UNTIL_MONTHS:
        weeks = days // DAYS_A_WEEK
        said = ngettext("%(n)s week", "%(n)s weeks", weeks) % {"n": weeks}
    elif months < 2 * 12:
        said = ngettext("%(n)s month", "%(n)s months", months) % {"n": months}
    else:
        years = months // 12
        said = ngettext("%(n)s year", "%(n)s years", years) % {"n": years}
    return (
        _("about %(age)s") % {"age": said} if card.described.born_on_is_guess else said
    )
