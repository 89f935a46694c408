"""The walk: pens in the order they are done, with the changes of shoes between."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.http import QueryDict
from django.utils.translation import gettext as _

from kennelward.desk.pages.shell.dog_lines import age_words
from kennelward.desk.pages.shell.here import Here
from kennelward.kennel import Book, DogCard, PenCard, round_order
from kennelward.kennel import facts as f
from kennelward.kennel.round_order import round_rank
from kennelward.terms import BadInput

# Signs offered on a round, commonest first. Those of `LOOK_NOW` may be a danger:
# the five questions are proposed at once.
SIGNS_SHOWN = (
    "soft-stool",
    "diarrhoea",
    "bloody-stool",
    "off-food",
    "vomiting",
    "listless",
    "cough",
    "discharge",
    "fever",
    "not-gaining",
    "retching-swollen-belly",
    "back-pain",
    "scrotal-swelling",
)
LOOK_NOW = frozenset(
    {"bloody-stool", "vomiting", "listless", "off-food", "retching-swollen-belly"}
)
GROUP_WORDS = {  # rank of kennel.round_order -> heading, and what to change before it
    89: "signs",
    90: "quarantine",
    100: "isolation",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class DogOnRound:
    """One dog on the round."""

    dog: str
    name: str
    age: str
    signs: tuple[str, ...]  # that stand from before
    offered: tuple[str, ...]  # signs that fit its sex
    is_apart: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PenOnRound:
    """One pen on the round."""

    pen: str
    name: str
    dogs: tuple[DogOnRound, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """Pens of one kind, with what to do before entering them."""

    code: str  # pen kind, or "signs"
    heading: str
    change: str  # what to change before this leg; empty where nothing
    pens: tuple[PenOnRound, ...]
    empty: tuple[str, ...]  # names of empty pens


def legs(place: Here) -> list[Leg]:
    """The walk, leg by leg."""
    book = place.book
    found: dict[str, list[PenCard]] = {}
    for pen in round_order(book):
        found.setdefault(leg_code(book, pen), []).append(pen)
    return [
        Leg(
            code=code,
            heading=leg_heading(code),
            change=leg_change(code, is_first=place_in_walk == 0),
            pens=tuple(_pen(place, pen) for pen in pens if pen.dogs_now),
            empty=tuple(pen.name for pen in pens if not pen.dogs_now),
        )
        for place_in_walk, (code, pens) in enumerate(found.items())
    ]


def leg_code(book: Book, pen: PenCard) -> str:
    """The kind of leg a pen is done in today."""
    return GROUP_WORDS.get(round_rank(book, pen), pen.described.pen_kind)


def leg_heading(code: str) -> str:
    """Heading of a leg."""
    return {
        "whelping": _("Whelping boxes"),
        "litter": _("Litters"),
        "pregnant": _("Pregnant bitches"),
        "adults": _("Healthy adults"),
        "yard": _("Yards"),
        "visitor": _("Visitors"),
        "signs": _("Pens with signs"),
        "quarantine": _("Quarantine"),
        "isolation": _("Isolation"),
    }[code]


def leg_change(code: str, *, is_first: bool) -> str:
    """What to change before a leg."""
    if is_first:
        return ""
    return {
        "visitor": _("Change gloves, and shoes or covers, before the visitors."),
        "signs": _("Fresh gloves. From here on: not back to the puppies today."),
        "quarantine": _("Change shoes, coat and gloves. Wash with soap."),
        "isolation": _(
            "Change shoes, coat and gloves again. The phone stays in its bag, and goes "
            "from here to no other pen before it is wiped."
        ),
    }.get(code, "")


def _pen(place: Here, pen: PenCard) -> PenOnRound:
    dogs = [place.book.dogs[dog] for dog in pen.dogs_now]
    return PenOnRound(
        pen=pen.pen, name=pen.name, dogs=tuple(dog_on_round(place, d) for d in dogs)
    )


def dog_on_round(place: Here, card: DogCard) -> DogOnRound:
    """One dog as the round shows it."""
    return DogOnRound(
        dog=card.dog,
        name=card.name,
        age=age_words(card=card, on=place.on),
        signs=card.signs,
        offered=signs_for(card),
        is_apart=card.apart is not None,
    )


def signs_for(card: DogCard) -> tuple[str, ...]:
    """Signs that can be seen on this dog."""
    if card.described.sex == "dog":
        return SIGNS_SHOWN
    return tuple(sign for sign in SIGNS_SHOWN if sign != "scrotal-swelling")


def signs_sent(sent: QueryDict, card: DogCard) -> tuple[str, ...] | None:
    """What a form says about one dog; None where it was well and nothing stands.

    A dog with standing signs keeps them unless the person said "well again" or ticked
    others: silence never makes a dog well.
    """
    ticked = [sign for sign in f.SIGNS if sign in sent.getlist(f"sign-{card.dog}")]
    unknown = set(sent.getlist(f"sign-{card.dog}")) - set(f.SIGNS)
    if unknown:
        raise BadInput(_("This form is damaged; open the page again."))
    if card.signs and sent.get(f"now-{card.dog}") == "well":
        return ()
    return tuple(ticked) or (card.signs or None)


def facts_of_round(sent: QueryDict, *, book: Book) -> list[f.Fact]:
    """One `RoundDone`, and an `Observed` for each dog with signs, or well again.

    Raises BadInput where no pen was seen.
    """
    ticked = set(sent.getlist("well"))
    everywhere = "rest" in sent
    pens: list[str] = []
    observed: list[f.Fact] = []
    for pen in round_order(book):
        is_seen = everywhere or pen.pen in ticked
        if is_seen or any(_is_marked(sent, book.dogs[dog]) for dog in pen.dogs_now):
            pens.append(pen.pen)
            observed.extend(_observed(sent, pen, dogs=book.dogs))
    if not pens:
        raise BadInput(
            _("Tick the pens you have seen, or say that all the rest is well.")
        )
    return [f.RoundDone(pens=tuple(pens), note=sent.get("note", "").strip()), *observed]


def _is_marked(sent: QueryDict, card: DogCard) -> bool:
    """True where the person said something new about the dog."""
    if card.signs and sent.get(f"now-{card.dog}") == "well":
        return True
    ticked = set(sent.getlist(f"sign-{card.dog}"))
    return bool(ticked) and ticked != set(card.signs)


def _observed(
    sent: QueryDict, pen: PenCard, *, dogs: Mapping[str, DogCard]
) -> list[f.Fact]:
    found: list[f.Fact] = []
    for dog in pen.dogs_now:
        signs = signs_sent(sent, dogs[dog])
        if signs is not None:
            found.append(f.Observed(dog=dog, signs=signs))
    return found
