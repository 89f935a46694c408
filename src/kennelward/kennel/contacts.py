"""Who met whom: simple reach through pens, litters and matings."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum

from kennelward.kennel.book import Book
from kennelward.kennel.cards import Stay
from kennelward.kennel.facts import Mated
from kennelward.terms import DateWindow


class ContactHow(StrEnum):
    """The way two dogs met, closest first."""

    SAME_LITTER = "same litter"
    MATING = "mating"
    SAME_PEN = "same pen"
    PEN_USED_AFTER = "pen used after"


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """Another dog that `of` met, and on which days within the window."""

    of: str
    dog: str
    how: ContactHow
    pen: str  # id, or empty for a mating away or a litter
    first: date
    last: date


def contacts(
    book: Book, dog: str, *, window: DateWindow, used_after_days: int = 0
) -> tuple[Contact, ...]:
    """Dogs that `dog` met inside `window`, closest way first, then by latest day.

    Same pen: the stays overlap. Pen used after: the other dog came into a pen within
    `used_after_days` after `dog` had left it. Same litter: littermates, and the dam
    with puppies under 60 days. A dog met in several ways is listed once for each.
    Dogs that have left the kennel since are included: they may need a telephone call.
    """
    found = [
        *_through_pens(book, dog, window=window, used_after_days=used_after_days),
        *_through_litter(book, dog, window=window),
        *_through_mating(book, dog, window=window),
    ]
    order = list(ContactHow)
    return tuple(
        sorted(found, key=lambda c: (order.index(c.how), -c.last.toordinal(), c.dog))
    )


def _days(book: Book, stay: Stay, *, window: DateWindow) -> DateWindow:
    last = book.day_of(stay.until) if stay.until is not None else window.last
    first = book.day_of(stay.since)
    return DateWindow(first, max(first, last))


def _through_pens(
    book: Book, dog: str, *, window: DateWindow, used_after_days: int
) -> Iterable[Contact]:
    card = book.dogs.get(dog)
    if card is None:
        return
    own = [
        (stay, days)
        for stay in card.stays
        for days in [_days(book, stay, window=window)]
        if days.overlap(window) is not None  # not shed into pens left before
    ]
    own_by_pen: dict[str, list[tuple[Stay, DateWindow]]] = {}
    for stay, days in own:
        own_by_pen.setdefault(stay.pen, []).append((stay, days))
    earliest, latest = _moments_around(window)
    seen: dict[tuple[str, str, ContactHow], tuple[date, date]] = {}
    for other in book.dogs.values():
        if other.dog == dog:
            continue
        for theirs in reversed(other.stays):  # stays follow one another: latest first
            if theirs.until is not None and theirs.until < earliest:
                break
            mine_there = own_by_pen.get(theirs.pen)
            if mine_there is None or theirs.since > latest:
                continue
            their_days = _days(book, theirs, window=window)
            for mine, my_days in mine_there:
                how, met = _meeting(mine, my_days, theirs, their_days, used_after_days)
                inside = met.overlap(window) if met is not None else None
                if inside is not None:
                    key = (other.dog, theirs.pen, how)
                    first, last = seen.get(key, (inside.first, inside.last))
                    seen[key] = (min(first, inside.first), max(last, inside.last))
    for (other_dog, pen, how), (first, last) in seen.items():
        yield Contact(of=dog, dog=other_dog, how=how, pen=pen, first=first, last=last)


def _moments_around(window: DateWindow) -> tuple[datetime, datetime]:
    """Moments surely before and after the window, in any time zone.

    They let most of five years' stays be passed over without looking up their days.
    """
    spare = timedelta(days=2)
    return (
        datetime.combine(window.first, time.min, tzinfo=UTC) - spare,
        datetime.combine(window.last, time.max, tzinfo=UTC) + spare,
    )


def _meeting(
    mine: Stay,
    my_days: DateWindow,
    theirs: Stay,
    their_days: DateWindow,
    used_after_days: int,
) -> tuple[ContactHow, DateWindow | None]:
    overlap_starts = max(mine.since, theirs.since)
    ends = [stay.until for stay in (mine, theirs) if stay.until is not None]
    if not ends or overlap_starts < min(ends):
        return ContactHow.SAME_PEN, my_days.overlap(their_days)
    came_after = mine.until is not None and theirs.since >= mine.until
    gap = (their_days.first - my_days.last).days
    if came_after and gap <= used_after_days and used_after_days > 0:
        return ContactHow.PEN_USED_AFTER, their_days
    return ContactHow.PEN_USED_AFTER, None


DAYS_WITH_DAM = (
    60  # puppies stay with the dam until about weaning; common practice, no source
)


def _through_litter(book: Book, dog: str, *, window: DateWindow) -> Iterable[Contact]:
    for litter in book.litters.values():
        born = book.happened_on(litter.whelped)
        together = DateWindow(born, born + timedelta(days=DAYS_WITH_DAM)).overlap(
            window
        )
        if together is None:
            continue
        members = (*litter.dogs, litter.dam)
        if dog not in members:
            continue
        for other in dict.fromkeys(members):
            if other != dog and other in book.dogs:
                yield Contact(
                    of=dog,
                    dog=other,
                    how=ContactHow.SAME_LITTER,
                    pen="",
                    first=together.first,
                    last=together.last,
                )


def _through_mating(book: Book, dog: str, *, window: DateWindow) -> Iterable[Contact]:
    for entry in book.of(Mated):
        fact = entry.fact
        on = book.happened_on(entry)
        if not isinstance(fact, Mated) or on not in window:
            continue
        pair = (fact.dam, fact.sire)
        if dog in pair:
            other = fact.sire if dog == fact.dam else fact.dam
            if other:
                yield Contact(
                    of=dog, dog=other, how=ContactHow.MATING, pen="", first=on, last=on
                )


def quarantine_until(
    *, contact_days: Sequence[date], case_days: Sequence[date], days: int
) -> date | None:
    """Last day of a contact's quarantine, or None where there was no contact.

    The clock runs `days` from the last contact and starts again with each new case
    in the group.
    """
    if not contact_days:
        return None
    starts = max(max(contact_days), max(case_days, default=date.min))
    return starts + timedelta(days=days)
