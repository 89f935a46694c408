"""Template tags of the frame: icons, words, days, state marks, fields, panels."""

import re
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django import forms, template
from django.forms import BoundField
from django.templatetags.static import static
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext, ngettext, pgettext

from kennelward.desk.pages.shell import labels
from kennelward.desk.pages.shell.here import new_id
from kennelward.desk.pages.shell.marks import mark_word
from kennelward.terms import Interval, Phrase
from kennelward.terms.phrases import fill

register = template.Library()

ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
OWN_NAMES = ("dog", "dogs", "dam", "sire", "pen", "litter", "lot", "by", "vet", "name")
CAUTION_PICTURES = (  # a word in a caution's id, and the icon that goes with it
    ("glove", "gloves"),
    ("people", "person"),
    ("hand", "hands"),
    ("soap", "soap"),
    ("gel", "soap"),
    ("sharp", "sharps"),
    ("blood", "sharps"),
    ("needle", "sharps"),
    ("label-and-vet", "broom"),
    ("clean", "broom"),
    ("bleach", "broom"),
    ("phone", "phone"),
    ("apart", "apart"),
    ("isolation", "apart"),
    ("worm", "worm"),
    ("leftover", "pill"),
    ("course", "pill"),
    ("people", "person"),
    ("children", "person"),
    ("round", "round"),
    ("body", "box"),
    ("births", "gloves"),
    ("waste", "box"),
)


@register.simple_tag
def icon(name: str) -> SafeString:
    """One of our own drawings, hidden from screen readers: words stand beside it."""
    return format_html(
        '<svg class="icon" aria-hidden="true" focusable="false"><use href="{}#{}"/></svg>',
        static("shell/icons.svg"),
        name,
    )


@register.simple_tag
def fresh_id() -> str:
    """A new id for a form that has no form class."""
    return new_id()


@register.filter
def words(phrase: Phrase | str | None) -> str:
    """A phrase in the reader's language; the template is looked up before filling."""
    if phrase is None:
        return ""
    if isinstance(phrase, Phrase):
        values = {name: in_words(name, said) for name, said in phrase.values.items()}
        return fill(gettext(phrase.template), values)
    return gettext(phrase) if phrase else ""


def in_words(name: str, value: str | int | float) -> str | int | float:
    """A phrase's value as a person reads it: codes as words, ISO days as days.

    What bears a name of the kennel's own is left as it was typed.
    """
    if not isinstance(value, str) or name in OWN_NAMES:
        return value
    if ISO_DAY.fullmatch(value):
        return day(date.fromisoformat(value))
    value = ISO_DAY.sub(lambda found: day(date.fromisoformat(found[0])), value)
    parts = value.split(", ")
    if all(part in labels.ALL for part in parts):
        return ", ".join(labels.label(part) for part in parts)
    return value


@register.filter
def label(code: str) -> str:
    """The words of a code."""
    return labels.label(code)


@register.filter
def role_word(role: str) -> str:
    """The word of a role."""
    return labels.label(role, labels.ROLES)


@register.filter
def at(moment: datetime | None) -> str:
    """A moment by the kennel's own clock."""
    if moment is None:
        return ""
    local = timezone.localtime(moment)
    return f"{date_format(local, 'D j M')}, {date_format(local, 'H:i')}"


@register.filter
def clock(moment: datetime | None) -> str:
    """The time of day by the kennel's own clock."""
    return "" if moment is None else date_format(timezone.localtime(moment), "H:i")


