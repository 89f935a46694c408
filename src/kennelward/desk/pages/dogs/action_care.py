"""Weights, vaccines, worming, courses, baths and results from elsewhere."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.dogs.action_base import DayAction, DogAction
from kennelward.desk.pages.shell import labels
from kennelward.desk.pages.shell.forms import (
    choice_field,
    day_field,
    name_field,
    note_field,
)
from kennelward.desk.pages.shell.labels import choices
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET
from kennelward.kennel import facts as f
from kennelward.kennel.facts import VACCINES, Fact

GRAMS_A_KILOGRAM = 1000
HEAVY_G = 3000  # from here on kilograms are the handier unit
WEIGHED_IN_GRAMS_UNTIL_DAYS = 56
TREATED = {k: v for k, v in labels.INFECTIONS.items() if k != "pregnancy"}


class WeighedForm(DogAction):
    """A weight, in the unit the scales show."""

    code, icon, word = "weighed", "weigh", _("Weighed")
    weight = forms.FloatField(
        label=_("Weight"),
        min_value=0.02,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )
    unit = forms.ChoiceField(
        label=_("Unit"),
        choices=[("g", _("grams")), ("kg", _("kilograms"))],
        widget=forms.RadioSelect,
    )

    def prepare(self) -> None:
        """The unit of last time; grams for a young puppy."""
        card = self.place.book.dogs[self.dog]
        last = [e for e in self.place.book.about(self.dog) if e.fact.kind == "weighed"]
        heavy = (
            last[-1].fact.weight_g >= HEAVY_G  # type: ignore[attr-defined]
            if last
            else card.age_days(self.place.on) > WEIGHED_IN_GRAMS_UNTIL_DAYS
        )
        self.fields["unit"].initial = "kg" if heavy else "g"

    def facts(self) -> tuple[Fact, ...]:
        """One weight in grams."""
        said = self.cleaned_data
        times = GRAMS_A_KILOGRAM if said["unit"] == "kg" else 1
        return (f.Weighed(dog=self.dog, weight_g=round(said["weight"] * times, 1)),)


class VaccinatedForm(DayAction):
    """A vaccination, as on the card."""

    code, icon, word = "vaccinated", "needle", _("Vaccinated")
    cautions = ("live-vaccine-pregnancy",)
    lead = _(
        "A live parvovirus vaccine can show on a strip for days. Bench will say so."
    )
    against = forms.MultipleChoiceField(
        label=_("Against"),
        choices=choices(labels.VACCINES, VACCINES),
        widget=forms.CheckboxSelectMultiple,
    )
    is_live = forms.ChoiceField(
        label=_("Kind of vaccine"),
        choices=[("yes", _("live (weakened)")), ("no", _("killed"))],
        initial="yes",
        widget=forms.RadioSelect,
    )
    note = note_field(_("Batch and by whom, as on the card"))

    def facts(self) -> tuple[Fact, ...]:
        """One vaccination."""
        said = self.cleaned_data
        return (
            f.Vaccinated(
                dog=self.dog,
                against=tuple(said["against"]),
                is_live=said["is_live"] == "yes",
                note=said["note"],
            ),
        )


class WormedForm(DayAction):
    """A worming."""

    code, icon, word = "wormed", "worm", _("Wormed")
    cautions = ("roundworm-children",)
    note = note_field(_("What was given, as on the pack or the vet's word"))

    def facts(self) -> tuple[Fact, ...]:
        """One worming."""
        return (f.Wormed(dog=self.dog, note=self.cleaned_data["note"]),)


class CourseForm(DogAction):
    """A treatment exactly as the vet wrote it. Nothing is offered, nothing computed."""

    code, icon, word = "course", "pill", _("Course from the vet")
    cautions = ("no-leftover-medicine", "course-as-written")
    lead = _("Copy the vet's words exactly. Each dog has its own course.")
    roles = (OWNER, VET)
    when = None  # type: ignore[assignment]
    text = note_field(_("The vet's words"), required=True)
    prescribed_by = name_field(_("Written by which vet"))
    starts_on = day_field(_("First day"))
    ends_on = day_field(_("Last day"))
    times_a_day = forms.IntegerField(
        label=_("Times a day"),
        min_value=1,
        max_value=24,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    infection = forms.ChoiceField(
        label=_("What it is for"),
        required=False,
        choices=[("", _("not said")), *TREATED.items()],
    )

    def prepare(self) -> None:
        """No drug names: not even the browser may offer earlier ones."""
        for name in ("text", "prescribed_by"):
            self.fields[name].widget.attrs["autocomplete"] = "off"

    def clean(self) -> dict[str, Any]:
        """The last day is not before the first."""
        said = super().clean() or {}
        first, last = said.get("starts_on"), said.get("ends_on")
        if first and last and last < first:
            self.add_error("ends_on", _("The last day lies before the first."))
        return said

    def facts(self) -> tuple[Fact, ...]:
        """One course; its id is the form's own."""
        names = (
            "text",
            "prescribed_by",
            "starts_on",
            "ends_on",
            "times_a_day",
            "infection",
        )
        said = {name: self.cleaned_data[name] for name in names}
        return (
            f.CourseWritten(course=self.cleaned_data["entry"], dog=self.dog, **said),
        )


