"""What ends an action: that what it asks for stands in the book.

A strip that does not count ends nothing.
"""

from collections.abc import Iterable
from datetime import date, timedelta

from kennelward.kennel import Entry
from kennelward.kennel.facts import (
    ApartEnded,
    Bathed,
    Cleaned,
    DangerChecked,
    Fact,
    Observed,
    RoundDone,
    TemperatureTaken,
    Vaccinated,
    VetCalled,
    Weighed,
    Wormed,
)
from kennelward.programme.anchor import Anchor
from kennelward.programme.attempts import attempts
from kennelward.programme.cases import clears_from, is_kit_of
from kennelward.programme.rules import Word
from kennelward.programme.view import View
from kennelward.programme.vocabulary import end
from kennelward.terms import DateWindow


def _dogs(view: View, anchor: Anchor) -> tuple[str, ...]:
    """Dogs whose entries may end an action: the whole litter for a litter."""
    members = view.members(anchor.kind, anchor.subject)
    return tuple(dict.fromkeys((*members, *filter(None, [anchor.dog]))))


def _from(word: Word, anchor: Anchor, window: DateWindow) -> date:
    """Day from which an entry counts, `early` days sooner or `late` days later."""
    told = word.text("from", "anchor")
    start = window.first if told == "window" else anchor.counted_from
    return start + timedelta(days=word.number("late") - word.number("early"))


def _entries(view: View, kind: type[Fact], anchor: Anchor) -> Iterable[Entry]:
    for dog in _dogs(view, anchor):
        yield from view.of_dog(kind, dog)


def _since(
    view: View, kind: type[Fact], word: Word, anchor: Anchor, window: DateWindow
) -> bool:
    start = _from(word, anchor, window)
    return any(view.day(e) >= start for e in _entries(view, kind, anchor))


