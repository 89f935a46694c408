"""State marks: every state is a word and a pattern before it is a colour."""

from django.utils.translation import gettext_lazy as _

MARKS = {
    "well": _("well"),
    "watch": _("signs"),
    "apart": _("kept apart"),
    "quarantine": _("quarantine"),
    "suspect": _("suspect"),
    "waiting": _("waiting"),
    "unknown": _("not known"),
    "late": _("overdue"),
    "visiting": _("visiting"),
    "empty": _("empty"),
    "done": _("done"),
    "expired": _("expired"),
}


def mark_word(code: str) -> str:
    """The word that always stands beside a mark's pattern."""
    return str(MARKS[code])
