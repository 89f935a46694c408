"""Due items as pages show them, and grouped by dog or by pen in walking order."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.translation import gettext as _

from kennelward.desk.pages.shell.here import Here, id_beside
from kennelward.kennel import Book, CourseCard, round_order
from kennelward.programme import DueItem
from kennelward.terms import Phrase

SECTIONS = ("overdue", "today", "this-week")
PAGE_SIZE = 150


@dataclass(frozen=True, slots=True, kw_only=True)
class DueLine:
    """One due item, ready for a template."""

    key: str
    query: str  # the key as a query string
    entry: str  # id that saying "done" will carry
    says: Phrase
    because: Phrase
    state: str
    shows_on: date
    until: date
    is_urgent: bool
    is_open: bool
    is_daily_walk: bool
    subject: str
    name: str
    url: str  # of the subject, or empty
    bench_url: str  # where it is a strip test of a dog
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Items of one pen or one dog."""

    heading: str
    lines: tuple[DueLine, ...]

    @property
    def first(self) -> tuple[DueLine, ...]:
        """What is shown at once: urgent or overdue, or the only other one."""
        rest = [line for line in self.lines if _can_wait(line)]
        if len(rest) == 1:
            return tuple(line for line in self.lines if not line.is_daily_walk)
        return tuple(
            line
            for line in self.lines
            if not _can_wait(line) and not line.is_daily_walk
        )

    @property
    def folded(self) -> tuple[DueLine, ...]:
        """What is folded into one line of the pen or dog."""
        rest = tuple(line for line in self.lines if _can_wait(line))
        return rest if len(rest) > 1 else ()

    @property
    def folded_names(self) -> str:
        """Whom the folded lines are about, each once."""
        return ", ".join(dict.fromkeys(line.name for line in self.folded))

    @property
    def walk(self) -> tuple[DueLine, ...]:
        """What the daily walk covers."""
        return tuple(line for line in self.lines if line.is_daily_walk)


def _can_wait(line: DueLine) -> bool:
    """True for what is neither urgent nor overdue, nor done on the daily walk."""
    is_pressing = line.is_urgent or line.state == "overdue"
    return line.is_open and not is_pressing and not line.is_daily_walk


@dataclass(frozen=True, slots=True, kw_only=True)
class GivingLine:
    """A course that runs today, and which of today's givings were ticked."""

    course: CourseCard
    name: str
    ticks: tuple[tuple[int, bool, str], ...]  # nth, given, entry id

    @property
    def left(self) -> int:
        """Givings of today not ticked yet."""
        return sum(1 for _nth, given, _entry in self.ticks if not given)


def due_lines(items: Iterable[DueItem], *, place: Here, first: str) -> list[DueLine]:
    """Lines for items. `first`: an id from which those of the lines are counted on."""
    return [
        due_line(item, place=place, entry=id_beside(first, steps=steps))
        for steps, item in enumerate(items)
    ]


def due_line(item: DueItem, *, place: Here, entry: str) -> DueLine:
    """One line."""
    action = item.action
    is_test = bool(action.kit) and action.subject_kind == "dog"
    return DueLine(
        key=action.key,
        query=urlencode({"key": action.key}),
        entry=entry,
        says=action.says,
        because=action.because,
        state=item.state,
        shows_on=item.shows_on,
        until=action.window.last,
        is_urgent=action.urgency == "now",
        is_open=item.is_open,
        is_daily_walk=item.is_daily_walk,
        subject=action.subject,
        name=subject_name(action.subject, action.subject_kind, book=place.book),
        url=subject_url(action.subject, action.subject_kind),
        bench_url=bench_url(action.subject, action.kit) if is_test else "",
        note=item.note,
    )


def bench_url(dog: str, kit: str) -> str:
    """Bench with dog and kit set."""
    return reverse("bench:ready", args=[dog, kit])


def subject_name(subject: str, kind: str, *, book: Book) -> str:
    """What an item is about, by name."""
    return _("The kennel") if kind == "kennel" else book.name_of(subject)


def subject_url(subject: str, kind: str) -> str:
    """The page of what an item is about, where there is one."""
    match kind:
        case "dog":
            return reverse("dogs:dog", args=[subject])
        case "pen":
            return reverse("pens:index")
        case "lot":
            return reverse("shelf:index")
    return ""


def pen_of(subject: str, book: Book) -> str:
    """The pen where an item is done; empty for what concerns the whole kennel."""
    if subject in book.pens:
        return subject
    if subject in book.litters:
        subject = book.litters[subject].dam
    card = book.dogs.get(subject)
    return card.pen if card is not None else ""


def grouped(lines: Sequence[DueLine], *, by: str, book: Book) -> list[Group]:
    """Lines by dog, or by pen in the order of the daily walk."""
    if by == "dog":
        names: dict[str, list[DueLine]] = {}
        for line in sorted(lines, key=lambda line: line.name.casefold()):
            names.setdefault(line.subject, []).append(line)
        return [
            Group(heading=found[0].name, lines=tuple(found)) for found in names.values()
        ]
    pens: dict[str, list[DueLine]] = {}
    for line in lines:
        pens.setdefault(pen_of(line.subject, book), []).append(line)
    order = {pen.pen: place for place, pen in enumerate(round_order(book))}
    # What presses and belongs to no pen concerns everyone: it stands first.
    if any(line.is_urgent and line.is_open for line in pens.get("", ())):
        order[""] = -1
    known = sorted(pens, key=lambda pen: order.get(pen, len(order)))
    return [
        Group(
            heading=book.name_of(pen) if pen else _("Anywhere"), lines=tuple(pens[pen])
        )
        for pen in known
    ]


def givings(place: Here, *, first: str, dog: str = "") -> list[GivingLine]:
    """Courses that run today on dogs that are here."""
    book, on = place.book, place.on
    found = []
    steps = 0
    for course in book.courses.values():
        runs = course.facts.starts_on <= on <= course.facts.ends_on
        if not runs or not book.dogs[course.dog].is_here or dog not in ("", course.dog):
            continue
        ticks = []
        for nth in range(1, course.facts.times_a_day + 1):
            ticks.append(
                (nth, (on, nth) in course.given, id_beside(first, steps=steps))
            )
            steps += 1
        found.append(
            GivingLine(course=course, name=book.name_of(course.dog), ticks=tuple(ticks))
        )
    return found
