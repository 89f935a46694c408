"""What sets rules going, first half: arrivals, signs, tests, results, cases, courses."""

from collections.abc import Iterator
from dataclasses import replace

from kennelward.kennel import TestCard
from kennelward.kennel.facts import Arrived, DangerChecked, Vaccinated, Wormed
from kennelward.programme.anchor import Anchor
from kennelward.programme.cases import Case, cases, clears_from, is_kit_of, open_cases
from kennelward.programme.exposed import exposed, met_by
from kennelward.programme.outside import last_exposed_outside
from kennelward.programme.rules import Word
from kennelward.programme.signs import sign_runs
from kennelward.programme.view import View
from kennelward.programme.vocabulary import trigger
from kennelward.terms import Call


@trigger("arrived")
def arrived(view: View, word: Word) -> Iterator[Anchor]:
    """A dog here came in; its latest arrival."""
    latest = {}
    for entry in view.recent(Arrived):
        if isinstance(entry.fact, Arrived) and entry.fact.dog in view.here:
            latest[entry.fact.dog] = entry
    for dog, entry in sorted(latest.items()):
        yield Anchor(subject=dog, entry=entry.entry, day=view.day(entry))


@trigger("signs", shows=("signs",), needs=("any",), any="signs", at_least="number")
def signs(view: View, word: Word) -> Iterator[Anchor]:
    """A dog shows signs now, and some of `any` were seen in this run of signs."""
    wanted = set(word.texts("any"))
    for dog in view.here:
        runs = sign_runs(view, dog) if view.has_signs(dog) else []
        if not runs or not runs[-1][-1][2]:
            continue
        together: set[str] = set()
        for day, entry, seen in runs[-1]:
            together |= seen & wanted
            if len(together) >= word.number("at_least", 1):
                yield Anchor(
                    subject=dog,
                    entry=entry.entry,
                    day=day,
                    since=runs[-1][0][0],
                    shows={"signs": ", ".join(sorted(together))},
                )
                break


@trigger("danger", shows=("dangers",), needs=("any",), any="dangers")
def danger(view: View, word: Word) -> Iterator[Anchor]:
    """The latest danger check of a dog found one of `any`."""
    for dog, card in view.here.items():
        entry = card.danger
        if entry is None or not isinstance(entry.fact, DangerChecked):
            continue
        found = set(entry.fact.dangers) & set(word.texts("any"))
        if found and view.days_ago(view.day(entry)) <= 14:
            yield Anchor(
                subject=dog,
                entry=entry.entry,
                day=view.day(entry),
                shows={"dangers": ", ".join(sorted(found))},
            )


@trigger(
    "strip",
    shows=("call", "faint", "kit"),
    needs=("infection", "calls"),
    infection="infection",
    calls="calls",
    counts="yes",
    voids="voids",
)
def strip(view: View, word: Word) -> Iterator[Anchor]:
    """The latest strip of a dog for an infection says one of `calls`.

    `counts` asks whether the result counts. `voids` narrows to reasons it does not.
    """
    calls = word.texts("calls")
    for card, call in _latest_strips(view, word.text("infection")):
        if call.value in calls and _counts_as_asked(card, word):
            yield _of_strip(view, card)


def _latest_strips(view: View, infection: str) -> list[tuple[TestCard, Call]]:
    """The latest strip of each dog here for an infection, with its call."""

    def find() -> list[tuple[TestCard, Call]]:
        found = []
        for dog in view.here:
            for card in reversed(view.tests.get(dog, ())):
                if is_kit_of(view, card.kit, infection):
                    found.append((card, card.call))
                    break
        return found

    return view.keep(("latest-strips", infection), find)


def _counts_as_asked(card: TestCard, word: Word) -> bool:
    if "counts" in word.tells and card.counts != bool(word.tells["counts"]):
        return False
    voids = set(word.texts("voids"))
    return not voids or bool(voids & set(card.void_reasons))


