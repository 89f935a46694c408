"""What can be written about a season and a pregnancy, each a short form of its own."""

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from kennelward.desk.access import MAY_WRITE
from kennelward.desk.pages.dogs.action_base import DayAction, DogAction
from kennelward.desk.pages.shell import labels
from kennelward.desk.pages.shell.forms import name_field
from kennelward.kennel import facts as f
from kennelward.kennel.facts import CYCLE_METHODS, PROGESTERONE_UNITS, Fact
from kennelward.litters import progesterone_ng_per_ml
from kennelward.terms import BadInput

PREGNANCY = "pregnancy"
MOST_COUNTED = 25


class NumberField(forms.FloatField):
    """A number typed by thumb; a comma is a decimal point in every language."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def to_python(self, value: Any) -> Any:
        """The number; Django says what is wrong with anything else."""
        said = value.replace(",", ".") if isinstance(value, str) else value
        return super().to_python(said)


def count_field(label: Any, **kwargs: Any) -> forms.IntegerField:
    """Puppies counted."""
    return forms.IntegerField(
        label=label,
        min_value=0,
        max_value=MOST_COUNTED,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        **kwargs,
    )


class SeasonNote(DayAction):
    """A day of the season, and how it was found."""

    code, icon, word = "season", "calendar", _("Season, LH or ovulation")
    writes: ClassVar[tuple[type[Fact], ...]] = (f.CycleNoted,)
    what = forms.ChoiceField(
        label=_("What"), choices=list(labels.CYCLE.items()), widget=forms.RadioSelect
    )
    method = forms.ChoiceField(
        label=_("How it was found"),
        required=False,
        choices=[("", _("not said"))]
        + [(code, labels.CYCLE_METHODS[code]) for code in CYCLE_METHODS],
    )

    def facts(self) -> tuple[Fact, ...]:
        """One day of the season."""
        said = self.cleaned_data
        return (f.CycleNoted(dam=self.dog, what=said["what"], method=said["method"]),)


class ProgesteroneNote(DogAction):
    """A progesterone value as the laboratory gave it."""

    code, icon, word = "progesterone", "drop", _("Progesterone")
    lead = _(
        "As the laboratory wrote it, with its unit. Nothing is converted in the book."
    )
    writes: ClassVar[tuple[type[Fact], ...]] = (f.ProgesteroneMeasured,)
    value = NumberField(label=_("Value"))
    unit = forms.ChoiceField(
        label=_("Unit on the report"),
        choices=[(unit, unit) for unit in PROGESTERONE_UNITS],
        widget=forms.RadioSelect,
    )
    assay = name_field(
        _("Laboratory and method"),
        required=False,
        help_text=_("Methods differ: values of two are never read as one line."),
    )

    def prepare(self) -> None:
        """Unit and laboratory of last time."""
        earlier = [
            entry.fact
            for entry in self.place.book.of(f.ProgesteroneMeasured)
            if isinstance(entry.fact, f.ProgesteroneMeasured)
        ]
        if earlier:
            self.fields["unit"].initial = earlier[-1].unit
            self.fields["assay"].initial = earlier[-1].assay

    def clean(self) -> dict[str, Any]:
        """A value that a laboratory can have given, in that unit."""
        said = super().clean() or {}
        if said.get("value") is not None and said.get("unit"):
            try:
                progesterone_ng_per_ml(value=said["value"], unit=said["unit"])
            except BadInput as refused:
                self.add_error("value", str(refused))
        return said

    def facts(self) -> tuple[Fact, ...]:
        """One value."""
        said = self.cleaned_data
        return (
            f.ProgesteroneMeasured(
                dam=self.dog,
                value=said["value"],
                unit=said["unit"],
                assay=said["assay"],
            ),
        )


class TemperatureNote(DogAction):
    """A rectal temperature."""

    code, icon, word = "temperature", "weigh", _("Temperature")
    cautions = ("gloves",)
    writes: ClassVar[tuple[type[Fact], ...]] = (f.TemperatureTaken,)
    celsius = NumberField(label=_("Temperature in °C"))

    def clean(self) -> dict[str, Any]:
        """A temperature of a living dog; Fahrenheit is seen."""
        said = super().clean() or {}
        celsius = said.get("celsius")
        if celsius is not None and 90 <= celsius <= 108:
            in_celsius = f"{(celsius - 32) / 1.8:.1f}"
            self.add_error(
                "celsius",
                _("That looks like Fahrenheit: in °C it would be %(c)s.")
                % {"c": in_celsius},
            )
        elif celsius is not None:
            try:
                f.TemperatureTaken(dog=self.dog, celsius=celsius)
            except BadInput as refused:
                self.add_error("celsius", str(refused))
        return said

    def facts(self) -> tuple[Fact, ...]:
        """One temperature."""
        return (f.TemperatureTaken(dog=self.dog, celsius=self.cleaned_data["celsius"]),)


class ScanNote(DayAction):
    """What the vet saw on a scan: pregnant or not, how many, how far on."""

    code, icon, word = "scan", "scan", _("Scan")
    lead = _("What the vet said. A scan counts puppies badly; it shows that they live.")
    writes: ClassVar[tuple[type[Fact], ...]] = (
        f.OtherResult,
        f.PuppiesCounted,
        f.PregnancyAged,
    )
    call = forms.ChoiceField(
        label=_("Seen"),
        choices=[("positive", _("living puppies")), ("negative", _("none"))],
        widget=forms.RadioSelect,
    )
    count = count_field(_("How many, if the vet counted"), required=False)
    days = forms.IntegerField(
        label=_("Days since ovulation, if the vet measured how far on she is"),
        required=False,
        min_value=14,
        max_value=65,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )

    def clean(self) -> dict[str, Any]:
        """A count or an age goes with puppies seen."""
        said = super().clean() or {}
        for name in ("count", "days"):
            if said.get("call") == "negative" and said.get(name):
                self.add_error(name, _("None were seen, so leave this empty."))
        return said

    def facts(self) -> tuple[Fact, ...]:
        """The result, and with it the count and the age."""
        said = self.cleaned_data
        found: list[Fact] = [
            f.OtherResult(
                dog=self.dog,
                infection=PREGNANCY,
                method="ultrasound",
                call=said["call"],
                sampled_on=said["day"],
            )
        ]
        if said["count"]:
            found.append(
                f.PuppiesCounted(dam=self.dog, method="scan", count=said["count"])
            )
        if said["days"]:
            found.append(
                f.PregnancyAged(dam=self.dog, days_from_ovulation=said["days"])
            )
        return tuple(found)


class XRayNote(DayAction):
    """Puppies counted on an X-ray."""

    code, icon, word = "x-ray", "scan", _("X-ray count")
    lead = _("Late in pregnancy the best count there is; still one may be missed.")
    writes: ClassVar[tuple[type[Fact], ...]] = (f.PuppiesCounted, f.OtherResult)
    count = count_field(_("Puppies counted"))

    def facts(self) -> tuple[Fact, ...]:
        """The count, and that she is pregnant where there is one."""
        said = self.cleaned_data
        counted = f.PuppiesCounted(dam=self.dog, method="x-ray", count=said["count"])
        if not said["count"]:
            return (counted,)
        return (
            counted,
            f.OtherResult(
                dog=self.dog,
                infection=PREGNANCY,
                method="x-ray",
                call="positive",
                sampled_on=said["day"],
            ),
        )


NOTES: dict[str, type[DogAction]] = {
    note.code: note
    for note in (SeasonNote, ProgesteroneNote, ScanNote, XRayNote, TemperatureNote)
}


def may_write(note: type[DogAction], role: str) -> bool:
    """Whether a role may write all that a form can say."""
    return set(note.writes) <= MAY_WRITE.get(role, frozenset())  # type: ignore[attr-defined]
