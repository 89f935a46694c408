"""Figures off the leaflet of the kit in use, and the prices of a mistake."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _g
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.shell.forms import EntryForm, cents, choice_field, name_field
from kennelward.handbook import Kit
from kennelward.kennel.facts import HarmsSaid, LeafletFigures
from kennelward.kennel.facts.figures import MOST_TESTED

MOST_MONEY = 1_000_000


def _count(label: Any, *, least: int) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=MOST_TESTED,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )


class FiguresForm(EntryForm):
    """Counts of dogs, as the leaflet prints them: percent alone hides how few they were."""

    situation = forms.ChoiceField(
        label=_("Which dogs did the leaflet try it on"), widget=forms.RadioSelect
    )
    infected_found = _count(_("Positive, of those"), least=0)
    infected_tested = _count(_("Dogs that had it"), least=1)
    clean_negative = _count(_("Negative, of those"), least=0)
    clean_tested = _count(_("Dogs that did not have it"), least=1)
    compared_with = name_field(
        _("Compared with which method"),
        required=False,
        help_text=_("What said who had it, such as PCR."),
    )
    said_by = forms.ChoiceField(
        label=_("Who says so"),
        choices=[("leaflet", _("the leaflet in the box")), ("vet", _("our vet"))],
        initial="leaflet",
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, kit: Kit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kit = kit
        says = [one.situation.says for one in kit.performances]
        choice_field(self, "situation").choices = [(one, _g(one)) for one in says]
        self.fields["situation"].initial = says[0]

    def clean(self) -> dict[str, Any]:
        """No more dogs called right than were tested."""
        said = super().clean() or {}
        for right, tested in (
            ("infected_found", "infected_tested"),
            ("clean_negative", "clean_tested"),
        ):
            some, of = said.get(right), said.get(tested)
            if some is not None and of is not None and some > of:
                self.add_error(
                    right,
                    _g("%(some)s of %(of)s cannot be; from 0 to %(of)s is allowed.")
                    % {"some": some, "of": of},
                )
        return said

    def figures(self) -> LeafletFigures:
        """The counts as typed. Raises BadInput where a positive would lower a chance."""
        said = dict(self.cleaned_data)
        said.pop("entry")
        return LeafletFigures(kit=self.kit.kit, **said)


def _money(label: Any, help_text: Any) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        help_text=help_text,
        min_value=0,
        max_value=MOST_MONEY,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"step": "0.01", "inputmode": "decimal"}),
    )


class PricesForm(EntryForm):
    """What each way of going on costs, by what the dog turns out to be."""

    missed_infected = _money(
        _("Gone on as usual, and it has it"),
        _(
            "What spreads: other dogs ill, visits, cleaning, a litter that cannot leave."
        ),
    )
    apart_clean = _money(
        _("Kept apart, and it does not have it"), _("Pen, work, company lost.")
    )
    apart_infected = _money(
        _("Kept apart without the vet, and it has it"),
        _("The same, and that the vet comes later."),
    )
    act_clean = _money(
        _("Kept apart and to the vet, and it does not have it"),
        _("The visit, for nothing."),
    )
    act_infected = _money(
        _("Kept apart and to the vet, and it has it"), _("The visit, in time.")
    )

    def said(self, infection: str) -> HarmsSaid:
        """The prices in hundredths."""
        names = (
            "missed_infected",
            "apart_clean",
            "apart_infected",
            "act_clean",
            "act_infected",
        )
        return HarmsSaid(
            infection=infection,
            **{f"{name}_cents": cents(self.cleaned_data[name]) for name in names},
        )
