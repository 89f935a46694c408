"""Words of the whelping signs."""

from django import template
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

register = template.Library()

SIGNS = {
    "puppy": _("Puppy"),
    "placenta": _("Placenta"),
    "temperature-drop": _("Temperature fell"),
    "stage-one": _("Restless, panting, nesting"),
    "hard-straining": _("Strains hard"),
    "weak-straining": _("Strains weakly"),
    "resting": _("Rests"),
    "green-discharge": _("Green discharge"),
    "heavy-bleeding": _("Bleeds heavily"),
    "puppy-stuck": _("A puppy is stuck"),
    "collapse": _("She collapses"),
}


@register.filter
def whelping_sign(code: str) -> str:
    """The words of one sign."""
    return str(SIGNS.get(code, gettext(code)))


@register.filter
def of_hundred(chance: float) -> str:
    """A chance as a count of 100, one decimal below 10."""
    count = 100 * chance
    return f"{count:.1f}" if count < 10 else f"{count:.0f}"
