"""The five questions, and the pictures that always mean the vet."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.shell.forms import EntryForm, note_field
from kennelward.kennel import Book, DogCard
from kennelward.kennel import facts as f

YES, NO = "yes", "no"

# How long after a season an adult bitch's womb is watched, and how long after a mating
# green discharge may be about puppies. Judgement, from memory: they only decide whether
# a question is asked, and asking too often does no harm.
AFTER_SEASON_DAYS = 120
AFTER_MATING_DAYS = 80
GROWN_MONTHS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question about a dog, in a breeder's words."""

    code: str
    asks: Any
    how: Any
    icon: str


FIVE = (
    Question(
        code="dull",
        asks=_("Dull, or hard to rouse?"),
        how=_("Does not get up, does not look at you, limp."),
        icon="dull",
    ),
    Question(
        code="cold",
        asks=_("Cold to the touch?"),
        how=_("Ears, paws, inside of the lips."),
        icon="cold",
    ),
    Question(
        code="bleeding",
        asks=_("Bleeding anywhere?"),
        how=_("Blood in stool or vomit counts. So does blood from a wound."),
        icon="bleeding",
    ),
    Question(
        code="vomiting-again",
        asks=_("Vomiting again and again?"),
        how=_("More than once, or cannot keep water down."),
        icon="vomiting",
    ),
    Question(
        code="not-eating",
        asks=_("Not eating, or not drinking?"),
        how=_("A puppy that does not drink from the dam counts."),
        icon="bowl",
    ),
)
RETCHING = Question(
    code="retching-swollen-belly",
    asks=_("Retching, with a swollen belly?"),
    how=_("Tries to vomit and little comes; the belly is tight. Minutes count."),
    icon="belly",
)
AFTER_SEASON = Question(
    code="ill-after-season",
    asks=_("Dull, thirsty or vomiting in the weeks after a season?"),
    how=_("With or without discharge. The womb may be infected."),
    icon="season",
)
GREEN = Question(
    code="green-discharge",
    asks=_("Green discharge, and no puppy yet?"),
    how=_("Before the first puppy this is an emergency."),
    icon="discharge",
)


def pictures_for(*, card: DogCard, book: Book, on: date) -> tuple[Question, ...]:
    """Pictures that fit this dog: they mean the vet now, not a strip."""
    found = [RETCHING]
    if card.described.sex != "bitch" or card.age_months(on) < GROWN_MONTHS:
        return tuple(found)
    season = last_day(book, card.dog, kinds=(f.CycleNoted, f.Mated))
    is_known_long_ago = season is not None and on - season > timedelta(
        days=AFTER_SEASON_DAYS
    )
    if not card.described.is_neutered and not is_known_long_ago:
        found.append(AFTER_SEASON)
    mated = last_day(book, card.dog, kinds=(f.Mated,))
    if mated is not None and on - mated <= timedelta(days=AFTER_MATING_DAYS):
        found.append(GREEN)
    return tuple(found)


def last_day(book: Book, dam: str, *, kinds: tuple[type[f.Fact], ...]) -> date | None:
    """Latest day of these facts about a bitch, or None."""
    days = [
        book.happened_on(entry)
        for entry in book.about(dam)
        if isinstance(entry.fact, kinds) and getattr(entry.fact, "dam", "") == dam
    ]
    return max(days, default=None)


class DangerForm(EntryForm):
    """Five answers, each given; pictures only where seen."""

    def __init__(self, *args: Any, pictures: tuple[Question, ...], **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.pictures = pictures
        for question in FIVE:
            self.fields[question.code] = forms.ChoiceField(
                label=question.asks,
                choices=[(NO, _("No")), (YES, _("Yes"))],
                widget=forms.RadioSelect,
                error_messages={"required": _("Answer this one, too.")},
            )
        for question in pictures:
            self.fields[question.code] = forms.BooleanField(
                label=question.asks, required=False
            )

    @property
    def five(self) -> list[tuple[Question, Any]]:
        """Each question with its field."""
        return [(question, self[question.code]) for question in FIVE]

    @property
    def seen_pictures(self) -> list[tuple[Question, Any]]:
        """Each picture with its field."""
        return [(question, self[question.code]) for question in self.pictures]

    def dangers(self) -> tuple[str, ...]:
        """What was answered yes, in the order asked."""
        said = self.cleaned_data
        five = [q.code for q in FIVE if said[q.code] == YES]
        return (*five, *(q.code for q in self.pictures if said[q.code]))


class CalledForm(EntryForm):
    """The vet was called."""

    note = note_field(_("What the vet said, in the vet's words"))
