"""The entries of a whelping night: as a phone keeps them, and as facts of the book."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from django.utils.translation import gettext as _

from kennelward import desk
from kennelward.desk.access import MAY_STRIKE_ALL
from kennelward.desk.pages.shell.here import Here
from kennelward.kennel import Entry
from kennelward.kennel import facts as f
from kennelward.terms import BadInput

AHEAD = timedelta(minutes=2)
MOST_SKEW = timedelta(days=2)  # a phone clock further off than this is refused
SKEW_MATTERS = timedelta(seconds=30)
NIGHT_REACH = timedelta(days=2)  # what is older belongs to no night under way
RECEIPT_REACH = NIGHT_REACH + timedelta(hours=1)
WRITTEN_LATE = timedelta(minutes=5)
STRIKE = "strike"
PUPPY = "puppy"
LEAST_BIRTH_G, MOST_BIRTH_G = 20, 1500  # as the book takes them (`PuppyBorn`)


def night_entries(place: Here, dam: str) -> list[dict[str, Any]]:
    """Entries of this night as the script keeps them, by when they happened.

    Those struck through stay, and so do the strikes, so that a phone shows both.
    """
    ended = max(
        (
            entry.happened_at
            for entry in place.book.about(dam)
            if isinstance(entry.fact, f.WhelpingEnded)
        ),
        default=None,
    )
    found: list[Entry] = []
    strikes: list[Entry] = []
    for entry in reversed(place.book.entries):
        if place.at - entry.recorded_at > RECEIPT_REACH:
            break
        match entry.fact:
            case f.WhelpingNoted(dam=who) | f.PuppyBorn(dam=who) if who == dam:
                is_old = place.at - entry.happened_at > NIGHT_REACH
                if not is_old and (ended is None or entry.happened_at > ended):
                    found.append(entry)
            case f.Struck():
                strikes.append(entry)
    ids = {entry.entry for entry in found}
    for entry in reversed(strikes):  # a strike may itself be struck
        if isinstance(entry.fact, f.Struck) and entry.fact.entry in ids:
            ids.add(entry.entry)
            found.append(entry)
    values = [_values(place, entry) for entry in found]
    return sorted(values, key=lambda one: one["at"])


def _values(place: Here, entry: Entry) -> dict[str, Any]:
    values: dict[str, Any] = {
        "id": entry.entry,
        "at": entry.happened_at.astimezone(UTC).isoformat(),
        "by": entry.recorded_by,
        "mine": _may_strike(place, entry),
    }
    if entry.recorded_at - entry.happened_at > WRITTEN_LATE:
        values["received"] = entry.recorded_at.astimezone(UTC).isoformat()
    if entry.supersedes:
        values["supersedes"] = entry.supersedes
    match entry.fact:
        case f.Struck(entry=struck):
            values |= {"what": STRIKE, "entry": struck}
        case f.WhelpingNoted(sign=sign):
            values |= {"what": sign}
        case f.PuppyBorn() as puppy:
            values |= {
                "what": PUPPY,
                "puppy": puppy.puppy,
                "sex": puppy.sex,
                "marking": puppy.marking,
                "weight_g": puppy.weight_g,
                "born": puppy.born,
                "shares_sac": puppy.shares_sac,
            }
    return values


def _may_strike(place: Here, entry: Entry) -> bool:
    from kennelward.desk.records.permits import name_of

    mine = name_of(place.request.user) == entry.recorded_by
    return mine or place.role in MAY_STRIKE_ALL


def that_count(entries: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Puppies and signs that are neither struck nor replaced."""
    gone: set[str] = set()
    for one in reversed([one for one in entries if one["what"] == STRIKE]):
        if one["id"] not in gone:
            gone.add(one["entry"])
    for one in entries:
        if one.get("supersedes") and one["id"] not in gone:
            gone.add(one["supersedes"])
    return [one for one in entries if one["what"] != STRIKE and one["id"] not in gone]


def puppies_of(entries: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The puppies of the night that count."""
    return [one for one in that_count(entries) if one["what"] == PUPPY]


def moment_of(said: Any, *, place: Here, skew: timedelta) -> datetime:
    """When it happened by the desk's clock; `skew` is how far the phone's runs ahead."""
    at = datetime.fromisoformat(str(said))
    if at.tzinfo is None:
        raise BadInput("the time needs its zone; reload the page")
    at = at.astimezone(UTC) - skew
    return min(at, place.at) if at - place.at <= AHEAD else at


def skew_of(said: Any, *, now: datetime) -> timedelta:
    """How far a phone's clock runs ahead of the desk's; small differences are none."""
    if said in (None, ""):
        return timedelta(0)
    phone = datetime.fromisoformat(str(said))
    if phone.tzinfo is None:
        return timedelta(0)
    skew = phone - now
    if abs(skew) < SKEW_MATTERS or abs(skew) > MOST_SKEW:
        return timedelta(0)
    return skew


def take(place: Here, dam: str, one: Mapping[str, Any], *, skew: timedelta) -> None:
    """Write one entry of a phone; one that is in the book already is left as it is.

    Raises BadInput, ValueError, TypeError or KeyError for what cannot be written.
    """
    number = str(one["id"])
    known = place.book.find(number)
    fact = fact_of(place, one, dam)
    if known is not None:
        if not _is_same(known.fact, fact):
            raise BadInput("this id is in the book with other content; reload the page")
        return
    if isinstance(fact, f.Struck) and fact.entry in place.book.struck:
        return  # another phone was quicker
    place.write_all(
        [
            desk.NewEntry(
                entry=number,
                fact=fact,
                happened_at=moment_of(one["at"], place=place, skew=skew),
                supersedes=_superseded(place, one, dam),
            )
        ]
    )


def _is_same(known: f.Fact, sent: f.Fact) -> bool:
    """Whether an entry says what is sent; a strike's reason depends on the language."""
    if isinstance(known, f.Struck) and isinstance(sent, f.Struck):
        return known.entry == sent.entry
    return known == sent


def fact_of(place: Here, one: Mapping[str, Any], dam: str) -> f.Fact:
    """The fact an entry of a phone says."""
    what = str(one["what"])
    if what == STRIKE:
        target = str(one["entry"])
        _of_this_bitch(place, target, dam)
        return f.Struck(entry=target, why=_("Undone on the whelping page"))
    if what != PUPPY:
        return f.WhelpingNoted(dam=dam, sign=what, note=str(one.get("note", ""))[:400])
    grams = one.get("weight_g")
    return f.PuppyBorn(
        puppy=str(one.get("puppy") or one["id"]),
        dam=dam,
        sex=str(one.get("sex") or ""),
        marking=str(one.get("marking") or "")[:200],
        weight_g=float(grams) if grams not in (None, "") else None,
        born=str(one.get("born") or "alive"),
        shares_sac=bool(one.get("shares_sac")),
    )


def _superseded(place: Here, one: Mapping[str, Any], dam: str) -> str:
    earlier = str(one.get("supersedes") or "")
    if earlier:
        _of_this_bitch(place, earlier, dam)
    return earlier


def _of_this_bitch(place: Here, target: str, dam: str) -> None:
    """Refuse to strike or replace anything but this bitch's night."""
    entry = place.book.find(target)
    if entry is not None and isinstance(entry.fact, f.Struck):
        entry = place.book.find(entry.fact.entry)
    if entry is None:
        raise BadInput("the entry to be changed is not in this book; reload the page")
    is_night = isinstance(entry.fact, f.WhelpingNoted | f.PuppyBorn)
    if not is_night or getattr(entry.fact, "dam", "") != dam:
        raise BadInput("that entry is not of this night; strike it on the Book page")
