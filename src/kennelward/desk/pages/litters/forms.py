"""What can be written about a pregnancy."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.shell.forms import WhenForm
from kennelward.kennel import facts as f
from kennelward.litters import progesterone_ng_per_ml
from kennelward.terms import BadInput, check_range

WHAT = (
    ("season-start", _("Season starts")),
    ("lh-surge", _("LH test turned")),
    ("ovulation", _("Ovulation, as the vet says")),
    ("progesterone", _("Progesterone value")),
    ("temperature", _("Temperature")),
    ("x-ray", _("Puppies counted on an X-ray")),
    ("scan", _("Puppies counted on a scan")),
    ("lost", _("Pregnancy lost")),
)
NEEDS_VALUE = ("progesterone", "temperature", "x-ray", "scan")


class PregnancyNoteForm(WhenForm):
    """One fact: what, and its number where it has one."""

    what = forms.ChoiceField(label=_("What"), choices=WHAT)
    value = forms.FloatField(
        label=_("Number"),
        required=False,
        localize=True,
        help_text=_("Progesterone, degrees Celsius, or puppies. Else leave it empty."),
    )
    unit = forms.ChoiceField(
        label=_("Unit of progesterone"),
        choices=[(unit, unit) for unit in f.PROGESTERONE_UNITS],
        required=False,
    )

    def clean(self) -> dict[str, Any]:
        """Ask for the number where one is needed, and try the fact."""
        cleaned = super().clean() or {}
        needs = cleaned.get("what") in NEEDS_VALUE
        if needs and cleaned.get("value") is None and "value" not in self.errors:
            self.add_error("value", ValidationError(_("This one needs its number.")))
        if not self.errors:
            try:
                self.fact("nobody")
            except BadInput as refused:
                self.add_error("value" if needs else None, str(refused))
        return cleaned

    def fact(self, dam: str) -> f.Fact:
        """The fact the form says, about `dam`."""
        what = self.cleaned_data["what"]
        value = float(self.cleaned_data.get("value") or 0)
        match what:
            case "progesterone":
                unit = self.cleaned_data.get("unit") or "ng/mL"
                check_range(
                    "progesterone",
                    progesterone_ng_per_ml(value=value, unit=unit),
                    low=0,
                    high=100,
                    unit="ng/mL",
                )
                return f.ProgesteroneMeasured(dam=dam, value=value, unit=unit)
            case "temperature":
                return f.TemperatureTaken(dog=dam, celsius=value)
            case "x-ray" | "scan":
                return f.PuppiesCounted(dam=dam, method=what, count=round(value))
            case "lost":
                return f.PregnancyLost(dam=dam)
        return f.CycleNoted(dam=dam, what=what)
