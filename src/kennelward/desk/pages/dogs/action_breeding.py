"""Seasons, matings, births and losses, as entries about a bitch (or a stud's mating)."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.dogs.action_base import DayAction, DogAction
from kennelward.desk.pages.dogs.forms import dog_choices
from kennelward.desk.pages.shell import labels
from kennelward.desk.pages.shell.forms import (
    choice_field,
    day_field,
    name_field,
    note_field,
)
from kennelward.desk.pages.shell.labels import choices
from kennelward.desk.pages.shell.roles import HAND, OWNER
from kennelward.kennel import facts as f
from kennelward.kennel.facts import MATING_METHODS, Fact

MOST_PUPPIES = 30


class MatedForm(DayAction):
    """A mating or insemination."""

    code, icon, word = "mated", "link", _("Mated")
    cautions = ("insemination-not-safe",)
    roles = (OWNER, HAND)
    lead = _("Insemination counts too: semen can carry infection as a dog does.")
    only_sex = "bitch"
    sire = forms.ChoiceField(label=_("Sire from this book"), required=False)
    sire_outside = name_field(_("Or a sire from outside"), required=False)
    method = forms.ChoiceField(
        label=_("How"), choices=choices(labels.MATING_METHODS, MATING_METHODS)
    )
    took_place_away = forms.BooleanField(
        label=_("It took place away from the kennel"), required=False
    )
    first_possible_on = day_field(
        _("If nobody saw it: the first day it can have been"),
        required=False,
        help_text=_("The day above is then the last on which it can have been."),
    )

    def prepare(self) -> None:
        """Sires of this book."""
        super().prepare()
        choice_field(self, "sire").choices = dog_choices(self.place.book, sex="dog")

    def clean(self) -> dict[str, Any]:
        """One sire, from here or from outside."""
        said = super().clean() or {}
        if said.get("sire") and said.get("sire_outside"):
            self.add_error(
                "sire_outside", _("Name one sire: from this book or outside.")
            )
        first, day = said.get("first_possible_on"), said.get("day")
        if first and day and first > day:
            self.add_error("first_possible_on", _("The first day lies after the last."))
        return said

    def facts(self) -> tuple[Fact, ...]:
        """One mating."""
        names = (
            "sire",
            "sire_outside",
            "method",
            "took_place_away",
            "first_possible_on",
        )
        return (
            f.Mated(dam=self.dog, **{name: self.cleaned_data[name] for name in names}),
        )


class SeasonForm(DayAction):
    """A day of the season."""

    code, icon, word = "season", "calendar", _("Season")
    only_sex = "bitch"
    what = forms.ChoiceField(
        label=_("What"), choices=list(labels.CYCLE.items()), widget=forms.RadioSelect
    )

    def facts(self) -> tuple[Fact, ...]:
        """One day of the season."""
        return (f.CycleNoted(dam=self.dog, what=self.cleaned_data["what"]),)


class WhelpedForm(DogAction):
    """A litter is born."""

    code, icon, word = "whelped", "paw", _("Whelped")
    cautions = ("births-gloves",)
    roles = (OWNER, HAND)
    lead = _("Wear gloves at every birth. Enter puppies by name later, from Dogs.")
    only_sex = "bitch"
    name = name_field(_("What the litter is called"))
    sire = forms.ChoiceField(label=_("Sire from this book"), required=False)
    born_alive = forms.IntegerField(
        label=_("Born alive"), min_value=0, max_value=MOST_PUPPIES
    )
    stillborn = forms.IntegerField(
        label=_("Born dead"), min_value=0, max_value=MOST_PUPPIES, initial=0
    )

    def prepare(self) -> None:
        """The sire of the latest mating stands filled in."""
        choice_field(self, "sire").choices = dog_choices(self.place.book, sex="dog")
        matings = [
            entry.fact
            for entry in self.place.book.about(self.dog)
            if isinstance(entry.fact, f.Mated) and entry.fact.dam == self.dog
        ]
        if matings:
            self.fields["sire"].initial = matings[-1].sire

    def facts(self) -> tuple[Fact, ...]:
        """One birth; the litter's id is the form's own."""
        names = ("name", "sire", "born_alive", "stillborn")
        said = {name: self.cleaned_data[name] for name in names}
        return (f.Whelped(litter=self.cleaned_data["entry"], dam=self.dog, **said),)


class PuppyDiedForm(DogAction):
    """A puppy of one of her litters died."""

    code, icon, word = "puppy-died", "cross", _("Puppy died")
    cautions = ("births-gloves", "body-cool", "brucella-people", "other-causes")
    lead = _(
        "Gloves on. Keep the body cool and sealed, not in a food fridge: the vet may "
        "need it."
    )
    only_sex = "bitch"
    litter = forms.ChoiceField(label=_("Litter"))
    puppy = forms.ChoiceField(
        label=_("Which puppy, if it had been entered by name"), required=False
    )
    note = note_field(_("What was seen"))

    def prepare(self) -> None:
        """Her litters, the latest first, and their puppies by name."""
        book = self.place.book
        litters = [card for card in book.litters.values() if card.dam == self.dog]
        litters.sort(key=lambda card: card.whelped.happened_at, reverse=True)
        choice_field(self, "litter").choices = [
            (card.litter, card.name) for card in litters
        ]
        puppies = [
            (dog, f"{book.name_of(dog)} ({card.name})")
            for card in litters
            for dog in card.dogs
        ]
        choice_field(self, "puppy").choices = [("", _("not entered by name")), *puppies]

    def clean(self) -> dict[str, Any]:
        """The puppy is of that litter."""
        said = super().clean() or {}
        puppy, litter = said.get("puppy"), said.get("litter")
        if puppy and litter and puppy not in self.place.book.litters[litter].dogs:
            self.add_error("puppy", _("This puppy is of another litter."))
        return said

    def facts(self) -> tuple[Fact, ...]:
        """One death."""
        said = self.cleaned_data
        return (
            f.PuppyDied(litter=said["litter"], dog=said["puppy"], note=said["note"]),
        )


class LostForm(DogAction):
    """An abortion or loss."""

    code, icon, word = "lost", "cross", _("Pregnancy lost")
    cautions = ("births-gloves", "body-cool", "brucella-people", "other-causes")
    lead = _(
        "Gloves, eye and mouth cover; pregnant and immune-suppressed people and children "
        "stay away. Keep what was passed cool and sealed for the vet."
    )
    only_sex = "bitch"
    note = note_field(_("What was seen"))

    def facts(self) -> tuple[Fact, ...]:
        """One loss."""
        return (f.PregnancyLost(dam=self.dog, note=self.cleaned_data["note"]),)
