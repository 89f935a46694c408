"""Whether a new entry can be true, given the book so far.

Each check answers with one sentence that says what is wrong and what to do. The book is
a paper book in spirit: anything that could have happened is let in.
"""

from collections.abc import Callable
from datetime import datetime, timedelta

from kennelward.kennel import facts as f
from kennelward.kennel.book import Book
from kennelward.kennel.entries import Entry
from kennelward.terms import BadInput, Call, check_text

FUTURE_TOLERANCE = timedelta(minutes=2)  # phone clocks run ahead a little
OLDEST_DOG_YEARS = 25
LONGEST_DOUBT_DAYS = 40  # a season is over sooner
LONGEST_TEXT = 20_000  # the measured signals of a photo are the longest text


def check_entry(book: Book, entry: Entry, *, now: datetime) -> None:
    """Raise `BadInput` where `entry` cannot be true after the entries in `book`."""
    if book.find(entry.entry) is not None:
        raise BadInput(f"an entry with the id {entry.entry} is already in the book")
    if entry.happened_at > now + FUTURE_TOLERANCE:
        raise BadInput(
            f"{book.day_of(entry.happened_at)} is in the future; "
            "give the day it happened, or today"
        )
    check_text("recorded by", entry.recorded_by, longest=f.LONGEST_NAME)
    _check_texts(entry.fact)
    if entry.supersedes and book.find(entry.supersedes) is None:
        raise BadInput("the entry to be replaced is not in this book; reload the page")
    for kind, check in _CHECKS:
        if isinstance(entry.fact, kind):
            check(book, entry, entry.fact)


def _check_texts(fact: f.Fact) -> None:
    for name in fact.__dataclass_fields__:
        value = getattr(fact, name)
        for text in value if isinstance(value, tuple) else (value,):
            if isinstance(text, str):
                check_text(
                    name.replace("_", " "), text, longest=LONGEST_TEXT, empty=True
                )


def _known_dog(book: Book, dog: str) -> None:
    if dog not in book.dogs:
        raise BadInput(f"no dog with the id {dog!r} in this book; add the dog first")


def _known_pen(book: Book, pen: str) -> None:
    if pen not in book.pens:
        raise BadInput(f"no pen with the id {pen!r} in this kennel; add the pen first")


def _check_has_dog(book: Book, entry: Entry, fact: f.Fact) -> None:
    for dog in (getattr(fact, "dog", ""), *getattr(fact, "dogs", ())):
        if not dog:
            continue
        _known_dog(book, dog)
        born = book.dogs[dog].described.born_on
        if book.happened_on(entry) < born:
            raise BadInput(
                f"{book.dogs[dog].name} was born on {born}; this is dated before that"
            )


def _check_described(book: Book, entry: Entry, fact: f.DogDescribed) -> None:
    today = book.happened_on(entry)
    if fact.born_on > today:
        raise BadInput(
            f"born on {fact.born_on} is in the future; give a day up to today"
        )
    years = (today - fact.born_on).days / 365.25
    if years > OLDEST_DOG_YEARS:
        raise BadInput(
            f"born on {fact.born_on} makes a dog of {years:.0f} years; "
            f"{OLDEST_DOG_YEARS} is the most, look at the year again"
        )
    for role, parent, sex in (("dam", fact.dam, "bitch"), ("sire", fact.sire, "dog")):
        if not parent:
            continue
        _known_dog(book, parent)
        if parent == fact.dog:
            raise BadInput(f"a dog cannot be its own {role}")
        if book.dogs[parent].described.sex != sex:
            raise BadInput(f"the {role} must be a {sex}")
    if fact.litter and fact.litter not in book.litters:
        raise BadInput("no such litter in this book; enter the birth first")
    _check_chip(book, fact)


def _check_chip(book: Book, fact: f.DogDescribed) -> None:
    if not fact.chip:
        return
    for other in book.dogs.values():
        if other.dog != fact.dog and other.described.chip == fact.chip:
            raise BadInput(
                f"chip {fact.chip} already belongs to {other.name}; read the chip again"
            )


def _check_goes_to_pen(book: Book, entry: Entry, fact: f.Arrived | f.Moved) -> None:
    _known_pen(book, fact.pen)
    card = book.dogs[fact.dog]
    if isinstance(fact, f.Moved) and not card.is_here:
        raise BadInput(f"{card.name} is not in the kennel; record the arrival first")


def _check_left(book: Book, entry: Entry, fact: f.Left) -> None:
    card = book.dogs[fact.dog]
    if not card.is_here:
        raise BadInput(f"{card.name} has left already; strike that entry to change it")


def _check_mated(book: Book, entry: Entry, fact: f.Mated) -> None:
    _known_dog(book, fact.dam)
    if book.dogs[fact.dam].described.sex != "bitch":
        raise BadInput(
            f"{book.dogs[fact.dam].name} is not a bitch; choose the dam again"
        )
    if fact.sire:
        _known_dog(book, fact.sire)
        if book.dogs[fact.sire].described.sex != "dog":
            raise BadInput(
                f"{book.dogs[fact.sire].name} is not a male; choose the sire again"
            )
    elif not fact.sire_outside.strip():
        raise BadInput("name the sire: a dog of this kennel, or one from outside")
    first = fact.first_possible_on
    if first is not None:
        days = (book.happened_on(entry) - first).days
        if not 0 <= days <= LONGEST_DOUBT_DAYS:
            raise BadInput(
                f"the mating is dated {book.happened_on(entry)} at the latest, so its "
                f"first possible day must lie in the {LONGEST_DOUBT_DAYS} days before; "
                f"got {first}"
            )


