"""Making and changing pens."""

from typing import Any

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.pens.yard import MOST_COLUMNS, MOST_ROWS
from kennelward.desk.pages.shell import labels
from kennelward.desk.pages.shell.forms import EntryForm, name_field
from kennelward.desk.pages.shell.labels import choices, label
from kennelward.kennel.facts import PEN_KINDS, PenDescribed

MOST_AT_ONCE = 30
ORDER_STEP = 10  # room to put a pen between two others later


class PenForm(EntryForm):
    """One pen."""

    name = name_field(_("Name, as you call it"))
    pen_kind = forms.ChoiceField(
        label=_("What it is for"),
        choices=choices(labels.PEN_KINDS, PEN_KINDS),
        widget=forms.RadioSelect,
        initial="adults",
    )
    order = forms.IntegerField(
        label=_("Turn on the round within its kind"),
        min_value=0,
        max_value=10_000,
        initial=0,
        help_text=_("Lower numbers are walked first."),
    )
    column = forms.IntegerField(
        label=_("Place on the sketch: from the left"),
        min_value=0,
        max_value=MOST_COLUMNS,
        initial=0,
        help_text=_("0 lets it stand where there is room."),
    )
    row = forms.IntegerField(
        label=_("Place on the sketch: from the top"),
        min_value=0,
        max_value=MOST_ROWS,
        initial=0,
    )
    in_use = forms.BooleanField(label=_("In use"), required=False, initial=True)

    def described(self, pen: str) -> PenDescribed:
        """The pen as the form says it."""
        names = ("name", "pen_kind", "order", "column", "row", "in_use")
        return PenDescribed(
            pen=pen, **{name: self.cleaned_data[name] for name in names}
        )


class QuickPensForm(EntryForm):
    """A whole yard at once: how many pens of each kind."""

    starting = {
        "whelping": 1,
        "litter": 1,
        "adults": 3,
        "quarantine": 1,
        "isolation": 1,
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for kind in PEN_KINDS:
            self.fields[f"count_{kind}"] = forms.IntegerField(
                label=capfirst(label(kind, labels.PEN_KINDS)),
                min_value=0,
                max_value=MOST_AT_ONCE,
                initial=self.starting.get(kind, 0),
                widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
            )

    def clean(self) -> dict[str, Any]:
        """At least one pen."""
        said = super().clean() or {}
        if not self.errors and not any(said.get(f"count_{k}") for k in PEN_KINDS):
            raise forms.ValidationError(
                _("Say how many pens there are of at least one kind.")
            )
        return said

    @property
    def counts(self) -> list[forms.BoundField]:
        """The number fields, in the order of the round."""
        return [self[f"count_{kind}"] for kind in PEN_KINDS]

    def described(self, *, ids: list[str], first_row: int) -> list[PenDescribed]:
        """The pens: each kind stands in its own row of the sketch."""
        pens: list[PenDescribed] = []
        row = first_row
        for kind in PEN_KINDS:
            count = self.cleaned_data[f"count_{kind}"]
            word = label(kind, labels.PEN_KINDS)
            for index in range(count):
                below, column = divmod(index, MOST_COLUMNS // 2)
                number = index + 1
                pens.append(
                    PenDescribed(
                        pen=ids[len(pens)],
                        name=_now("%(kind)s %(n)s")
                        % {"kind": capfirst(word), "n": number},
                        pen_kind=kind,
                        order=number * ORDER_STEP,
                        column=column + 1,
                        row=row + below,
                    )
                )
            row += -(-count // (MOST_COLUMNS // 2))
        return pens

    @property
    def how_many(self) -> int:
        """Pens asked for."""
        return sum(self.cleaned_data[f"count_{kind}"] for kind in PEN_KINDS)
