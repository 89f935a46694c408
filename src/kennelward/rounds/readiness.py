"""Before a strip is run: is this the right dog, day, kit and lot, and is the dog safe?"""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from kennelward.evidence import UninformativeWindow
from kennelward.handbook import Handbook, Kit
from kennelward.kennel import DAYS_A_MONTH, Book
from kennelward.kennel import facts as f
from kennelward.rounds.case import DogCase, case_from_book
from kennelward.rounds.suspects import exposures_by_dog
from kennelward.rounds.worth import circumstances
from kennelward.stock import lots_of, pick
from kennelward.terms import Call, Phrase


class Level(StrEnum):
    """How a check bears on the test."""

    STOP = "stop"
    WARN = "warn"
    OK = "ok"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadinessCheck:
    """One check with its answer in words."""

    code: str
    level: Level
    says: Phrase


def test_readiness(
    *, book: Book, handbook: Handbook, dog: str, kit: str, at: datetime
) -> tuple[ReadinessCheck, ...]:
    """What stands in the way of this test, or should be known first; stops come first.

    Without any stop the test can be run. `at` is now; the day is the kennel's own.
    """
    on = book.day_of(at)
    held = handbook.kits[kit]
    case = case_from_book(
        book=book,
        dog=dog,
        infection=held.infection,
        on=on,
        exposures=exposures_by_dog(
            book=book, handbook=handbook, infection=held.infection, on=on
        ).get(dog, ()),
    )
    found = [
        *_danger(book, dog, on=on),
        *_leaflet(book, held),
        *_lot(book, kit=kit, on=on),
        *_dog_fits(book, handbook, held, dog=dog, on=on, case=case),
        *_day(handbook, held, case),
    ]
    return tuple(sorted(found, key=lambda check: list(Level).index(check.level)))


# Not a test case of pytest, whatever its name.
test_readiness.__test__ = False  # type: ignore[attr-defined]


def _check(code: str, level: Level, says: str, **values: str | int) -> ReadinessCheck:
    return ReadinessCheck(code=code, level=level, says=Phrase(says, values))


def vet_called_since(book: Book, dog: str, *, since: datetime) -> bool:
    """True where a call to the vet about the dog stands in the book since a moment."""
    return any(
        isinstance(entry.fact, f.VetCalled) and entry.happened_at >= since
        for entry in book.about(dog)
    )


def danger_stands(book: Book, dog: str, *, on: date) -> bool:
    """True where today's danger check found something and the vet was not called yet."""
    danger = book.dogs[dog].danger
    if danger is None or not isinstance(danger.fact, f.DangerChecked):
        return False
    if not danger.fact.dangers or book.happened_on(danger) != on:
        return False
    return not vet_called_since(book, dog, since=danger.happened_at)


def _danger(book: Book, dog: str, *, on: date) -> list[ReadinessCheck]:
    danger = book.dogs[dog].danger
    if danger is None or book.happened_on(danger) != on:
        return [
            _check(
                "danger-check",
                Level.STOP,
                "Look at the dog first: five questions before any strip.",
            )
        ]
    if danger_stands(book, dog, on=on):
        return [
            _check(
                "vet-first",
                Level.STOP,
                "This dog needs the vet first. The strip waits until the vet was called.",
            )
        ]
    return [_check("danger-check", Level.OK, "The dog was looked at today.")]


def _leaflet(book: Book, kit: Kit) -> list[ReadinessCheck]:
    if kit.kit not in book.leaflets:
        return [
            _check(
                "no-leaflet",
                Level.STOP,
                "First use of this kit: type its leaflet's drops, minutes, storage and "
                "samples. No reading time counts before that.",
            )
        ]
    leaflet = book.leaflets[kit.kit]
    return [
        _check(
            "leaflet",
            Level.OK,
            "By the leaflet: {drops} drops, read from {first} to {last} minutes.",
            drops=leaflet.drops,
            first=f"{leaflet.read_from_minutes:g}",
            last=f"{leaflet.read_until_minutes:g}",
        )
    ]


def _lot(book: Book, *, kit: str, on: date) -> list[ReadinessCheck]:
    lots = lots_of(book)
    lot = pick(lots, kit=kit, on=on)
    if lot is not None:
        return [
            _check(
                "lot",
                Level.OK,
                "Take lot {lot}, use by {day}.",
                lot=lot.lot_code,
                day=lot.expires_on.isoformat(),
            )
        ]
    left = [x for x in lots if x.kit == kit and x.count > 0]
    if left:
        return [
            _check(
                "expired-lot",
                Level.STOP,
                "Every kit of this kind on the shelf is past its printed date: a result "
                "would not count. The latest was lot {lot}, use by {day}.",
                lot=left[-1].lot_code,
                day=left[-1].expires_on.isoformat(),
            )
        ]
    return [
        _check(
            "no-lot",
            Level.WARN,
            "No kit of this kind is on the shelf. Add the lot first, so that its date "
            "is checked.",
        )
    ]


def _dog_fits(
    book: Book, handbook: Handbook, kit: Kit, *, dog: str, on: date, case: DogCase
) -> list[ReadinessCheck]:
    card = book.dogs[dog]
    found = []
    if kit.infection == "pregnancy":
        if card.described.sex != "bitch":
            return [
                _check("not-a-bitch", Level.STOP, "A pregnancy test needs a bitch.")
            ]
        if "mating" not in case.days_since:
            found.append(
                _check(
                    "no-mating",
                    Level.WARN,
                    "No mating of this bitch is in the book: the day cannot be judged.",
                )
            )
    if kit.infection == "parvovirus" and not case.signs:
        found.append(
            _check(
                "healthy-dog",
                Level.WARN,
                "This dog has no signs in the book. The strip misses nearly all healthy "
                "shedders: a negative would clear nobody.",
            )
        )
    if kit.infection == "brucella":
        youngest = handbook.number("brucella.from_age_days")
        if card.age_days(on) < youngest:
            found.append(
                _check(
                    "too-young",
                    Level.WARN,
                    "Under {months} months this cannot be judged yet. Test before the "
                    "dog joins the breeders or her first season.",
                    months=round(youngest / DAYS_A_MONTH),
                )
            )
    return found


def _day(handbook: Handbook, kit: Kit, case: DogCase) -> list[ReadinessCheck]:
    """Windows in which a result of this kit would say less, today."""
    around = circumstances(case, handbook=handbook)
    found = []
    for window in kit.windows:
        for call in (Call.NEGATIVE, Call.POSITIVE):
            if window.holds(test=kit.kit, call=call, case=around):
                found.append(_window(window, call))
                break
    return found


def _window(window: UninformativeWindow, call: Call) -> ReadinessCheck:
    code = "wrong-day" if window.effect == "no-information" else "flag"
    if window.call is None:
        return _check(code, Level.WARN, window.says)
    which = "A negative" if call is Call.NEGATIVE else "A positive"
    return _check(code, Level.WARN, which + " today: " + window.says)
