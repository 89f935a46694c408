"""What can be said about a due item."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.shell.forms import EntryForm, day_field, note_field

LONGEST_KEY = 400


class KeyForm(EntryForm):
    """Names one due item."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=LONGEST_KEY)


class DoneForm(KeyForm):
    """It was done."""

    note = note_field(_("A word about it"))


class PutOffForm(KeyForm):
    """Put off until a day."""

    until = day_field(_("Until"))
    why = note_field(_("Why"), required=True)

    def __init__(self, *args: Any, on: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.on = on

    def clean_until(self) -> date:
        """A day to come."""
        until: date = self.cleaned_data["until"]
        if until <= self.on:
            raise ValidationError(_("Choose a day to come."))
        return until


class DeclineForm(KeyForm):
    """It will not be done."""

    why = note_field(_("Why"), required=True)
