"""Sentences for entries about health, kits and results."""

from collections.abc import Callable, Mapping
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from kennelward.desk.pages.shell import labels
from kennelward.desk.pages.shell.labels import label
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.kennel.facts import Fact

GRAMS_A_KILOGRAM = 1000


def _with(said: str, note: str) -> str:
    return f"{said}; {note.strip()}" if note.strip() else said


def _listed(codes: tuple[str, ...], words: Mapping[str, object]) -> str:
    return ", ".join(label(code, words) for code in codes)


def _round(fact: f.RoundDone, book: Book) -> str:
    pens = ngettext("%(n)s pen walked", "%(n)s pens walked", len(fact.pens)) % {
        "n": len(fact.pens)
    }
    return _with(
        _("%(pens)s, every dog not named was well") % {"pens": pens}, fact.note
    )


def _observed(fact: f.Observed, book: Book) -> str:
    seen = _listed(fact.signs, labels.SIGNS) or _("well again")
    return _with(f"{book.name_of(fact.dog)}: {seen}", fact.note)


def _danger(fact: f.DangerChecked, book: Book) -> str:
    seen = _listed(fact.dangers, labels.DANGERS)
    words = (
        _("%(seen)s: the vet comes first") % {"seen": seen}
        if seen
        else _("none of the five dangers")
    )
    return f"{book.name_of(fact.dog)}: {words}"


def _vet(fact: f.VetCalled, book: Book) -> str:
    return _with(book.name_of(fact.dog), fact.note)


def _weighed(fact: f.Weighed, book: Book) -> str:
    if fact.weight_g < GRAMS_A_KILOGRAM:
        weight = f"{fact.weight_g:.0f} g"
    else:
        weight = f"{fact.weight_g / GRAMS_A_KILOGRAM:.2f} kg"
    return f"{book.name_of(fact.dog)}: {weight}"


def _vaccinated(fact: f.Vaccinated, book: Book) -> str:
    live = _("live vaccine") if fact.is_live else _("killed vaccine")
    against = _listed(fact.against, labels.VACCINES)
    return _with(f"{book.name_of(fact.dog)}: {against} ({live})", fact.note)


def _wormed(fact: f.Wormed, book: Book) -> str:
    return _with(book.name_of(fact.dog), fact.note)


def _course(fact: f.CourseWritten, book: Book) -> str:
    return _(
        "%(dog)s, written by %(who)s, %(first)s to %(last)s, %(times)s a day: “%(text)s”"
    ) % {
        "dog": book.name_of(fact.dog),
        "who": fact.prescribed_by,
        "first": date_format(fact.starts_on, "j M"),
        "last": date_format(fact.ends_on, "j M Y"),
        "times": fact.times_a_day,
        "text": fact.text,
    }


def _given(fact: f.GivenTicked, book: Book) -> str:
    card = book.courses.get(fact.course)
    return _("%(dog)s, giving %(nth)s of %(day)s") % {
        "dog": book.name_of(card.dog) if card else "",
        "nth": fact.nth,
        "day": date_format(fact.day, "j M Y"),
    }


def _bathed(fact: f.Bathed, book: Book) -> str:
    return _with(book.name_of(fact.dog), fact.note)


def _cleaned(fact: f.Cleaned, book: Book) -> str:
    said = book.name_of(fact.pen)
    if fact.product:
        said = f"{said}: {label(fact.product)}"
    if fact.contact_minutes:
        said = _("%(said)s, wet for %(n)s minutes") % {
            "said": said,
            "n": f"{fact.contact_minutes:g}",
        }
    return _with(said, fact.note)


def _leaflet(fact: f.LeafletConfirmed, book: Book) -> str:
    return _(
        "%(kit)s: %(drops)s drops, read from %(first)s to %(last)s minutes, "
        "kept at %(low)s to %(high)s °C, %(samples)s"
    ) % {
        "kit": label(fact.kit, labels.KITS),
        "drops": fact.drops,
        "first": f"{fact.read_from_minutes:g}",
        "last": f"{fact.read_until_minutes:g}",
        "low": f"{fact.storage_low_c:g}",
        "high": f"{fact.storage_high_c:g}",
        "samples": _listed(fact.samples, labels.SAMPLES),
    }


