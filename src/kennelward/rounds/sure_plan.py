"""What would make the kennel surer: the cheapest dogs and dates, at the kennel's prices."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.evidence import (
    Circumstances,
    DogAtRisk,
    DogsToTest,
    FreedomPlan,
    choose_performance,
    in_hundred,
    plan_freedom,
)
from kennelward.handbook import Handbook, Kit
from kennelward.kennel import Book
from kennelward.rounds.case import case_from_book
from kennelward.rounds.figures import with_own_figures
from kennelward.rounds.seen import circumstances
from kennelward.rounds.sure import Sureness
from kennelward.stock import cost_per_test, lots_of
from kennelward.terms import BadInput, Call, OutOfRange, Phrase, check_range

USUAL_WANTED = 0.95  # chance of absence that a plan aims at, where nobody chose
USUAL_DAYS = 60  # ahead, where nobody chose
LONGEST_AHEAD = 365
MOST_DATES = 4  # rounds looked at up to the last day
NO_PRICE = Phrase(
    "No price of this strip is known, so the plan takes the fewest tests. Say what a box "
    "cost, and it takes the cheapest."
)
NO_ONE = Phrase("No dog here can be tested for it so that a negative would count.")
ALREADY = Phrase(
    "It stands at {now} in 100 already and stays at {wanted} or more to {by}, if nothing "
    "comes in that is not in the book. Tests that a rule asks for stay due."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SurePlan:
    """The plan, or why there is none."""

    kit: str
    by: date
    wanted: float
    plan: FreedomPlan | None
    refused: Phrase | None
    says: tuple[Phrase, ...]
    cents_each: int  # 0: no price is known
    visit_cents: int  # for each date, where the vet draws the sample
    left_out: tuple[str, ...]  # dogs whose negative would not count yet


def plan_sure(
    sureness: Sureness,
    *,
    book: Book,
    handbook: Handbook,
    by: date,
    wanted: float = USUAL_WANTED,
) -> SurePlan:
    """The cheapest strips that reach `wanted` by a day, if all come out negative.

    Prices are those of the lots on the shelf, and a clinic visit for each date where
    the vet draws the sample. Raises BadInput for a level or day out of range.
    """
    check_range("chance wanted", wanted, low=0.5, high=0.999)
    last = sureness.on + timedelta(days=LONGEST_AHEAD)
    if not sureness.on <= by <= last:
        raise OutOfRange(f"the day must be from {sureness.on} to {last}, got {by}")
    own = with_own_figures(book=book, handbook=handbook)
    kits = own.kits_for(sureness.infection)
    if not kits:
        raise BadInput(f"the handbook has no kit for {sureness.infection}")
    kit = kits[0]
    refused = sureness.refused
    no_plan = own.infections[sureness.infection].no_plan
    if refused is None and no_plan:
        refused = Phrase(no_plan)
    testable = () if refused else _testable(sureness, book=book, handbook=own, kit=kit)
    if refused is None and not testable:
        refused = NO_ONE
    each, visit = _prices(book, kit)
    left_out = tuple(dog for dog in sureness.dogs if dog not in testable)
    plan = None
    if refused is None:
        plan = _planned(
            sureness,
            handbook=own,
            kit=kit,
            testable=testable,
            by=by,
            wanted=wanted,
            prices=(each or 1, visit),
        )
    return SurePlan(
        kit=kit.kit,
        by=by,
        wanted=wanted,
        plan=plan,
        refused=refused,
        says=_says(
            sureness, plan, refused=refused, has_price=each > 0, aim=(wanted, by)
        ),
        cents_each=each,
        visit_cents=visit,
        left_out=left_out,
    )


def _testable(
    sureness: Sureness, *, book: Book, handbook: Handbook, kit: Kit
) -> tuple[str, ...]:
    """Dogs whose negative would count today."""
    values = handbook.infections[sureness.infection].values
    youngest = values.get("from_age_days")
    found = []
    for dog in sureness.dogs:
        case = case_from_book(
            book=book, dog=dog, infection=sureness.infection, on=sureness.on
        )
        if youngest is not None and (case.age_days or 0) < youngest.value:
            continue
        around = circumstances(case)
        if any(
            window.effect == "no-information"
            and window.holds(test=kit.kit, call=Call.NEGATIVE, case=around)
            for window in kit.windows
        ):
            continue
        found.append(dog)
    return tuple(found)


def _prices(book: Book, kit: Kit) -> tuple[int, int]:
    """Cents a strip (0: not known) and cents a date."""
    cost = cost_per_test(lots=lots_of(book), kit=kit.kit)
    visit = 0
    if kit.is_for_vet_or_trained and book.kennel is not None:
        visit = book.kennel.clinic_visit_cents
    return (cost.cents_each if cost is not None else 0), visit


def _planned(
    sureness: Sureness,
    *,
    handbook: Handbook,
    kit: Kit,
    testable: Sequence[str],
    by: date,
    wanted: float,
    prices: tuple[int, int],
) -> FreedomPlan:
    assert sureness.question is not None
    infection = handbook.infections[sureness.infection]
    # Whole kennels are tested well: the figures are those of dogs without signs.
    figures = choose_performance(
        kit.performances, case=Circumstances(is_sick=False, is_vaccinated=None)
    )
    return plan_freedom(
        sureness.question,
        test=kit.kit,
        sensitivity=figures.sensitivity,
        dependence=infection.dependence.repeats.mean,
        kinds=_kinds(sureness.question.dogs, testable=testable, cents=prices[0]),
        dates=_dates(sureness.on, by),
        wanted=wanted,
        visit_cents=prices[1],
    )


def _kinds(
    dogs: Sequence[DogAtRisk], *, testable: Sequence[str], cents: int
) -> tuple[DogsToTest, ...]:
    """Dogs of one risk together."""
    allowed = frozenset(testable)
    by_risk: dict[float, list[str]] = {}
    for dog in dogs:
        if dog.dog in allowed:
            by_risk.setdefault(dog.relative_risk, []).append(dog.dog)
    return tuple(
        DogsToTest(name=f"risk {risk:g}", dogs=tuple(names), price_cents=cents)
        for risk, names in sorted(by_risk.items(), reverse=True)
    )


def _dates(on: date, by: date) -> tuple[date, ...]:
    """Up to `MOST_DATES` days from `on` to `by`, evenly apart, both included."""
    days = (by - on).days
    steps = min(MOST_DATES - 1, days)
    if steps == 0:
        return (on,)
    return tuple(on + timedelta(days=round(days * k / steps)) for k in range(steps + 1))


def _says(
    sureness: Sureness,
    plan: FreedomPlan | None,
    *,
    refused: Phrase | None,
    has_price: bool,
    aim: tuple[float, date],
) -> tuple[Phrase, ...]:
    if refused is not None or plan is None:
        return (refused,) if refused is not None else ()
    if plan.is_reached and not plan.rounds and sureness.today is not None:
        values = {
            "now": in_hundred(sureness.today.chance.median),
            "wanted": in_hundred(aim[0]),
            "by": aim[1].isoformat(),
        }
        return (Phrase(ALREADY.template, values),)
    return (plan.says,) if has_price else (plan.says, NO_PRICE)
