"""A whelping night becomes a litter; a puppy that comes to the book late joins it."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from django.utils.translation import gettext as _

from kennelward import desk
from kennelward.desk.pages.litters.night_log import night_entries, puppies_of
from kennelward.desk.pages.shell.here import Here, id_beside, new_id
from kennelward.kennel import DogCard, Entry, LitterCard
from kennelward.kennel import facts as f
from kennelward.terms import BadInput

ONE_WHELPING = timedelta(days=3)  # puppies further apart are of two litters

Dated = tuple[datetime | None, f.Fact]


def close_night(place: Here, card: DogCard, *, said: Mapping[str, str]) -> str:
    """Make the litter of this night, or add the night to a litter just born; its id.

    Sent twice, it is made once. Raises BadInput where no puppy is there, or a living
    one has no sex.
    """
    entry = said.get("entry") or new_id()
    if entry in place.book.litters:
        return entry
    known = place.book.find(entry)
    if known is not None and isinstance(known.fact, f.Whelped):
        return known.fact.litter
    born = puppies_of(night_entries(place, card.dog))
    if not born:
        raise BadInput(
            _("No puppy of this night is in the book, so there is no litter yet.")
        )
    recent = late_litter(place, card.dog)
    if recent is not None:
        add_late(place, recent, said=said | {"entry": entry})  # type: ignore[operator]
        return recent.litter
    _fill_in_sex(born, said)
    name = said.get("name", "").strip() or _("Litter of %(dam)s") % {"dam": card.name}
    dead = sum(one["born"] == "stillborn" for one in born)
    whelped = f.Whelped(
        litter=entry,
        name=name[:200],
        dam=card.dog,
        sire=_sire(place, card.dog),
        born_alive=len(born) - dead,
        stillborn=dead,
    )
    place.write_dated(
        [
            (_at(born[0]), whelped),
            *_puppies(place, litter=entry, dam=card.dog, born=born),
            (None, f.WhelpingEnded(dam=card.dog, litter=entry)),
        ],
        entry=entry,
    )
    return entry


def late_litter(place: Here, dam: str) -> LitterCard | None:
    """Her litter that puppies of the present night may still belong to, or None."""
    found = [
        card
        for card in place.book.litters.values()
        if card.dam == dam and late_puppies(place, card)
    ]
    return found[-1] if found else None


def late_puppies(place: Here, card: LitterCard) -> list[Entry]:
    """Puppies of this birth that came to the book after the litter was made.

    From a phone that had no network, or born after the night was closed.
    """
    received = place.book.entries
    made = next(
        n for n, entry in enumerate(received) if entry.entry == card.whelped.entry
    )
    known = set(card.dogs) | {
        entry.fact.puppy
        for entry in received[:made]
        if isinstance(entry.fact, f.PuppyBorn)
    }
    return [
        entry
        for entry in received[made:]
        if isinstance(entry.fact, f.PuppyBorn)
        and entry.fact.dam == card.dam
        and entry.fact.puppy not in known
        and entry.entry not in place.book.struck
        and abs(entry.happened_at - card.whelped.happened_at) < ONE_WHELPING
    ]


def add_late(place: Here, card: LitterCard, *, said: Mapping[str, str]) -> None:
    """Put late puppies into the litter; its birth is written anew with their count.

    With `counted` in what was said, the count holds them already and stays.
    """
    born = [_late_values(entry) for entry in late_puppies(place, card)]
    if not born:
        return
    _fill_in_sex(born, said)
    dead = sum(one["born"] == "stillborn" for one in born)
    more = 0 if said.get("counted") else 1
    old = card.facts
    whelped = f.Whelped(
        litter=card.litter,
        name=old.name,
        dam=old.dam,
        sire=old.sire,
        born_alive=old.born_alive + more * (len(born) - dead),
        stillborn=old.stillborn + more * dead,
    )
    first = said.get("entry") or new_id()
    born.sort(key=_at)
    facts: list[Dated] = [
        (min(card.whelped.happened_at, _at(born[0])), whelped),
        *_puppies(
            place,
            litter=card.litter,
            dam=card.dam,
            born=born,
            before=old.born_alive + old.stillborn,
        ),
    ]
    if night_entries(place, card.dam):
        facts.append((None, f.WhelpingEnded(dam=card.dam, litter=card.litter)))
    place.write_all(
        [
            desk.NewEntry(
                entry=id_beside(first, steps=steps),
                fact=fact,
                happened_at=when,
                supersedes=card.whelped.entry if steps == 0 else "",
            )
            for steps, (when, fact) in enumerate(facts)
        ]
    )


def _late_values(entry: Entry) -> dict[str, Any]:
    fact = entry.fact
    if not isinstance(fact, f.PuppyBorn):
        raise TypeError(f"{entry.entry} is no birth of a puppy")
    return {
        "id": entry.entry,
        "puppy": fact.puppy,
        "at": entry.happened_at.isoformat(),
        "sex": fact.sex,
        "marking": fact.marking,
        "weight_g": fact.weight_g,
        "born": fact.born,
    }


def _fill_in_sex(born: Sequence[dict[str, Any]], said: Mapping[str, str]) -> None:
    """Take the sex that was said at closing; every living puppy needs one."""
    for one in born:
        one["sex"] = one["sex"] or said.get(f"sex-{one['id']}", "")
    if any(one["born"] != "stillborn" and not one["sex"] for one in born):
        raise BadInput(_("Say of each living puppy: bitch or dog."))


def _at(one: Mapping[str, Any]) -> datetime:
    return datetime.fromisoformat(one["at"])


def _sire(place: Here, dam: str) -> str:
    """The sire, where the matings of this pregnancy name one and only one."""
    since = place.at - timedelta(days=place.handbook.litters(place.on).reach_days)
    sires = {
        entry.fact.sire or entry.fact.sire_outside
        for entry in place.book.about(dam)
        if isinstance(entry.fact, f.Mated)
        and entry.fact.dam == dam
        and entry.happened_at >= since
    }
    sire = sires.pop() if len(sires) == 1 else ""
    return sire if sire in place.book.dogs else ""


def _puppies(
    place: Here,
    *,
    litter: str,
    dam: str,
    born: Sequence[Mapping[str, Any]],
    before: int = 0,
) -> list[Dated]:
    """A dog for each live puppy, where the dam is, with its first weight."""
    facts: list[Dated] = []
    pen = place.book.dogs[dam].pen
    for number, one in enumerate(born, before + 1):
        if one["born"] == "stillborn":
            continue
        at, puppy = _at(one), one["puppy"]
        described = f.DogDescribed(
            dog=puppy,
            name=one["marking"] or _("Puppy %(n)d") % {"n": number},
            sex=one["sex"],
            born_on=place.book.day_of(at),
            marking=one["marking"],
            dam=dam,
            litter=litter,
        )
        facts.append((at, described))
        if pen:
            facts.append((at, f.Moved(dog=puppy, pen=pen)))
        if one["weight_g"]:
            facts.append((at, f.Weighed(dog=puppy, weight_g=one["weight_g"])))
    return facts