def _of_strip(view: View, card: TestCard) -> Anchor:
    faint = "faint" if card.is_faint else ""
    return Anchor(
        subject=card.dog,
        entry=card.started.entry,
        day=view.sampled(card),
        shows={"call": card.call.value, "faint": faint, "kit": card.kit},
    )


@trigger("strip-running", shows=("call", "faint", "kit"))
def strip_running(view: View, word: Word) -> Iterator[Anchor]:
    """A strip was started and neither read nor dropped."""
    for _, card in sorted(view.book.tests.items()):
        if card.state == "running" and card.dog in view.here:
            yield _of_strip(view, card)


@trigger(
    "result",
    shows=("method",),
    needs=("infection", "result"),
    infection="infection",
    result="result",
    methods="methods",
)
def result(view: View, word: Word) -> Iterator[Anchor]:
    """The latest result by another method; its sample's day counts."""
    for dog in view.here:
        found = view.results(dog, word.text("infection"))
        if not found or found[-1][2].call != word.text("result"):
            continue
        day, entry, fact = found[-1]
        if not word.texts("methods") or fact.method in word.texts("methods"):
            yield Anchor(
                subject=dog, entry=entry.entry, day=day, shows={"method": fact.method}
            )


@trigger(
    "case", needs=("infection",), infection="infection", by_signs="yes", doubt="yes"
)
def case(view: View, word: Word) -> Iterator[Anchor]:
    """A dog here is a case that is not over."""
    for dog, found in open_cases(view, word.text("infection")).items():
        if "by_signs" in word.tells and found.has_signs != bool(word.tells["by_signs"]):
            continue
        if "doubt" in word.tells and found.is_doubt != bool(word.tells["doubt"]):
            continue
        yield _of_case(view, dog, found)


def _of_case(view: View, dog: str, found: Case) -> Anchor:
    return Anchor(subject=dog, entry=found.entry, day=found.first_day)


@trigger(
    "case-met", shows=("met", "count"), needs=("infection",), infection="infection"
)
def case_met(view: View, word: Word) -> Iterator[Anchor]:
    """A case met others: names of mates, litters and pen mates, also of those gone since."""
    for dog, found in open_cases(view, word.text("infection")).items():
        met = met_by(view, found)
        if met:
            names = dict.fromkeys(view.book.name_of(contact.dog) for contact in met)
            yield replace(
                _of_case(view, dog, found),
                shows={"met": ", ".join(names), "count": len(names)},
            )


@trigger("case-clears", needs=("infection",), infection="infection")
def case_clears(view: View, word: Word) -> Iterator[Anchor]:
    """A case; the day is the first on which a sample may clear it."""
    infection = word.text("infection")
    for dog, found in open_cases(view, infection).items():
        day = clears_from(view, dog, infection, found.first_day)
        yield replace(_of_case(view, dog, found), day=day, since=found.first_day)


@trigger("case-recovering", needs=("infection",), infection="infection")
def case_recovering(view: View, word: Word) -> Iterator[Anchor]:
    """Signs of a case are over; the day is the first one without, `until` the last apart."""
    for dog, found in cases(view, word.text("infection")).items():
        if dog not in view.here or not found.has_signs or found.signs_end is None:
            continue
        yield Anchor(
            subject=dog,
            entry=found.entry,
            day=found.signs_end,
            until=found.ends_on,
            since=found.first_day,
        )


@trigger(
    "kennel-case", shows=("names", "count"), needs=("infection",), infection="infection"
)
def kennel_case(view: View, word: Word) -> Iterator[Anchor]:
    """The kennel has a case; the latest one counts, dogs gone since too."""
    found = [c for c in cases(view, word.text("infection")).values() if c.is_open]
    if found:
        latest = max(found, key=lambda c: (c.first_day, c.dog))
        first = min(c.first_day for c in found)
        names = ", ".join(sorted(view.book.name_of(c.dog) for c in found))
        yield Anchor(
            subject=view.kennel_id,
            kind="kennel",
            entry=latest.entry,
            day=latest.first_day,
            since=first,
            shows={"names": names, "count": len(found)},
        )


