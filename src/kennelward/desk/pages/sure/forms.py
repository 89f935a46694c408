"""What is taken for granted, what is aimed at, and a pooled sample."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.shell.forms import (
    EntryForm,
    choice_field,
    day_field,
    name_field,
)
from kennelward.desk.pages.shell.here import Here
from kennelward.desk.pages.shell.labels import CALLS, METHODS, label
from kennelward.kennel.facts import Fact, KeptApart, PoolTested
from kennelward.kennel.facts.kits import MOST_IN_A_POOL
from kennelward.rounds import Assumptions

WANTED = ("80", "90", "95", "99")  # in 100
USUAL_WANTED, USUAL_DAYS = "95", 60


def _in_hundred(label: Any, *, low: float, high: float) -> forms.FloatField:
    return forms.FloatField(
        label=label,
        min_value=low,
        max_value=high,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )


class SureForm(forms.Form):
    """Sent as an address; writes nothing."""

    by = day_field(_("By"))
    wanted = forms.ChoiceField(
        label=_("As sure as"),
        choices=[(n, _("%(n)s in 100") % {"n": n}) for n in WANTED],
    )
    since = day_field(_("Count from"))
    infected = forms.IntegerField(
        label=_("Dogs that would have it, were it here"),
        min_value=1,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    absent = _in_hundred(
        _("Chance it was absent on the first day, in 100"), low=1, high=99
    )
    unwritten = _in_hundred(
        _("Chance a year that it comes in unseen, in 100"), low=0, high=90
    )
    brought = _in_hundred(
        _("Chance that one mating outside brings it, in 100"), low=0, high=90
    )
    young = _in_hundred(_("Times as likely in young dogs"), low=0.05, high=20)

    def __init__(self, *args: Any, has_plan: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not has_plan:
            del self.fields["by"], self.fields["wanted"]

    def changed(self, usual: Assumptions, *, dogs: int) -> Assumptions:
        """The usual assumptions with what was typed. Raises BadInput."""
        said = self.cleaned_data
        return replace(
            usual,
            starts_on=said["since"],
            infected_share=min(said["infected"], max(dogs, 1)) / max(dogs, 1),
            absent_at_start=said["absent"] / 100,
            unwritten_a_year=said["unwritten"] / 100,
            brought_home=said["brought"] / 100,
            young_risk=said["young"],
        )


def usual_values(taken: Assumptions, *, infected: int, on: date) -> dict[str, Any]:
    """What the fields show where nobody typed."""
    return {
        "by": on + timedelta(days=USUAL_DAYS),
        "wanted": USUAL_WANTED,
        "since": taken.starts_on,
        "infected": max(infected, 1),
        "absent": _plain(100 * taken.absent_at_start),
        "unwritten": _plain(100 * taken.unwritten_a_year),
        "brought": _plain(100 * taken.brought_home),
        "young": _plain(taken.young_risk),
    }


def _plain(number: float) -> str:
    return f"{number:.4g}"


class PoolForm(EntryForm):
    """Samples of several dogs that the vet or a laboratory tested as one."""

    dogs = forms.MultipleChoiceField(
        label=_("Dogs in the sample"), widget=forms.CheckboxSelectMultiple
    )
    method = forms.ChoiceField(label=_("How it was tested"))
    call = forms.ChoiceField(
        label=_("Result"),
        widget=forms.RadioSelect,
        choices=[(call, CALLS[call]) for call in ("negative", "positive")],
    )
    sampled_on = day_field(_("Day of the sample"))
    laboratory = name_field(_("Laboratory"), required=False)

    def __init__(self, *args: Any, place: Here, infection: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.place, self.infection = place, infection
        choice_field(self, "dogs").choices = [
            (card.dog, card.name) for card in place.book.dogs_here
        ]
        choice_field(self, "method").choices = [
            (name, label(name, METHODS))
            for name, method in place.handbook.methods.items()
            if infection in method.infections
        ]

    def clean_dogs(self) -> list[str]:
        """Two dogs at least, and no more than a laboratory puts together."""
        dogs = self.cleaned_data["dogs"]
        if not 2 <= len(dogs) <= MOST_IN_A_POOL:
            raise ValidationError(
                _("Choose from 2 to %(most)s dogs; you chose %(n)s.")
                % {"most": MOST_IN_A_POOL, "n": len(dogs)}
            )
        return list(dogs)

    def clean_sampled_on(self) -> date:
        """A day that has come."""
        day: date = self.cleaned_data["sampled_on"]
        if day > self.place.on:
            raise ValidationError(
                _("The sample cannot be taken after today, %(day)s.")
                % {"day": self.place.on.isoformat()}
            )
        return day

    def facts(self) -> tuple[Fact, ...]:
        """The result; after a positive each of its dogs is kept apart as a suspect."""
        said = self.cleaned_data
        result = PoolTested(
            dogs=tuple(said["dogs"]),
            infection=self.infection,
            method=said["method"],
            call=said["call"],
            sampled_on=said["sampled_on"],
            laboratory=said["laboratory"],
        )
        if said["call"] == "negative":
            return (result,)
        return (
            result,
            *(
                KeptApart(
                    dog=dog, infection=self.infection, why="pooled sample positive"
                )
                for dog in said["dogs"]
            ),
        )
