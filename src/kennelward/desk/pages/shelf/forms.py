"""A box of kits comes in; the shelf is counted."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.shell.forms import (
    EntryForm,
    cents,
    choice_field,
    day_field,
    name_field,
)
from kennelward.desk.pages.shell.here import Here
from kennelward.desk.pages.shell.labels import KITS, label
from kennelward.kennel.facts import LotCounted, LotReceived

LONGEST_LOT = 60


class LotForm(EntryForm):
    """A box of one lot."""

    kit = forms.ChoiceField(label=_("Which strip"), widget=forms.RadioSelect)
    lot_code = name_field(_("Lot, as printed on the box"), max_length=LONGEST_LOT)
    expires_on = day_field(
        _("Use by"),
        help_text=_(
            "The printed date is the last day. A month alone means its last day."
        ),
    )
    count = forms.IntegerField(
        label=_("How many strips"),
        min_value=1,
        max_value=10_000,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    price = forms.DecimalField(
        label=_("Price of one strip"),
        required=False,
        min_value=0,
        max_value=100_000,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"step": "0.01", "inputmode": "decimal"}),
    )

    def __init__(self, *args: Any, place: Here, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice_field(self, "kit").choices = [
            (kit, label(kit, KITS)) for kit in place.handbook.kits
        ]

    def received(self) -> LotReceived:
        """The box; its id is the form's own."""
        said = self.cleaned_data
        return LotReceived(
            lot=said["entry"],
            kit=said["kit"],
            lot_code=said["lot_code"],
            expires_on=said["expires_on"],
            count=said["count"],
            cents_each=cents(said["price"]),
        )


class CountForm(EntryForm):
    """So many of a lot are left."""

    count = forms.IntegerField(
        label=_("How many are left"),
        min_value=0,
        max_value=10_000,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    why = name_field(_("Why it differs"), required=False)

    def counted(self, lot: str) -> LotCounted:
        """The count of one lot."""
        said = self.cleaned_data
        return LotCounted(lot=lot, count=said["count"], why=said["why"])
