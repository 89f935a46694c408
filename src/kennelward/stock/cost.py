"""What a test costs beside a clinic visit, in whole cents of the user's own prices."""

from collections.abc import Iterable
from dataclasses import dataclass

from kennelward.stock.lots import Lot
from kennelward.terms import check_range

CENTS = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class CostPerTest:
    """The price of one strip, of one result that counts, and of a visit beside it.

    A strip does not take the place of a visit: this is the price of asking sooner.
    """

    kit: str
    cents_each: int  # mean price of the kits on the shelf, rounded half up
    cents_a_result: int | None  # with the strips that gave none; None: none counted yet
    clinic_visit_cents: int  # user's price; 0: not said

    @property
    def strips_for_a_visit(self) -> int | None:
        """Whole strips that the price of one clinic visit buys, or None where unknown."""
        if not self.clinic_visit_cents or not self.cents_each:
            return None
        return self.clinic_visit_cents // self.cents_each


def cost_per_test(
    *,
    lots: Iterable[Lot],
    kit: str,
    clinic_visit_cents: int = 0,
    used: int = 0,
    counted: int = 0,
) -> CostPerTest | None:
    """Cost of one test with `kit`, or None where no lot of it has a price.

    `used` strips gave `counted` results that count (the others were void): a result
    then costs `used / counted` strips. The mean price is over the kits left, or over
    the lots where none is left.
    """
    check_range("clinic visit price", clinic_visit_cents, low=0)
    check_range("results that count", counted, low=0, high=max(used, counted))
    check_range("strips used", used, low=counted)
    priced = [lot for lot in lots if lot.kit == kit and lot.cents_each]
    if not priced:
        return None
    left = sum(lot.count for lot in priced)
    if left:
        each = _rounded(sum(lot.count * lot.cents_each for lot in priced), left)
    else:
        each = _rounded(sum(lot.cents_each for lot in priced), len(priced))
    return CostPerTest(
        kit=kit,
        cents_each=each,
        cents_a_result=_rounded(each * used, counted) if counted else None,
        clinic_visit_cents=clinic_visit_cents,
    )


def _rounded(amount: int, parts: int) -> int:
    """`amount / parts` in whole cents, half a cent upwards."""
    return (2 * amount + parts) // (2 * parts)


def money(cents: int, *, currency: str) -> str:
    """Cents as an amount, such as `12.50 EUR`."""
    check_range("an amount", cents, low=0)
    return f"{cents // CENTS}.{cents % CENTS:02d} {currency}"