def _figures(fact: f.LeafletFigures, book: Book) -> str:
    return _with(
        _(
            "%(kit)s, %(situation)s: positive in %(found)s of %(infected)s that had it, "
            "negative in %(negative)s of %(clean)s that had it not"
        )
        % {
            "kit": label(fact.kit, labels.KITS),
            "situation": _(fact.situation),
            "found": fact.infected_found,
            "infected": fact.infected_tested,
            "negative": fact.clean_negative,
            "clean": fact.clean_tested,
        },
        fact.compared_with,
    )


def _harms(fact: f.HarmsSaid, book: Book) -> str:
    return _(
        "%(infection)s: missed although it has it %(missed)s, kept apart although it "
        "has it not %(apart)s, taken to the vet although it has it not %(act)s"
    ) % {
        "infection": label(fact.infection, labels.INFECTIONS),
        "missed": _money(fact.missed_infected_cents),
        "apart": _money(fact.apart_clean_cents),
        "act": _money(fact.act_clean_cents),
    }


def _money(cents: int) -> str:
    return f"{cents / 100:.2f}"


def _lot(fact: f.LotReceived, book: Book) -> str:
    return _("%(n)s of %(kit)s, lot %(lot)s, use by %(day)s") % {
        "n": fact.count,
        "kit": label(fact.kit, labels.KITS),
        "lot": fact.lot_code,
        "day": date_format(fact.expires_on, "j M Y"),
    }


def _counted(fact: f.LotCounted, book: Book) -> str:
    return _with(
        _("lot %(lot)s: %(n)s left") % {"lot": book.name_of(fact.lot), "n": fact.count},
        fact.why,
    )


def _dog_and_kit(test: str, book: Book) -> str:
    card = book.tests.get(test)
    if card is None:
        return test
    return f"{book.name_of(card.dog)}, {label(card.kit, labels.KITS)}"


def _started(fact: f.TestStarted, book: Book) -> str:
    return f"{book.name_of(fact.dog)}, {label(fact.kit, labels.KITS)}, {label(fact.sample)}"


def _call(fact: f.StripSeen | f.StripMeasured, book: Book) -> str:
    call = label(fact.call, labels.CALLS)
    if fact.is_faint:
        call = _("%(call)s, a faint line") % {"call": call}
    said = f"{_dog_and_kit(fact.test, book)}: {call}"
    if fact.minutes:
        said = _("%(said)s, %(n)s minutes after the drops") % {
            "said": said,
            "n": f"{fact.minutes:.0f}",
        }
    return said


def _dropped(fact: f.TestDropped, book: Book) -> str:
    return _with(_dog_and_kit(fact.test, book), fact.why)


def _other(fact: f.OtherResult, book: Book) -> str:
    said = (
        f"{book.name_of(fact.dog)}, {label(fact.infection, labels.INFECTIONS)}, "
        f"{label(fact.method, labels.METHODS)}: {label(fact.call, labels.CALLS)}"
    )
    return _with(said, fact.laboratory)


def _pool(fact: f.PoolTested, book: Book) -> str:
    names = ", ".join(book.name_of(dog) for dog in fact.dogs)
    said = (
        f"{names}: {label(fact.infection, labels.INFECTIONS)}, "
        f"{label(fact.method, labels.METHODS)}: {label(fact.call, labels.CALLS)}"
    )
    return _with(said, fact.laboratory)


SAY: dict[type[Fact], Callable[[Any, Book], str]] = {
    f.RoundDone: _round,
    f.Observed: _observed,
    f.DangerChecked: _danger,
    f.VetCalled: _vet,
    f.Weighed: _weighed,
    f.Vaccinated: _vaccinated,
    f.Wormed: _wormed,
    f.CourseWritten: _course,
    f.GivenTicked: _given,
    f.Bathed: _bathed,
    f.Cleaned: _cleaned,
    f.LeafletConfirmed: _leaflet,
    f.LeafletFigures: _figures,
    f.HarmsSaid: _harms,
    f.LotReceived: _lot,
    f.LotCounted: _counted,
    f.TestStarted: _started,
    f.StripSeen: _call,
    f.StripMeasured: _call,
    f.TestDropped: _dropped,
    f.OtherResult: _other,
    f.PoolTested: _pool,
}
