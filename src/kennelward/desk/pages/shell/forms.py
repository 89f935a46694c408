"""What forms of the desk share: an id made before sending, when it happened."""

import uuid
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import ProhibitNullCharactersValidator
from django.utils.translation import gettext_lazy as _

from kennelward import desk
from kennelward.desk.pages.shell.here import new_id
from kennelward.kennel.facts import LONGEST_NAME, LONGEST_NOTE
from kennelward.terms import BadInput


def check_id(value: str) -> None:
    """Refuse anything that is not the text of a UUID."""
    try:
        uuid.UUID(value)
    except ValueError as error:
        raise ValidationError(
            _("This form is damaged; open the page again.")
        ) from error


class EntryForm(forms.Form):
    """A form that becomes an entry. Its id is made when the page is shown."""

    entry = forms.CharField(
        widget=forms.HiddenInput, validators=[check_id], required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["entry"].initial = new_id

    def clean_entry(self) -> str:
        """The id that came with the form, or a new one where none came."""
        return self.cleaned_data.get("entry") or new_id()


class DayInput(forms.DateInput):
    """The browser's own day picker; its value is ISO whatever the language."""

    input_type = "date"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs=attrs, format="%Y-%m-%d")


class MomentInput(forms.DateTimeInput):
    """The browser's own picker of a day and a time."""

    input_type = "datetime-local"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs=attrs, format="%Y-%m-%dT%H:%M")


def day_field(label: Any, **kwargs: Any) -> forms.DateField:
    """A day."""
    return forms.DateField(
        label=label, widget=DayInput(), input_formats=["%Y-%m-%d"], **kwargs
    )


def name_field(label: Any, **kwargs: Any) -> forms.CharField:
    """A name of up to 200 letters."""
    kwargs.setdefault("max_length", LONGEST_NAME)
    return forms.CharField(
        label=label, validators=[ProhibitNullCharactersValidator()], **kwargs
    )


def note_field(label: Any, **kwargs: Any) -> forms.CharField:
    """Free words."""
    kwargs.setdefault("required", False)
    return forms.CharField(
        label=label,
        max_length=LONGEST_NOTE,
        widget=forms.Textarea(attrs={"rows": 3}),
        validators=[ProhibitNullCharactersValidator()],
        **kwargs,
    )


class WhenForm(EntryForm):
    """An entry that may be written down later than it happened."""

    when = forms.DateTimeField(
        label=_("When"),
        widget=MomentInput(),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"],
        required=False,
        help_text=_("Empty means now."),
    )

    def clean_when(self) -> datetime | None:
        """A moment that has passed, or nothing for now."""
        when = self.cleaned_data.get("when")
        if when is not None and when > desk.now():
            raise ValidationError(
                _("This lies in the future; entries are what happened.")
            )
        return when


def cents(value: Any) -> int:
    """An amount of money as whole hundredths; nothing is 0."""
    return round(float(value) * 100) if value else 0


def add_refusal(form: forms.BaseForm, refused: BadInput) -> None:
    """Show at the top of a form why the book refused it."""
    form.add_error(None, str(refused))


def choice_field(form: forms.BaseForm, name: str) -> forms.ChoiceField:
    """A field of a form that offers choices. Raises `TypeError` for another kind."""
    found = form.fields[name]
    if not isinstance(found, forms.ChoiceField):
        raise TypeError(f"{name} offers no choices")
    return found
