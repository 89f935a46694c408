"""What is written about a dog day by day: where it is, what was seen, who was called."""

from django import forms
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.dogs.action_base import DogAction
from kennelward.desk.pages.dogs.forms import pen_choices
from kennelward.desk.pages.shell import labels
from kennelward.desk.pages.shell.forms import choice_field, name_field, note_field
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET
from kennelward.kennel import facts as f
from kennelward.kennel.facts import Fact


class MovedForm(DogAction):
    """To another pen."""

    code, icon, word = "moved", "move", _("Moved")
    roles = (OWNER, HAND)
    pen = forms.ChoiceField(label=_("To which pen"), widget=forms.Select)
    why = name_field(_("Why"), required=False)

    def prepare(self) -> None:
        """Pens in use."""
        choice_field(self, "pen").choices = pen_choices(self.place.book)

    def facts(self) -> tuple[Fact, ...]:
        """One move."""
        return (
            f.Moved(
                dog=self.dog,
                pen=self.cleaned_data["pen"],
                why=self.cleaned_data["why"],
            ),
        )


class NoteForm(DogAction):
    """Free words."""

    code, icon, word = "note", "note", _("Note")
    text = note_field(_("What is to be remembered"), required=True)

    def facts(self) -> tuple[Fact, ...]:
        """One note."""
        return (f.Noted(about=self.dog, text=self.cleaned_data["text"]),)


class VetCalledForm(DogAction):
    """The vet was called."""

    code, icon, word = "vet-called", "phone", _("Vet called")
    note = note_field(_("What the vet said, in the vet's words"))

    def facts(self) -> tuple[Fact, ...]:
        """One call."""
        return (f.VetCalled(dog=self.dog, note=self.cleaned_data["note"]),)


class SeenForm(DogAction):
    """Signs seen outside the round."""

    code, icon, word = "seen", "paw", _("Signs seen")
    cautions = ("danger-first",)
    lead = _("Tick what you see now. Nothing ticked means: well again.")
    signs = forms.MultipleChoiceField(
        label=_("Signs"),
        required=False,
        choices=list(labels.SIGNS.items()),
        widget=forms.CheckboxSelectMultiple,
    )
    note = note_field(_("In your own words"))

    def prepare(self) -> None:
        """The signs of last time stand ticked, so that none is lost by a tap."""
        self.fields["signs"].initial = list(self.place.book.dogs[self.dog].signs)

    def facts(self) -> tuple[Fact, ...]:
        """One observation."""
        return (
            f.Observed(
                dog=self.dog,
                signs=tuple(self.cleaned_data["signs"]),
                note=self.cleaned_data["note"],
            ),
        )


class ApartForm(DogAction):
    """Kept apart from now on."""

    code, icon, word = "apart", "apart", _("Keep apart")
    cautions = ("isolation-care", "puppies-stay-with-dam", "round-order")
    lead = _(
        "Apart is not neglect: warmth, company and play stay. It is cared for last."
    )
    infection = forms.ChoiceField(label=_("Suspected"), required=False)
    why = name_field(_("Why"), required=False)

    def prepare(self) -> None:
        """Infections of the handbook."""
        choice_field(self, "infection").choices = [("", _("not known yet"))] + [
            (name, labels.label(name, labels.INFECTIONS))
            for name in self.place.handbook.infections
            if name != "pregnancy"
        ]

    def facts(self) -> tuple[Fact, ...]:
        """Apart."""
        said = self.cleaned_data
        return (
            f.KeptApart(dog=self.dog, infection=said["infection"], why=said["why"]),
        )


class ApartEndedForm(DogAction):
    """Keeping apart ends, on somebody's word."""

    code, icon, word = "apart-ended", "apart", _("End keeping apart")
    cautions = ("negative-is-not-safe", "same-strip-never-clears")
    lead = _("A negative strip alone never ends it. Say on whose word it ends.")
    roles = (OWNER, VET)
    on_whose_word = name_field(_("On whose word"))
    why = name_field(_("Why"))

    def facts(self) -> tuple[Fact, ...]:
        """Apart no more."""
        said = self.cleaned_data
        return (
            f.ApartEnded(
                dog=self.dog, on_whose_word=said["on_whose_word"], why=said["why"]
            ),
        )


class LeftForm(DogAction):
    """A dog leaves."""

    code, icon, word = "left", "out", _("Left")
    cautions = ("law-blood-and-sale", "no-rehoming-on-a-strip")
    roles = (OWNER, HAND)
    why = forms.ChoiceField(
        label=_("Why"), choices=list(labels.LEFT.items()), widget=forms.RadioSelect
    )
    went_to = name_field(_("To whom"), required=False)
    note = note_field(_("Note"))

    def facts(self) -> tuple[Fact, ...]:
        """Gone."""
        said = self.cleaned_data
        return (
            f.Left(
                dog=self.dog,
                why=said["why"],
                went_to=said["went_to"],
                note=said["note"],
            ),
        )
