"""Who is a suspect of an infection, and who met one."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.handbook import Handbook
from kennelward.kennel import Book, Contact, ContactHow, contacts
from kennelward.kennel import facts as f
from kennelward.terms import Call, DateWindow

# Words for a way of meeting, as the handbook's priors know them.
HOW_WORDS = {
    ContactHow.SAME_PEN: "pen-mate",
    ContactHow.SAME_LITTER: "littermate",
    ContactHow.MATING: "mate",
    ContactHow.PEN_USED_AFTER: "pen-mate",
}

PREGNANCY = "pregnancy"  # has the shape of an infection and is caught from nobody


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """One way in which a dog met a suspect."""

    suspect: str  # dog id
    how: str  # pen-mate | littermate | dam | mate
    first: date
    last: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A dog that may carry an infection, and since when it may have passed it on."""

    dog: str
    since: date  # first day of signs, or of the sample
    because: str  # "test" | "laboratory" | "kept-apart"


def suspects(
    *, book: Book, handbook: Handbook, infection: str, on: date
) -> tuple[Suspect, ...]:
    """Suspects on `on`: a positive or trace strip, a laboratory positive, or kept apart.

    A void result still makes a suspect where a line was seen: it never lifts caution.
    Results count for the infection's `same_episode_days`, and longer while the dog is
    kept apart. One entry a dog, its earliest.
    """
    reach = int(handbook.infections[infection].values["same_episode_days"].value)
    earliest = on - timedelta(days=reach)
    found: dict[str, Suspect] = {}

    def note(dog: str, day: date, because: str) -> None:
        if (
            day <= on
            and dog in book.dogs
            and (dog not in found or day < found[dog].since)
        ):
            found[dog] = Suspect(dog=dog, since=day, because=because)

    for card in book.tests.values():
        kit = handbook.kits.get(card.kit)
        if kit is None or kit.infection != infection or card.state != "read":
            continue
        day = book.day_of(card.started.happened_at)
        if day >= earliest and card.call in (Call.POSITIVE, Call.TRACE):
            note(card.dog, day, "test")
    for entry in book.of(f.OtherResult):
        fact = entry.fact
        if isinstance(fact, f.OtherResult) and fact.infection == infection:
            day = fact.sampled_on or book.happened_on(entry)
            if day >= earliest and fact.call == Call.POSITIVE:
                note(fact.dog, day, "laboratory")
    for dog in book.dogs_here:
        if dog.apart is not None and dog.apart.infection == infection:
            note(dog.dog, dog.apart.since, "kept-apart")
    return tuple(
        Suspect(
            dog=s.dog, since=_first_signs(book, s, earliest=earliest), because=s.because
        )
        for s in sorted(found.values(), key=lambda s: (s.since, s.dog))
    )


def _first_signs(book: Book, suspect: Suspect, *, earliest: date) -> date:
    """The suspect's first day of the present run of signs, if before its result."""
    signs_since = book.dogs[suspect.dog].signs_since
    if signs_since is not None and earliest <= signs_since < suspect.since:
        return signs_since
    return suspect.since


def contain(
    *, book: Book, handbook: Handbook, dog: str, infection: str, on: date
) -> tuple[Contact, ...]:
    """Dogs that a suspect may have infected, closest way first.

    Looks back the infection's `contact_look_back_days` before first signs, or before
    the result where there were none, and counts pens used after within
    `pen_used_after_days`.
    """
    mine = [
        s
        for s in suspects(book=book, handbook=handbook, infection=infection, on=on)
        if s.dog == dog
    ]
    since = mine[0].since if mine else (book.dogs[dog].signs_since or on)
    return _met_since(book, handbook, dog=dog, infection=infection, since=since, on=on)


def _met_since(
    book: Book, handbook: Handbook, *, dog: str, infection: str, since: date, on: date
) -> tuple[Contact, ...]:
    """Contacts of a suspect since so many days before `since`."""
    values = handbook.infections[infection].values
    back = timedelta(days=int(values["contact_look_back_days"].value))
    return contacts(
        book,
        dog,
        window=DateWindow(min(since - back, on), on),
        used_after_days=int(values["pen_used_after_days"].value),
    )


def exposures_by_dog(
    *, book: Book, handbook: Handbook, infection: str, on: date
) -> Mapping[str, tuple[Exposure, ...]]:
    """For each dog that met a suspect: how, and on which days. None for pregnancy."""
    if infection == PREGNANCY:
        return {}
    found: dict[str, list[Exposure]] = {}
    for suspect in suspects(book=book, handbook=handbook, infection=infection, on=on):
        met = _met_since(
            book,
            handbook,
            dog=suspect.dog,
            infection=infection,
            since=suspect.since,
            on=on,
        )
        for contact in met:
            how = HOW_WORDS[contact.how]
            if how == "littermate" and _is_dam(book, dam=suspect.dog, pup=contact.dog):
                how = "dam"
            found.setdefault(contact.dog, []).append(
                Exposure(
                    suspect=suspect.dog, how=how, first=contact.first, last=contact.last
                )
            )
    return {dog: tuple(ways) for dog, ways in found.items()}


def _is_dam(book: Book, *, dam: str, pup: str) -> bool:
    litter = book.litters.get(book.dogs[pup].described.litter)
    return litter is not None and litter.dam == dam