def _check_dam(book: Book, entry: Entry, fact: f.Fact) -> None:
    dam = getattr(fact, "dam", "")
    _known_dog(book, dam)
    if book.dogs[dam].described.sex != "bitch":
        raise BadInput(f"{book.dogs[dam].name} is not a bitch; choose the dam again")


def _check_round(book: Book, entry: Entry, fact: f.RoundDone) -> None:
    for pen in fact.pens:
        _known_pen(book, pen)


def _check_cleaned(book: Book, entry: Entry, fact: f.Cleaned) -> None:
    _known_pen(book, fact.pen)


def _check_litter(book: Book, entry: Entry, fact: f.PuppyDied) -> None:
    if fact.litter not in book.litters:
        raise BadInput("no such litter in this book; enter the birth first")


def _check_started(book: Book, entry: Entry, fact: f.TestStarted) -> None:
    if fact.test in book.tests:
        raise BadInput("this test was started already; open it again from Bench")
    if fact.lot:
        if fact.lot not in book.lots:
            raise BadInput("no such lot on the shelf; add the lot first")
        lot = book.lots[fact.lot]
        if lot.kit != fact.kit:
            raise BadInput(
                f"lot {lot.lot_code} holds another kit; choose the lot again"
            )


def _check_reading(
    book: Book, entry: Entry, fact: f.StripSeen | f.StripMeasured | f.TestDropped
) -> None:
    if fact.test not in book.tests:
        raise BadInput("no such test in this book; start the test first")
    card = book.tests[fact.test]
    if entry.happened_at < card.started.happened_at:
        raise BadInput("this reading is dated before the test was started")
    if isinstance(fact, f.TestDropped):
        return
    if card.dropped is not None:
        raise BadInput("this test was dropped; start a new one")
    if fact.call not in set(Call):
        raise BadInput(f"{fact.call!r} is no call; use one of {', '.join(Call)}")
    if isinstance(fact, f.StripSeen) and card.seen is not None and not entry.supersedes:
        raise BadInput("a person's reading of this strip is in the book already")


def _check_given(book: Book, entry: Entry, fact: f.GivenTicked) -> None:
    if fact.course not in book.courses:
        raise BadInput("no such course in this book")
    course = book.courses[fact.course].facts
    if not course.starts_on <= fact.day <= course.ends_on:
        raise BadInput(
            f"{fact.day} lies outside the course, {course.starts_on} to {course.ends_on}"
        )
    if not 1 <= fact.nth <= course.times_a_day:
        raise BadInput(
            f"the vet wrote {course.times_a_day} times a day, got {fact.nth}"
        )


def _check_counted(book: Book, entry: Entry, fact: f.LotCounted) -> None:
    if fact.lot not in book.lots:
        raise BadInput("no such lot on the shelf; add the lot first")


def _check_lot(book: Book, entry: Entry, fact: f.LotReceived) -> None:
    if fact.lot in book.lots:
        raise BadInput("this lot is on the shelf already; count it instead")


def _check_struck(book: Book, entry: Entry, fact: f.Struck) -> None:
    if book.find(fact.entry) is None:
        raise BadInput("the entry to be struck is not in this book; reload the page")
    if fact.entry in book.struck:
        raise BadInput("that entry is struck through already")


_CHECKS: tuple[tuple[type[f.Fact], Callable[..., None]], ...] = (
    (f.DogDescribed, _check_described),
    *(
        (kind, _check_has_dog)
        for kind in f.KINDS.values()
        if kind is f.PoolTested
        or ("dog" in kind.__dataclass_fields__ and kind is not f.DogDescribed)
    ),
    (f.Arrived, _check_goes_to_pen),
    (f.Moved, _check_goes_to_pen),
    (f.Left, _check_left),
    (f.Mated, _check_mated),
    (f.CycleNoted, _check_dam),
    (f.Whelped, _check_dam),
    (f.PregnancyLost, _check_dam),
    (f.ProgesteroneMeasured, _check_dam),
    (f.PuppiesCounted, _check_dam),
    (f.PregnancyAged, _check_dam),
    (f.WhelpingNoted, _check_dam),
    (f.PuppyBorn, _check_dam),
    (f.WhelpingEnded, _check_dam),
    (f.RoundDone, _check_round),
    (f.Cleaned, _check_cleaned),
    (f.PuppyDied, _check_litter),
    (f.TestStarted, _check_started),
    (f.StripSeen, _check_reading),
    (f.StripMeasured, _check_reading),
    (f.TestDropped, _check_reading),
    (f.GivenTicked, _check_given),
    (f.LotReceived, _check_lot),
    (f.LotCounted, _check_counted),
    (f.Struck, _check_struck),
)
