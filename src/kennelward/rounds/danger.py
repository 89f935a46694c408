"""A short account of a dog to read aloud to the vet on the telephone."""

from datetime import date

from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.terms import Phrase

LATEST = 3  # vaccinations and results named, no more: it is read aloud


def danger_summary(
    *, book: Book, handbook: Handbook, dog: str, on: date
) -> tuple[Phrase, ...]:
    """Name, age, signs, since when, vaccines, courses and results; latest first."""
    card = book.dogs[dog]
    lines = [_who(book, dog, on=on)]
    danger = card.danger
    if (
        danger is not None
        and isinstance(danger.fact, f.DangerChecked)
        and danger.fact.dangers
        and book.happened_on(danger) == on
    ):
        seen = ", ".join(word.replace("-", " ") for word in danger.fact.dangers)
        lines.append(Phrase("Right now: {seen}.", {"seen": seen}))
    if card.signs and card.signs_since is not None:
        signs = ", ".join(sign.replace("-", " ") for sign in card.signs)
        lines.append(
            Phrase(
                "Signs: {signs}, since {day}.",
                {"signs": signs, "day": card.signs_since.isoformat()},
            )
        )
    lines.extend(_history(book, handbook, dog, on=on))
    return tuple(lines)


def _who(book: Book, dog: str, *, on: date) -> Phrase:
    card = book.dogs[dog]
    age = card.age_days(on)
    values: dict[str, str | int] = {"dog": card.name, "sex": card.described.sex}
    if age < 7 * 26:
        return Phrase("{dog}, {sex}, {weeks} weeks old.", values | {"weeks": age // 7})
    return Phrase(
        "{dog}, {sex}, {years} years old.", values | {"years": f"{age / 365.25:.1f}"}
    )


def _history(book: Book, handbook: Handbook, dog: str, *, on: date) -> list[Phrase]:
    lines: list[Phrase] = []
    entries = [e for e in reversed(book.about(dog)) if book.happened_on(e) <= on]
    vaccinated = [e for e in entries if isinstance(e.fact, f.Vaccinated)][:LATEST]
    for entry in vaccinated:
        if isinstance(entry.fact, f.Vaccinated):
            lines.append(
                Phrase(
                    "Vaccinated {day} against {what}.",
                    {
                        "day": book.happened_on(entry).isoformat(),
                        "what": ", ".join(entry.fact.against),
                    },
                )
            )
    if not vaccinated:
        lines.append(Phrase("No vaccination is in the book."))
    for entry in entries:
        if isinstance(entry.fact, f.Weighed):
            lines.append(
                Phrase(
                    "Last weight {grams} g on {day}.",
                    {
                        "grams": f"{entry.fact.weight_g:g}",
                        "day": book.happened_on(entry).isoformat(),
                    },
                )
            )
            break
    for card in [c for c in reversed(book.tests_of(dog)) if c.state == "read"][:LATEST]:
        kit = handbook.kits.get(card.kit)
        lines.append(
            Phrase(
                "Strip of {day}: {kit}, {call}.",
                {
                    "day": book.day_of(card.started.happened_at).isoformat(),
                    "kit": kit.name if kit is not None else card.kit,
                    "call": card.call.value if card.counts else "does not count",
                },
            )
        )
    for course in book.courses.values():
        if course.dog == dog and course.facts.starts_on <= on <= course.facts.ends_on:
            lines.append(
                Phrase(
                    "On a course by {vet} until {day}.",
                    {
                        "vet": course.facts.prescribed_by,
                        "day": course.facts.ends_on.isoformat(),
                    },
                )
            )
    return lines
