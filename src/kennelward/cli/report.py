"""The main job told in the terminal: what was read, what it means, what to do."""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from rich.rule import Rule
from rich.text import Text

from kennelward.cli.report_due import due_part, shelf_part
from kennelward.cli.words import hang, short_day, window_words, with_when
from kennelward.kennel.facts import VetCalled
from kennelward.terms import Call, Unreadable

if TYPE_CHECKING:
    from rich.console import RenderableType

    from kennelward.demo.jobs import DemoJob
    from kennelward.demo.main_job import MainJob
    from kennelward.handbook import Handbook
    from kennelward.kennel import Contact
    from kennelward.programme import Action
    from kennelward.rounds import ReadingOutcome

CALL_STYLES = {
    Call.POSITIVE: "bold red",
    Call.TRACE: "bold red",
    Call.NEGATIVE: "bold",
    Call.INVALID: "bold yellow",
    Call.UNREADABLE: "bold yellow",
}
DAYS_A_WEEK = 7
WEEKS_A_PUPPY = 26  # younger than about six months: told in weeks


def report(done: "MainJob", *, handbook: "Handbook") -> Iterator["RenderableType"]:
    """The whole report, part by part."""
    yield from _head(done)
    yield from _photos_part(done)
    yield Text("\n What each strip means", "bold underline")
    shown: set[str] = set()
    for job, outcome in done.read:
        yield from _dog_part(done, job, outcome, handbook=handbook, shown=shown)
    yield from due_part(done)
    yield from shelf_part(done, handbook=handbook)
    yield from _foot()


def _head(done: "MainJob") -> Iterator["RenderableType"]:
    book, on = done.book, done.on
    name = book.kennel.name if book.kennel is not None else ""
    first = min(entry.happened_at for entry in book.live)
    yield Text(f"\n Kennelward: the main job, {short_day(on)} {on.year}", "bold")
    yield Text(f" {name}")
    yield Text(
        f" {len(book.dogs_here)} dogs in {len(book.pens)} pens; {len(book.entries)} "
        f"entries since {short_day(first.date())} {first.year}.\n"
        " Dogs, people and strips are invented. Rules, figures and reader are true.",
        "dim",
    )


def _photos_part(done: "MainJob") -> Iterator["RenderableType"]:
    calls = Counter(outcome.reading.call for _, outcome in done.read)
    faint = sum(outcome.reading.is_faint for _, outcome in done.read)
    parts = [f"{calls[call]} {word}" for call, word in _COUNTED if calls[call]]
    if faint:
        parts[0] += f" ({faint} of them faint)"
    yield Text()
    yield hang("Photos", f"{len(done.read)} photos read: {', '.join(parts)}.")


_COUNTED = (
    (Call.POSITIVE, "positive"),
    (Call.NEGATIVE, "negative"),
    (Call.TRACE, "trace"),
    (Call.INVALID, "failed"),
    (Call.UNREADABLE, "unreadable"),
)


def _dog_part(
    done: "MainJob",
    job: "DemoJob",
    outcome: "ReadingOutcome",
    *,
    handbook: "Handbook",
    shown: set[str],
) -> Iterator["RenderableType"]:
    card = done.book.dogs[job.dog]
    days = card.age_days(done.on)
    age = (
        f"{days // DAYS_A_WEEK} weeks"
        if days < WEEKS_A_PUPPY * DAYS_A_WEEK
        else f"{int(card.age_months(done.on) // 12)} years"
        if card.age_months(done.on) >= 24
        else f"{int(card.age_months(done.on))} months"
    )
    pen = done.book.name_of(card.pen)
    yield Text()
    yield Rule(
        Text.assemble(
            (card.name, "bold"),
            f", {card.described.sex}, {age}, {pen}: {handbook.kits[job.kit].name}",
        ),
        align="left",
        style="dim",
    )
    yield from _strip_lines(outcome)
    yield from _vet_lines(done, job)
    yield from _beside_lines(outcome)
    yield from _meaning_lines(outcome)
    yield from _action_lines(outcome.outcome.actions, done=done)
    exposed = outcome.outcome.exposed
    if exposed:
        yield hang("Exposed", exposed_words(exposed, done=done))
    yield from _caution_lines(outcome, shown=shown)


