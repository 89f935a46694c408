"""The night of a whelping as the book has it."""

from datetime import datetime, timedelta

from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.litters import Night, Seen, Sign, night

FORGOTTEN = timedelta(days=2)  # a night that nobody ended is over by then


def whelping_night(
    *, book: Book, handbook: Handbook, dam: str, now: datetime
) -> Night | None:
    """The night under way: from its first entry until it was ended. None: no night."""
    seen: list[Seen] = []
    for entry in book.about(dam):
        if entry.happened_at > now:
            continue
        match entry.fact:
            case f.WhelpingEnded():
                seen = []
            case f.WhelpingNoted(sign=sign):
                seen.append(Seen(at=entry.happened_at, sign=Sign(sign)))
            case f.PuppyBorn():
                seen.append(Seen(at=entry.happened_at, sign=Sign.PUPPY))
    if not seen or now - seen[-1].at > FORGOTTEN:
        return None
    rules = handbook.litters(book.day_of(now)).whelping
    return night(seen, now=now, rules=rules)
