"""Units are converted as published, and a wrong unit is noticed."""

import pytest

from kennelward.litters.units import check_weight_unit, progesterone_ng_per_ml
from kennelward.terms import BadInput


@pytest.mark.parametrize(
    ("ng", "nmol"),
    [(2.0, 6.36), (4.8, 15.26), (5.0, 15.90), (6.0, 19.08), (2.736, 8.7)],
)
def test_progesterone(ng, nmol):
    """Worked case 2 of the reproduction page; molar mass of progesterone 314.46."""
    found = progesterone_ng_per_ml(value=nmol, unit="nmol/L")
    assert found == pytest.approx(ng, abs=0.002)
    assert progesterone_ng_per_ml(value=ng, unit="ng/mL") == ng


def test_other_units_are_refused():
    with pytest.raises(BadInput, match="must be ng/mL or nmol/L"):
        progesterone_ng_per_ml(value=2, unit="ug/dL")


def test_a_newborn_of_3500_g_is_asked_about():
    assert "a digit too many" in check_weight_unit(weight_g=3500, expected_g=350)
    assert "kilograms" in check_weight_unit(weight_g=0.35, expected_g=350)
    assert check_weight_unit(weight_g=500, expected_g=350) == ""
