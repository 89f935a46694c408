"""A weight as it is typed: grams, kilograms, ounces, pounds and ounces."""

import re

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from kennelward.terms import BadInput

GRAMS_A_POUND = 453.59237  # exactly, by the international agreement of 1959
GRAMS = {"g": 1.0, "kg": 1000.0, "oz": GRAMS_A_POUND / 16, "lb": GRAMS_A_POUND}
UNITS = {
    "g": gettext_lazy("grams"),
    "kg": gettext_lazy("kilograms"),
    "oz": gettext_lazy("ounces"),
    "lb": gettext_lazy("pounds"),
}
LONGEST = 20  # letters in a box
_NUMBER = r"([0-9]{1,7}(?:[.,][0-9]{1,4})?)"
_PLAIN = re.compile(rf"{_NUMBER}\s*(g|kg|oz|lb)?s?\.?")
_POUNDS = re.compile(rf"{_NUMBER}\s*(?:lbs?|#)\.?\s*{_NUMBER}\s*(?:oz)?\.?")


def grams_of(text: str, *, unit: str = "g") -> float:
    """Grams in `text`; a bare number is in `unit`. A comma is a decimal point.

    Raises BadInput for what is no weight.
    """
    said = " ".join(text.strip().lower().split())
    pounds = _POUNDS.fullmatch(said)
    if pounds:
        whole, ounces = (float(part.replace(",", ".")) for part in pounds.groups())
        return round(whole * GRAMS["lb"] + ounces * GRAMS["oz"], 1)
    plain = _PLAIN.fullmatch(said)
    if plain is None or len(text) > LONGEST:
        raise BadInput(
            _("%(said)s is no weight; type it as 412, 0.412 kg or 14.5 oz")
            % {"said": repr(text[:LONGEST])}
        )
    number, own_unit = plain.groups()
    return round(float(number.replace(",", ".")) * GRAMS[own_unit or unit], 1)