@end("vet-called", **{"from": "counted-from"})
def vet_called(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """The vet was called about the dog after what set the rule going."""
    cause = view.book.find(anchor.entry)
    start = _from(word, anchor, window)
    return any(
        view.day(entry) >= start
        and (cause is None or entry.happened_at >= cause.happened_at)
        for entry in _entries(view, VetCalled, anchor)
    )


@end("tested", needs=("infection",), infection="infection", early="number",
     calls="calls", **{"from": "counted-from"})  # fmt: skip
def tested(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """A strip was run whose result counts; the strip that asked for it is not it."""
    start = _from(word, anchor, window)
    calls = word.texts("calls") or ("positive", "negative")
    return any(
        is_kit_of(view, card.kit, word.text("infection"))
        and card.counts
        and card.call.value in calls
        and card.started.entry != anchor.entry
        and view.sampled(card) >= start
        for dog in _dogs(view, anchor)
        for card in view.tests.get(dog, ())
    )


@end("result", needs=("infection",), infection="infection", methods="methods",
     result="result", early="number", late="number", days_sampled="number",
     **{"from": "counted-from"})  # fmt: skip
def result(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """A result by another method came in; the one that asked for it is not it."""
    start = _from(word, anchor, window)
    methods = word.texts("methods")
    wanted = word.text("result")
    return any(
        day >= start
        and entry.entry != anchor.entry
        and (not methods or fact.method in methods)
        and (not wanted or fact.call == wanted)
        and fact.days_sampled >= word.number("days_sampled", 1)
        for dog in _dogs(view, anchor)
        for day, entry, fact in view.results(dog, word.text("infection"))
    )


@end("cleared", needs=("infection",), infection="infection")
def cleared(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """A negative by a clearing method, from a sample drawn late enough to clear."""
    infection = word.text("infection")
    methods = view.rules.clearing_methods.get(infection, ())
    for dog in _dogs(view, anchor):
        start = clears_from(view, dog, infection, anchor.counted_from)
        if any(
            fact.call == "negative" and fact.method in methods and day >= start
            for day, _, fact in view.results(dog, infection)
        ):
            return True
    return False


@end("kept-apart", pens="pen-kinds")
def kept_apart(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """Every dog of the subject that is here is apart, by decision or by its pen.

    The dam counts for her litter. A dog in one of `pens` counts as well.
    """
    dogs = [dog for dog in _dogs(view, anchor) if dog in view.here]
    return bool(dogs) and all(_is_away(view, word, dog) for dog in dogs)


def _is_away(view: View, word: Word, dog: str) -> bool:
    if view.is_apart(dog):
        return True
    unit = view.unit_of.get(dog)
    if unit is not None and view.is_apart(view.book.litters[unit].dam):
        return True
    pen = view.book.pens.get(view.book.dogs[dog].pen)
    return pen is not None and pen.described.pen_kind in word.texts("pens")


@end("apart-ended", **{"from": "counted-from"})
def apart_ended(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """Keeping apart was ended on somebody's word, or the dog is not apart."""
    return _since(view, ApartEnded, word, anchor, window)


@end("not-apart")
def not_apart(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """The dog is not apart any more."""
    return not any(view.is_apart(dog) for dog in _dogs(view, anchor))


@end("bathed", early="number", **{"from": "counted-from"})
def bathed(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """The dog was bathed."""
    return _since(view, Bathed, word, anchor, window)


@end("cleaned", early="number", **{"from": "counted-from"})
def cleaned(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """The pen was cleaned: the subject itself, or the pen that the dog is in."""
    start = _from(word, anchor, window)
    pens = {anchor.subject} if anchor.kind == "pen" else set()
    if not pens:
        pens = {view.book.dogs[d].pen for d in _dogs(view, anchor) if d in view.here}
    return any(
        view.day(entry) >= start
        for pen in pens
        for entry in view.by_dog(Cleaned, name="pen").get(pen, ())
    )


@end("course-written", infection="infection")
def course_written(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """The vet's course was written down."""
    infection = word.text("infection")
    return any(
        course.facts.ends_on >= anchor.counted_from
        and (not infection or course.facts.infection in ("", infection))
        for dog in _dogs(view, anchor)
        for course in view.courses.get(dog, ())
    )


@end("danger-checked", **{"from": "counted-from"})
def danger_checked(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """The danger check was done."""
    return _since(view, DangerChecked, word, anchor, window)


@end("vaccinated", vaccine="vaccine", early="number", **{"from": "counted-from"})
def vaccinated(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """A vaccination was written down."""
    start = _from(word, anchor, window)
    vaccine = word.text("vaccine")
    return any(
        view.day(entry) >= start
        and (not vaccine or vaccine in getattr(entry.fact, "against", ()))
        for entry in _entries(view, Vaccinated, anchor)
    )


@end("wormed", early="number", **{"from": "counted-from"})
def wormed(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """A worming was written down."""
    return _since(view, Wormed, word, anchor, window)


@end("weighed", **{"from": "counted-from"})
def weighed(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """A weight was written down."""
    return _since(view, Weighed, word, anchor, window)


@end("temperature-taken", **{"from": "counted-from"})
def temperature_taken(
    view: View, word: Word, anchor: Anchor, window: DateWindow
) -> bool:
    """A temperature was written down."""
    return _since(view, TemperatureTaken, word, anchor, window)


@end("observed", **{"from": "counted-from"})
def observed(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """The dog was looked at: noted on its own, or a round was done."""
    start = _from(word, anchor, window)
    alone = any(
        day >= start
        for dog in _dogs(view, anchor)
        for day, _, _ in view.observations(dog)
    )
    return alone or any(view.day(e) >= start for e in view.recent(RoundDone, days=30))


@end("well")
def well(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """The dog was last observed without signs, after what set the rule going."""
    seen = [found for d in _dogs(view, anchor) for found in view.observations(d)]
    if not seen:
        return False
    day, _, fact = max(seen, key=lambda each: each[1].happened_at)
    return not fact.signs and day >= anchor.counted_from and isinstance(fact, Observed)


@end("round-done", **{"from": "counted-from"})
def round_done(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """A round was done."""
    start = _from(word, anchor, window)
    return any(view.day(entry) >= start for entry in view.recent(RoundDone, days=30))


@end("attempt-over")
def attempt_over(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """The bitch whelped or lost the pregnancy."""
    return any(
        attempt.entry == anchor.entry and attempt.ended is not None
        for attempt in attempts(view).get(anchor.about_dog, ())
    )


@end("moved", needs=("pens",), pens="pen-kinds")
def moved(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """Every dog of the subject that is here is in a pen of these kinds."""
    pens = [
        view.book.pens.get(view.book.dogs[dog].pen)
        for dog in _dogs(view, anchor)
        if dog in view.here
    ]
    return bool(pens) and all(
        pen is not None and pen.described.pen_kind in word.texts("pens") for pen in pens
    )


@end("strip-read")
def strip_read(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """The strip that was running is read or dropped."""
    return not any(
        card.state == "running" and card.started.entry == anchor.entry
        for card in view.book.tests.values()
    )


@end("given-today")
def given_today(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """Every giving of the course for the window's day is ticked."""
    for course in view.courses.get(anchor.about_dog, ()):
        if course.written.entry == anchor.entry:
            ticked = {nth for day, nth in course.given if day == window.first}
            return len(ticked) >= course.facts.times_a_day
    return False


@end("leaflet-confirmed")
def leaflet_confirmed(
    view: View, word: Word, anchor: Anchor, window: DateWindow
) -> bool:
    """What the leaflet says was typed in."""
    return str(anchor.shows.get("kit", "")) in view.book.leaflets


@end("result-or-strip", needs=("infection",), infection="infection", early="number",
     **{"from": "counted-from"})  # fmt: skip
def result_or_strip(view: View, word: Word, anchor: Anchor, window: DateWindow) -> bool:
    """Any result that counts: a strip or another method."""
    return tested(view, word, anchor, window) or result(view, word, anchor, window)
