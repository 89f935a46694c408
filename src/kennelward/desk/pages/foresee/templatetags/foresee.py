"""How numbers with a range are written on the pages of what may happen."""

from collections.abc import Mapping

from django import template
from django.utils.translation import gettext as _

from kennelward.rounds.outbreak_words import amount

register = template.Library()


@register.filter
def a_range(number: Mapping[str, float]) -> str:
    """`0.6 (0.3 to 0.9)`, or the number alone where it has no range."""
    middle, low, high = (_short(number[name]) for name in ("median", "low", "high"))
    if low == high:
        return middle
    return _("%(middle)s (%(low)s to %(high)s)") % {
        "middle": middle,
        "low": low,
        "high": high,
    }


def _short(value: float) -> str:
    """Two figures are enough for what is not known well."""
    return f"{value:.2g}" if 0 < abs(value) < 10 else amount(value)
