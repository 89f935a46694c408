"""What must hold for a rule: about the dog, its history, and the kennel."""

from datetime import timedelta

from kennelward.kennel import DogCard
from kennelward.kennel.facts import Arrived, Vaccinated, Weighed
from kennelward.programme.anchor import Anchor
from kennelward.programme.attempts import (
    attempts,
    counts_from,
    is_carrying,
    is_confirmed,
    open_attempt,
    season_starts,
)
from kennelward.programme.cases import cases, open_cases
from kennelward.programme.outside import last_exposed_outside
from kennelward.programme.rules import Word
from kennelward.programme.view import View
from kennelward.programme.vocabulary import condition

ANY_AGE = 100_000


def _card(view: View, anchor: Anchor) -> DogCard | None:
    return view.book.dogs.get(anchor.about_dog)


def _asked(word: Word, found: bool) -> bool:
    """What was found, or its opposite where the word is told `is = false`."""
    return found == bool(word.tells.get("is", True))


@condition("age", days_from="number", days_below="number", at="counted-from")
def age(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog's age in days, today or on the anchor's day."""
    card = _card(view, anchor)
    if card is None:
        return False
    on = anchor.day if word.text("at", "window") == "anchor" else view.on
    days = card.age_days(on)
    return word.number("days_from") <= days < word.number("days_below", ANY_AGE)


@condition("breeding", **{"is": "yes"})
def breeding(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog is bred from."""
    card = _card(view, anchor)
    return card is not None and _asked(word, card.described.is_breeding)


@condition("neutered", **{"is": "yes"})
def neutered(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog is neutered."""
    card = _card(view, anchor)
    return card is not None and _asked(word, card.described.is_neutered)


@condition("visiting", **{"is": "yes"})
def visiting(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog is another owner's."""
    card = _card(view, anchor)
    return card is not None and _asked(word, card.is_visiting)


@condition("sex", needs=("sex",), sex="sex")
def sex(view: View, word: Word, anchor: Anchor) -> bool:
    """Bitch or dog."""
    card = _card(view, anchor)
    return card is not None and card.described.sex == word.text("sex")


@condition("origin", needs=("any",), any="origins", **{"is": "yes"})
def origin(view: View, word: Word, anchor: Anchor) -> bool:
    """Where the dog is from."""
    card = _card(view, anchor)
    return card is not None and _asked(word, card.described.origin in word.texts("any"))


@condition("signs", needs=("any",), any="signs", **{"is": "yes"})
def signs(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog, as last observed, shows some of `any`."""
    card = _card(view, anchor)
    return card is not None and _asked(
        word, bool(set(card.signs) & set(word.texts("any")))
    )


@condition("any-signs", **{"is": "yes"})
def any_signs(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog, as last observed, shows any sign at all."""
    card = _card(view, anchor)
    return card is not None and _asked(word, bool(card.signs))


@condition("apart", **{"is": "yes"})
def apart(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog is kept apart, by decision or by its pen."""
    return _asked(word, view.is_apart(anchor.about_dog))


@condition("case", needs=("infection",), infection="infection", **{"is": "yes"})
def is_case(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog is a case of an infection that is not over."""
    found = open_cases(view, word.text("infection"))
    return _asked(word, anchor.about_dog in found)


@condition("was-case", needs=("infection",), infection="infection", **{"is": "yes"})
def was_case(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog was a case already before the anchor's day, and was not cleared."""
    found = cases(view, word.text("infection")).get(anchor.about_dog)
    before = found is not None and found.is_open and found.first_day < anchor.day
    return _asked(word, before and found is not None and not found.is_doubt)


@condition("family-case", needs=("infection",), infection="infection", **{"is": "yes"})
def family_case(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog's dam or a littermate is a case."""
    card = _card(view, anchor)
    if card is None:
        return False
    family = {card.described.dam}
    litter = view.book.litters.get(card.described.litter)
    if litter is not None:
        family |= {litter.dam, *litter.dogs} - {card.dog}
    found = open_cases(view, word.text("infection"))
    return _asked(word, bool(family & set(found)))


@condition("exposed-lately", needs=("days",), days="number", **{"is": "yes"})
def exposed_lately(view: View, word: Word, anchor: Anchor) -> bool:
    """The anchor's day is fewer than `days` after the dog's last contact outside."""
    found = last_exposed_outside(view, anchor.about_dog)
    late = found is not None and (anchor.day - found[0]).days < word.number("days")
    return _asked(word, late)


@condition(
    "live-vaccine",
    needs=("vaccine", "days_from", "days_to"),
    vaccine="vaccine",
    days_from="number",
    days_to="number",
    **{"is": "yes"},
)
def live_vaccine(view: View, word: Word, anchor: Anchor) -> bool:
    """A live vaccine was given so many days before the anchor's day."""
    found = any(
        isinstance(entry.fact, Vaccinated)
        and entry.fact.is_live
        and word.text("vaccine") in entry.fact.against
        and word.number("days_from")
        <= (anchor.day - view.day(entry)).days
        <= word.number("days_to")
        for entry in view.of_dog(Vaccinated, anchor.about_dog)
    )
    return _asked(word, found)


@condition("vaccinated", needs=("vaccine",), vaccine="vaccine", **{"is": "yes"})
def vaccinated(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog was vaccinated at least once, as far as the book knows."""
    found = any(
        word.text("vaccine") in getattr(entry.fact, "against", ())
        for entry in view.of_dog(Vaccinated, anchor.about_dog)
    )
    return _asked(word, found)


@condition(
    "course-lately",
    needs=("days",),
    infection="infection",
    days="number",
    **{"is": "yes"},
)
def course_lately(view: View, word: Word, anchor: Anchor) -> bool:
    """The anchor's day is during a course or at most `days` after its end."""
    infection = word.text("infection")
    found = any(
        (not infection or course.facts.infection == infection)
        and course.facts.starts_on <= anchor.day
        and (anchor.day - course.facts.ends_on).days <= word.number("days")
        for course in view.courses.get(anchor.about_dog, ())
    )
    return _asked(word, found)


@condition("pregnant", **{"is": "yes"})
def pregnant(view: View, word: Word, anchor: Anchor) -> bool:
    """The bitch was mated and may be carrying a litter."""
    return _asked(word, is_carrying(view, anchor.about_dog))


@condition("pregnancy-confirmed", **{"is": "yes"})
def pregnancy_confirmed(view: View, word: Word, anchor: Anchor) -> bool:
    """A strip that counts or a scan says that she carries now."""
    found = open_attempt(view, anchor.about_dog)
    return _asked(word, found is not None and is_confirmed(view, found))


@condition("confirmed-before", **{"is": "yes"})
def confirmed_before(view: View, word: Word, anchor: Anchor) -> bool:
    """A strip that counts or a scan had said that she carries, before the anchor's day."""
    found = open_attempt(view, anchor.about_dog)
    return _asked(
        word, found is not None and is_confirmed(view, found, before=anchor.day)
    )


@condition("before-countable", **{"is": "yes"})
def before_countable(view: View, word: Word, anchor: Anchor) -> bool:
    """The anchor's day is before a negative pregnancy strip counts."""
    found = attempts(view).get(anchor.about_dog, [])
    if not found:
        return False
    early = anchor.day < counts_from(view, found[-1])
    return _asked(word, early)


@condition("since", days_from="number", days_to="number")
def since(view: View, word: Word, anchor: Anchor) -> bool:
    """Today is so many days after the anchor's day."""
    days = view.days_ago(anchor.day)
    return word.number("days_from") <= days <= word.number("days_to", ANY_AGE)


@condition("lacks", needs=("any",), any="lacks")
def lacks(view: View, word: Word, anchor: Anchor) -> bool:
    """Something is missing on the intake sheet of the dog's latest arrival."""
    card = _card(view, anchor)
    entry = card.arrived if card is not None else None
    if card is None or entry is None or not isinstance(entry.fact, Arrived):
        return False
    came = entry.fact
    weighed = any(
        view.day(weight) >= view.day(entry) - timedelta(days=1)
        for weight in view.of_dog(Weighed, card.dog)
    )
    missing = {
        "consent": not came.has_consent,
        "statement": not came.no_contact_statement,
        "temperature": came.temperature_c is None,
        "gums": not came.gums,
        "stool": not came.stool,
        "appetite": not came.appetite,
        "weight": not weighed,
        "chip": not card.described.chip,
        "last-contact": came.last_outside_contact_on is None,
    }
    return any(missing[what] for what in word.texts("any"))


@condition("mated-by", needs=("any",), any="mating-methods")
def mated_by(view: View, word: Word, anchor: Anchor) -> bool:
    """The latest mating was done in one of these ways."""
    found = attempts(view).get(anchor.about_dog, [])
    methods = (
        {getattr(e.fact, "method", "") for e in found[-1].matings} if found else set()
    )
    return bool(methods & set(word.texts("any")))


@condition("season-lately", needs=("days",), days="number", **{"is": "yes"})
def season_lately(view: View, word: Word, anchor: Anchor) -> bool:
    """The bitch's latest season started at most so many days ago."""
    found = season_starts(view).get(anchor.about_dog)
    lately = found is not None and view.days_ago(found[0]) <= word.number("days")
    return _asked(word, lately)


@condition("arrived-within", needs=("days",), days="number", **{"is": "yes"})
def arrived_within(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog came in at most so many days ago."""
    card = _card(view, anchor)
    came = card.arrived if card is not None else None
    lately = came is not None and view.days_ago(view.day(came)) <= word.number("days")
    return _asked(word, lately)


@condition("chipped", **{"is": "yes"})
def chipped(view: View, word: Word, anchor: Anchor) -> bool:
    """The dog has a chip."""
    card = _card(view, anchor)
    return card is not None and _asked(word, bool(card.described.chip))
