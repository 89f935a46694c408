"""Sentences for entries about seasons, matings, births and losses."""

from collections.abc import Callable
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from kennelward.desk.pages.shell import labels
from kennelward.desk.pages.shell.labels import label
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.kennel.facts import Fact


def join(*parts: str) -> str:
    """Sentence parts, the empty ones left out."""
    return "; ".join(
        part.strip().rstrip(".") for part in parts if part and part.strip()
    )


def _mated(fact: f.Mated, book: Book) -> str:
    sire = book.name_of(fact.sire) if fact.sire else fact.sire_outside
    return join(
        _("%(dam)s with %(sire)s")
        % {"dam": book.name_of(fact.dam), "sire": sire or _("sire not named")},
        label(fact.method, labels.MATING_METHODS),
        _("away from the kennel") if fact.took_place_away else "",
        _("some day from %(first)s on") % {"first": fact.first_possible_on}
        if fact.first_possible_on is not None
        else "",
    )


def _cycle(fact: f.CycleNoted, book: Book) -> str:
    said = f"{book.name_of(fact.dam)}: {label(fact.what, labels.CYCLE)}"
    return join(said, label(fact.method, labels.CYCLE_METHODS) if fact.method else "")


def _whelped(fact: f.Whelped, book: Book) -> str:
    alive = ngettext(
        "%(n)s puppy born alive", "%(n)s puppies born alive", fact.born_alive
    ) % {"n": fact.born_alive}
    dead = ngettext("%(n)s stillborn", "%(n)s stillborn", fact.stillborn) % {
        "n": fact.stillborn
    }
    return join(
        _("%(litter)s from %(dam)s")
        % {"litter": fact.name, "dam": book.name_of(fact.dam)},
        alive,
        dead if fact.stillborn else "",
    )


def _puppy_died(fact: f.PuppyDied, book: Book) -> str:
    who = book.name_of(fact.dog) if fact.dog else _("a puppy")
    return join(
        _("%(who)s of %(litter)s") % {"who": who, "litter": book.name_of(fact.litter)},
        fact.note,
    )


def _lost(fact: f.PregnancyLost, book: Book) -> str:
    return join(book.name_of(fact.dam), fact.note)


def _progesterone(fact: f.ProgesteroneMeasured, book: Book) -> str:
    value = f"{book.name_of(fact.dam)}: {fact.value:g} {fact.unit}"
    return join(value, fact.assay)


def _temperature(fact: f.TemperatureTaken, book: Book) -> str:
    return f"{book.name_of(fact.dog)}: {fact.celsius:.1f} °C"


def _counted(fact: f.PuppiesCounted, book: Book) -> str:
    puppies = ngettext("%(n)s puppy", "%(n)s puppies", fact.count) % {"n": fact.count}
    return (
        f"{book.name_of(fact.dam)}: {puppies}, {label(fact.method, labels.COUNTED_BY)}"
    )


def _aged(fact: f.PregnancyAged, book: Book) -> str:
    days = ngettext(
        "%(n)s day from ovulation",
        "%(n)s days from ovulation",
        fact.days_from_ovulation,
    ) % {"n": fact.days_from_ovulation}
    return f"{book.name_of(fact.dam)}: {days}"


def _at_the_box(fact: f.WhelpingNoted, book: Book) -> str:
    seen = label(fact.sign, labels.WHELPING_SIGNS)
    return join(f"{book.name_of(fact.dam)}: {seen}", fact.note)


def _born(fact: f.PuppyBorn, book: Book) -> str:
    known = [
        label(fact.born, labels.BORN_AS),
        label(fact.sex, labels.SEXES) if fact.sex else "",
        fact.marking,
        f"{fact.weight_g:.0f} g" if fact.weight_g is not None else "",
        _("same sac as the one before") if fact.shares_sac else "",
    ]
    said = ", ".join(part for part in known if part)
    return join(f"{book.name_of(fact.dam)}: {said}", fact.note)


def _ended(fact: f.WhelpingEnded, book: Book) -> str:
    litter = book.name_of(fact.litter) if fact.litter else ""
    return join(book.name_of(fact.dam), litter, fact.note)


SAY: dict[type[Fact], Callable[[Any, Book], str]] = {
    f.Mated: _mated,
    f.CycleNoted: _cycle,
    f.Whelped: _whelped,
    f.PuppyDied: _puppy_died,
    f.PregnancyLost: _lost,
    f.ProgesteroneMeasured: _progesterone,
    f.TemperatureTaken: _temperature,
    f.PuppiesCounted: _counted,
    f.PregnancyAged: _aged,
    f.WhelpingNoted: _at_the_box,
    f.PuppyBorn: _born,
    f.WhelpingEnded: _ended,
}
