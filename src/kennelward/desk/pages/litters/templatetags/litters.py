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


@register.filter
def pregnancy_state(code: str) -> str:
    """How the tests of a pregnancy stand, in a few words."""
    from kennelward.desk.pages.litters.pregnancy_page import STATES

    return str(STATES[str(code)][0])


FACTS_SAY = {  # facts a due date rests on, as `litters` names them
    "LH day": _("LH day"),
    "ovulation day": _("ovulation day"),
    "age on a scan": _("age on a scan"),
    "progesterone in season": _("progesterone in season"),
    "mating dates": _("mating dates"),
    "start of the season": _("start of the season"),
    "litter size": _("litter size"),
    "progesterone near term": _("progesterone near term"),
    "temperature drop": _("temperature fall"),
}


@register.filter
def fact_says(code: str) -> str:
    """The words of one fact that a due date rests on."""
    return str(FACTS_SAY.get(code, gettext(code)))


@register.filter
def split(words: str) -> list[str]:
    """Words between commas, to hand a list of ids to another tag."""
    return words.split(",")


SIZES = {
    "small": _("small"),
    "medium": _("medium"),
    "large": _("large"),
    "giant": _("giant"),
}


@register.filter
def size_word(code: str) -> str:
    """A size class in words."""
    return str(SIZES.get(code, gettext("size not known")))


@register.filter
def signed_percent(share: float) -> str:
    """A share as percent with its sign: "+6.1 %"."""
    return f"{100 * share:+.1f} %".replace("-", "\u2212")


LOSS_SIGNS = {
    "late-loss": _("Late abortion"),
    "loss": _("Pregnancy lost"),
    "whole-litter": _("Whole litter lost"),
    "stillborn": _("Stillborn"),
    "early-deaths": _("Deaths in the first days"),
}


@register.filter
def loss_sign(code: str) -> str:
    """What kind of loss counts towards a pattern."""
    return str(LOSS_SIGNS.get(code, gettext(code)))