@trigger(
    "exposed", shows=("of", "last_contact"), needs=("infection",), infection="infection"
)
def met_a_case(view: View, word: Word) -> Iterator[Anchor]:
    """A dog met a case. The day is the day its clock starts, `until` its last day."""
    for dog, found in exposed(view, word.text("infection")).items():
        names = ", ".join(view.book.name_of(other) for other in found.of)
        yield Anchor(
            subject=dog,
            entry=found.entry,
            day=found.clock_starts,
            until=found.until,
            shows={"of": names, "last_contact": found.last_contact.isoformat()},
        )


@trigger("exposed-outside", how="text")
def exposed_outside(view: View, word: Word) -> Iterator[Anchor]:
    """A dog's latest contact with the outside: an arrival, a mating, semen."""
    for dog in view.here:
        found = last_exposed_outside(view, dog)
        if found is not None and word.text("how", found[2]) == found[2]:
            yield Anchor(subject=dog, entry=found[1].entry, day=found[0])


@trigger(
    "course",
    shows=("text", "by"),
    needs=("day",),
    day="course-day",
    infection="infection",
)
def course(view: View, word: Word) -> Iterator[Anchor]:
    """A course that the vet wrote; the latest of each dog for an infection."""
    for dog in view.here:
        found = [
            card
            for card in view.courses.get(dog, ())
            if word.text("infection", card.facts.infection) == card.facts.infection
        ]
        if found:
            facts = found[-1].facts
            at_end = word.text("day") == "end"
            yield Anchor(
                subject=dog,
                entry=found[-1].written.entry,
                day=facts.ends_on if at_end else facts.starts_on,
                until=facts.ends_on,
                since=facts.ends_on if at_end else facts.starts_on,
                shows={"text": facts.text, "by": facts.prescribed_by},
            )


@trigger("kept-apart")
def kept_apart(view: View, word: Word) -> Iterator[Anchor]:
    """A dog is kept apart, by decision or by its pen."""
    for dog, card in view.here.items():
        if card.apart is not None:
            yield Anchor(subject=dog, entry=card.apart.entry, day=card.apart.since)
        elif view.is_apart(dog) and card.stays:
            stay = card.stays[-1]
            day = view.book.day_of(stay.since)
            yield Anchor(subject=dog, entry=stay.entry, day=day)


@trigger("last", needs=("what",), what="last", infection="infection", vaccine="vaccine")
def last(view: View, word: Word) -> Iterator[Anchor]:
    """The last time a dog was tested, vaccinated or wormed; never yet: its first entry."""
    for dog, card in view.here.items():
        found = _last(view, word, dog)
        if found is not None:
            yield found
        else:
            came = card.arrived
            first = came.entry if came is not None else card.first_entry
            entry = view.book.find(first)
            if entry is not None:
                yield Anchor(subject=dog, entry=first, day=view.day(entry))


def _last(view: View, word: Word, dog: str) -> Anchor | None:
    found = []
    if word.text("what") == "tested":
        infection = word.text("infection")
        found = [
            (view.sampled(card), card.started.entry)
            for card in view.tests.get(dog, ())
            if is_kit_of(view, card.kit, infection)
            and card.counts
            and card.call in (Call.POSITIVE, Call.NEGATIVE)
        ]
        found += [(day, e.entry) for day, e, _ in view.results(dog, infection)]
    else:
        kind = Vaccinated if word.text("what") == "vaccinated" else Wormed
        found = [
            (view.day(entry), entry.entry)
            for entry in view.of_dog(kind, dog)
            if kind is Wormed
            or word.text("vaccine") in getattr(entry.fact, "against", ())
        ]
    if not found:
        return None
    day, entry_id = max(found)
    return Anchor(subject=dog, entry=entry_id, day=day)
