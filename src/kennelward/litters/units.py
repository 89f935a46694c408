"""Units that leaflets and laboratories mix: progesterone, and weights in grams or kilograms."""

from kennelward.terms import BadInput, check_range

NMOL_PER_NG = 3.180  # 1 ng/mL progesterone in nmol/L: 1000 / 314.46 g/mol


def progesterone_ng_per_ml(*, value: float, unit: str) -> float:
    """Progesterone in ng/mL from `value` in "ng/mL" or "nmol/L".

    Raises BadInput for another unit, OutOfRange beyond 0 to 100 ng/mL.
    Source: molar mass of progesterone, 314.46 g/mol.
    """
    if unit == "ng/mL":
        found = value
    elif unit == "nmol/L":
        found = value / NMOL_PER_NG
    else:
        raise BadInput(f"progesterone unit must be ng/mL or nmol/L, got {unit!r}")
    check_range("progesterone", found, low=0, high=100, unit="ng/mL")
    return found


def check_weight_unit(*, weight_g: float, expected_g: float) -> str:
    """A sentence that warns of a likely wrong unit, or an empty string.

    Compares with what is expected for the puppy's age and size: a factor of 5 either
    way is no growth, it is kilograms for grams or a slipped digit.
    """
    if weight_g <= 0:
        raise BadInput(f"a weight must be more than 0 g, got {weight_g:g} g")
    ratio = weight_g / expected_g
    if ratio > 5:
        return (
            f"{weight_g:g} g is {ratio:.0f} times the {expected_g:.0f} g expected: "
            "is a digit too many, or is it another dog?"
        )
    if ratio < 1 / 5:
        return (
            f"{weight_g:g} g is far below the {expected_g:.0f} g expected: "
            "was it in kilograms?"
        )
    return ""
