"""What tests, visits and mistakes cost this kennel; ratios to a visit where not said."""

from collections.abc import Sequence
from dataclasses import dataclass

from kennelward.evidence import Harms
from kennelward.handbook import Handbook, Infection, Kit
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.stock import cost_per_test, lots_of
from kennelward.terms import BadInput

VISIT_UNITS = 10_000  # hundredths of a hundredth: a visit's price where none is said
HARM_NAMES = (  # field of Harms -> handbook value
    ("missed_infected", "harm_missed"),
    ("apart_clean", "harm_apart_clean"),
    ("apart_infected", "harm_apart_infected"),
    ("act_clean", "harm_act_clean"),
    ("act_infected", "harm_act_infected"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What things cost this kennel, in cents, or in shares of a clinic visit.

    `is_money` is False where the price of a visit was never said: amounts are then
    hundredths of a per cent of a visit, and only their ratios mean anything.
    """

    visit_cents: int
    laboratory_cents: int
    is_money: bool
    is_laboratory_said: bool
    currency: str


def prices_of(book: Book, card: Infection) -> Prices:
    """The kennel's own prices; a laboratory's in visits where only that is missing."""
    kennel = book.kennel
    visit = kennel.clinic_visit_cents if kennel is not None else 0
    laboratory = kennel.laboratory_test_cents if kennel is not None else 0
    return prices_said(
        card,
        visit_cents=visit,
        laboratory_cents=laboratory,
        currency=kennel.currency if kennel is not None else "",
    )


def prices_said(
    card: Infection, *, visit_cents: int, laboratory_cents: int, currency: str = ""
) -> Prices:
    """Prices as said; 0 means not said."""
    is_money = visit_cents > 0
    unit = visit_cents if is_money else VISIT_UNITS
    is_laboratory_said = is_money and laboratory_cents > 0
    assumed = round(unit * card.values["price_laboratory"].value)
    return Prices(
        visit_cents=unit,
        laboratory_cents=laboratory_cents if is_laboratory_said else assumed,
        is_money=is_money,
        is_laboratory_said=is_laboratory_said,
        currency=currency,
    )


def harms_of(book: Book, card: Infection, *, prices: Prices) -> tuple[Harms, bool]:
    """The latest harms this kennel said, or the handbook's assumed ones (True)."""
    said = [
        entry.fact
        for entry in book.of(f.HarmsSaid)
        if isinstance(entry.fact, f.HarmsSaid)
        and entry.fact.infection == card.infection
    ]
    if said and prices.is_money:
        latest = said[-1]
        return (
            Harms(**{name: getattr(latest, f"{name}_cents") for name, _ in HARM_NAMES}),
            False,
        )
    return assumed_harms(card, prices=prices), True


def assumed_harms(card: Infection, *, prices: Prices) -> Harms:
    """The handbook's harms, which are ratios to a clinic visit."""
    return Harms(
        **{
            name: round(prices.visit_cents * card.values[value].value)
            for name, value in HARM_NAMES
        }
    )


def strip_prices_of(book: Book, handbook: Handbook) -> dict[str, int]:
    lots = lots_of(book)
    found = {}
    for kit in handbook.kits:
        cost = cost_per_test(lots=lots, kit=kit)
        if cost is not None:
            found[kit] = cost.cents_each
    return found


def assumed_strip(handbook: Handbook, kit: Kit, prices: Prices) -> int:
    ratio = handbook.infections[kit.infection].values["price_strip"].value
    return round(prices.visit_cents * ratio)


def method_price(needs: Sequence[str], days: int, prices: Prices) -> int:
    """One visit, and the laboratory once a day of samples."""
    if not needs:
        raise BadInput("a method without `needs` has no price; name what it needs")
    visit = prices.visit_cents if "visit" in needs else 0
    return visit + (prices.laboratory_cents * days if "laboratory" in needs else 0)