class ResultForm(DayAction):
    """A result by another method, from the vet or a laboratory."""

    code, icon, word = "result", "vet", _("Result from the vet or a laboratory")
    day = day_field(_("Day the result came"))
    infection = forms.ChoiceField(label=_("About"))
    method = forms.ChoiceField(label=_("Method"))
    call = forms.ChoiceField(
        label=_("Result"),
        choices=[("positive", _("positive")), ("negative", _("negative"))],
        widget=forms.RadioSelect,
    )
    sampled_on = day_field(_("Day the sample was taken"))
    days_sampled = forms.IntegerField(
        label=_("Samples from how many different days"),
        initial=1,
        min_value=1,
        max_value=10,
    )
    laboratory = name_field(
        _("Laboratory, and its number for this sample"), required=False
    )

    def prepare(self) -> None:
        """Methods and infections the handbook knows."""
        super().prepare()
        book = self.place.handbook
        choice_field(self, "infection").choices = [
            (name, labels.label(name, labels.INFECTIONS)) for name in book.infections
        ]
        choice_field(self, "method").choices = [
            (name, labels.label(name, labels.METHODS)) for name in book.methods
        ]
        self.fields["sampled_on"].widget.attrs["max"] = self.place.on.isoformat()

    def clean(self) -> dict[str, Any]:
        """A sample is taken before its result comes."""
        said = super().clean() or {}
        sampled, came = said.get("sampled_on"), said.get("day")
        if sampled and came and sampled > came:
            self.add_error(
                "sampled_on", _("The sample cannot be taken after its result.")
            )
        method = self.place.handbook.methods.get(said.get("method", ""))
        if method and said.get("infection") not in (None, *method.infections):
            self.add_error("method", _("This method does not look for that."))
        return said

    def facts(self) -> tuple[Fact, ...]:
        """One result."""
        names = (
            "infection",
            "method",
            "call",
            "sampled_on",
            "days_sampled",
            "laboratory",
        )
        return (
            f.OtherResult(
                dog=self.dog, **{name: self.cleaned_data[name] for name in names}
            ),
        )


class BathedForm(DayAction):
    """A bath."""

    code, icon, word = "bathed", "bath", _("Bathed")
    cautions = ("gloves", "soap-not-gel")
    roles = (OWNER, HAND)
    note = note_field(_("How"))

    def facts(self) -> tuple[Fact, ...]:
        """One bath."""
        return (f.Bathed(dog=self.dog, note=self.cleaned_data["note"]),)