def _strip_lines(outcome: "ReadingOutcome") -> Iterator["RenderableType"]:
    reading, test = outcome.reading, outcome.outcome.test
    faint = "faint " if reading.is_faint else ""
    said = f"{faint}{reading.call.value}"
    person = test.person_call
    if person is not None:
        if person is Call.UNREADABLE:
            said += "; the person could not tell"
        elif person is reading.call:
            said += "; the person saw the same"
        else:
            said += f"; the person saw {person.value}"
    yield hang("Strip", said, style=CALL_STYLES[reading.call])
    if isinstance(reading.outcome, Unreadable):
        yield hang("", f"{reading.outcome.says} {reading.outcome.do}")
    for phrase in outcome.outcome.void_says:
        yield hang("", str(phrase))


def _vet_lines(done: "MainJob", job: "DemoJob") -> Iterator["RenderableType"]:
    """What the vet said of this dog since the day before the strip."""
    day = done.book.day_of(job.taken_at)
    for entry in done.book.about(job.dog):
        called = done.book.happened_on(entry)
        if isinstance(entry.fact, VetCalled) and abs((day - called).days) <= 1:
            at = f"{short_day(called)}, {entry.happened_at:%H:%M}"
            yield hang("Vet", f"called {at}: {entry.fact.note}.")


def _beside_lines(outcome: "ReadingOutcome") -> Iterator["RenderableType"]:
    """Other results that stand beside this strip, whatever they say."""
    worth = outcome.outcome.worth
    if worth is None:
        return
    this = outcome.outcome.test
    for result in worth.results:
        if result.entry == this.started.entry:
            continue
        on = f" on {short_day(result.on)}" if result.on else ""
        sampled = f", {result.days_sampled} day(s) sampled"
        yield hang("Beside it", f"{result.test} {result.call.value}{on}{sampled}.")


def _meaning_lines(outcome: "ReadingOutcome") -> Iterator["RenderableType"]:
    """What it means, in one sentence, and the reasons for it."""
    meaning = outcome.outcome.meaning
    if not meaning:
        return
    yield hang("Means", str(meaning[0]), style="bold")
    because = [str(reason) for reason in meaning[1:]]
    already_said = {str(phrase) for phrase in outcome.outcome.void_says}
    text = " ".join(reason for reason in because if reason not in already_said)
    if text:
        yield hang("Because", text)


def _action_lines(
    actions: "Sequence[Action]", *, done: "MainJob"
) -> Iterator["RenderableType"]:
    for label, urgency, style in (("Now", "now", "bold"), ("Then", "planned", "")):
        chosen = [action for action in actions if action.urgency == urgency]
        for number, action in enumerate(chosen):
            when = window_words(action.window.first, action.window.last, on=done.on)
            text = str(action.says)
            if urgency == "planned":
                text = with_when(text, when)
            yield hang("" if number else label, f"- {text}", style=style)


def exposed_words(exposed: "Sequence[Contact]", *, done: "MainJob") -> str:
    """Who was met, each dog once by the closest way, and who has left since."""
    by_way: dict[str, list[str]] = {}
    seen: set[str] = set()
    gone = []
    for contact in exposed:
        if contact.dog in seen:
            continue
        seen.add(contact.dog)
        card = done.book.dogs[contact.dog]
        by_way.setdefault(contact.how.value, []).append(card.name)
        if not card.is_here:
            gone.append(card.name)
    text = "; ".join(f"{how}: {', '.join(names)}" for how, names in by_way.items())
    if gone:
        text += f". Left since: {', '.join(gone)}; ring the new owner"
    return f"{len(seen)} {'dogs' if len(seen) > 1 else 'dog'}, {text}."


def _caution_lines(
    outcome: "ReadingOutcome", *, shown: set[str]
) -> Iterator["RenderableType"]:
    """Each caution in full where it first matters; after that by name."""
    cautions = outcome.outcome.cautions
    again = [caution for caution in cautions if caution.id in shown]
    label = "Care"
    for caution in cautions:
        if caution.id not in shown:
            yield hang(label, str(caution.says))
            label = ""
            shown.add(caution.id)
    if again:
        names = ", ".join(caution.id.replace("-", " ") for caution in again)
        yield hang(label, f"as said above: {names}", style="dim")


def _foot() -> Iterator["RenderableType"]:
    yield Text()
    yield Rule(style="dim")
    yield Text(
        " A strip is a screening aid. A negative never proves a dog free; "
        "confirmation\n and treatment are the vet's, and local law says what must be "
        "reported.",
    )
    yield Text(" Next: kennelward desk --demo (this kennel in the browser)\n", "dim")