@register.filter
def day(value: date | datetime | None) -> str:
    """A day with its weekday and year."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        value = timezone.localtime(value).date()
    return date_format(value, "D j M Y")


@register.filter
def near(value: date | None, on: date) -> str:
    """How far a day is from `on`, in words."""
    if value is None:
        return ""
    days = (value - on).days
    if days == 0:
        return gettext("today")
    if days == 1:
        return gettext("tomorrow")
    if days == -1:
        return gettext("yesterday")
    if days > 0:
        return ngettext("in %(n)s day", "in %(n)s days", days) % {"n": days}
    return ngettext("%(n)s day ago", "%(n)s days ago", -days) % {"n": -days}


@register.filter
def percent(chance: Interval | float | None) -> str:
    """A chance, or a chance with its 90 % interval, in percent."""
    if chance is None:
        return ""
    if isinstance(chance, Interval):
        return gettext("%(mid)s (%(low)s to %(high)s)") % {
            "mid": as_percent(chance.median),
            "low": as_percent(chance.low),
            "high": as_percent(chance.high),
        }
    return as_percent(chance)


def as_percent(chance: float) -> str:
    """Percent with one figure below 1 % or above 99 %, none between; never 0 or 100."""
    value = 100 * chance
    if value < 0.1:
        return gettext("under 0.1 %")
    if value > 99.9:
        return gettext("over 99.9 %")
    if value < 1 or value > 99:
        return f"{value:.1f} %"
    return f"{value:.0f} %"


@register.filter
def dialled(phone: str) -> str:
    """A phone number as a `tel:` link takes it: digits and a leading plus."""
    kept = "".join(c for c in phone if c.isdigit())
    return f"+{kept}" if phone.strip().startswith("+") else kept


@register.filter
def money(cents: float, currency: str = "") -> str:
    """An amount of the kennel's own money."""
    amount = f"{cents / 100:,.2f}".replace(",", "\u202f")
    return f"{amount} {currency}".strip()


@register.filter
def grams(weight_g: float) -> str:
    """A weight: grams below a kilogram, else kilograms."""
    if weight_g < 1000:
        return pgettext("weight", "%(n)s g") % {"n": f"{weight_g:.0f}"}
    return pgettext("weight", "%(n)s kg") % {"n": f"{weight_g / 1000:.2f}"}


@register.simple_tag
def state(code: str, says: str = "") -> SafeString:
    """A state mark: a patterned swatch with its word beside it."""
    return format_html(
        '<span class="mark is-{}"><i aria-hidden="true"></i>{}</span>',
        code,
        says or mark_word(code),
    )


@register.inclusion_tag("shell/field.html")
def field(bound: BoundField, label: str = "") -> dict[str, Any]:
    """A form field with label, help and error tied to its control.

    `label` says it in our words where a library's form has its own, and leaves that
    form's help away.
    """
    if label:
        bound.label, bound.help_text = label, ""
        bound.field.widget.attrs.pop("placeholder", None)
    widget = bound.field.widget
    described = " ".join(
        [f"{bound.auto_id}_help"] * bool(bound.help_text)
        + [f"{bound.auto_id}_error"] * bool(bound.errors)
    )
    attrs: dict[str, str | bool] = {"aria-describedby": described} if described else {}
    return {
        "field": bound,
        "described": described,
        "as_choices": isinstance(
            widget, forms.RadioSelect | forms.CheckboxSelectMultiple
        ),
        "is_tick": isinstance(widget, forms.CheckboxInput),
        "control": bound.as_widget(attrs=attrs),
    }


@register.inclusion_tag("shell/form_errors.html")
def form_errors(form: forms.BaseForm) -> dict[str, Any]:
    """What is wrong with a form, in one place at its top."""
    return {"form": form}


@register.inclusion_tag("shell/call_panel.html", takes_context=True)
def call_panel(context: dict[str, Any]) -> dict[str, Any]:
    """The red panel: tap to call the vet."""
    return {"kennel": context.get("kennel_card")}


@register.inclusion_tag("shell/caution.html", takes_context=True)
def caution(context: dict[str, Any], wanted: Any) -> dict[str, Any]:
    """A caution of the handbook, by id or as the caution itself."""
    return _shown(context, wanted)


@register.inclusion_tag("shell/cautions.html", takes_context=True)
def cautions(
    context: dict[str, Any], wanted: Sequence[Any], first: int = 0
) -> dict[str, Any]:
    """Several cautions in one panel, each with its picture; sources folded away.

    With `first`, the cautions after so many are folded away too.
    """
    found = [_shown(context, one) for one in wanted]
    first = first or len(found)
    return {"cautions": found, "first": found[:first], "rest": found[first:]}


def _shown(context: dict[str, Any], wanted: Any) -> dict[str, Any]:
    found = context["handbook"].cautions[wanted] if isinstance(wanted, str) else wanted
    picture = next(
        (pic for word, pic in CAUTION_PICTURES if word in found.id), "warning"
    )
    return {"says": words(found.says), "source": found.source, "picture": picture}
