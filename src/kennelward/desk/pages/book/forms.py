"""Striking an entry through."""

from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.shell.forms import EntryForm, name_field


class StrikeForm(EntryForm):
    """Why an entry is wrong."""

    why = name_field(
        _("What is wrong with it"),
        help_text=_(
            "It stays in the book, struck through, with these words beside it."
        ),
        max_length=400,
    )
