"""What is asked: from which day, about which dog, how sure."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.shell.forms import choice_field, day_field
from kennelward.desk.pages.shell.labels import MATING_METHODS
from kennelward.handbook import Kit
from kennelward.kennel.facts import MATING_METHODS as MATING_CODES
from kennelward.rounds import DogCase

EVENTS = {  # events a day may be counted from, as a person says them
    "arrival": _("came in"),
    "course-end": _("the vet's course ends"),
    "exposure": _("last possible contact"),
    "illness": _("first signs"),
    "lh": _("LH surge"),
    "live-vaccine": _("live vaccine given"),
    "mating": _("last mating"),
    "ovulation": _("ovulation"),
}
PUPPY_DAYS, GROWN_DAYS = 70, 730  # ages that the two words stand for, our choice
AGES = {"puppy": _("puppy under six months"), "grown": _("grown dog")}
WORTHS = ("1", "2", "5", "10", "20")  # in 100


class AskForm(forms.Form):
    """A question without a dog of the book; sent as an address, writes nothing."""

    event = forms.ChoiceField(label=_("Count from"), widget=forms.RadioSelect)
    day = day_field(_("Day"))
    worth = forms.ChoiceField(
        label=_("A negative may leave"),
        choices=[(n, _("%(n)s in 100") % {"n": n}) for n in WORTHS],
    )
    age = forms.ChoiceField(label=_("Which dog"), choices=list(AGES.items()))
    method = forms.ChoiceField(label=_("How she was mated"))

    def __init__(self, *args: Any, kit: Kit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kit = kit
        choice_field(self, "event").choices = [
            (event, EVENTS.get(event, event)) for event in kit.events
        ]
        if kit.infection == "pregnancy":
            del self.fields["age"]
            choice_field(self, "method").choices = [
                (code, MATING_METHODS[code]) for code in MATING_CODES
            ]
        else:
            del self.fields["method"]

    @property
    def worth_chosen(self) -> float:
        """The chance a negative may leave, 0 to 1."""
        return int(self.cleaned_data["worth"]) / 100

    def case(self) -> DogCase:
        """The dog as far as the form says."""
        said = self.cleaned_data
        is_puppy = said.get("age") == "puppy"
        age = PUPPY_DAYS if is_puppy else GROWN_DAYS
        if self.kit.infection == "pregnancy":
            age = GROWN_DAYS
        return DogCase(
            infection=self.kit.infection,
            on=said["day"],
            age_days=age,
            mating_method=said.get("method") or "",
            is_vaccinated=False if is_puppy else None,
        )
