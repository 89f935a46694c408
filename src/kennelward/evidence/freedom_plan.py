"""The cheapest dogs and dates that reach a chosen sureness by a chosen day.

Searched exactly over the numbers of dogs of each kind on each date, with rounds taken
as independent (Martin et al. 2007); the plan found is then worked out again dog by
dog with repeats dependent, and both figures and the gap in cost are told.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from kennelward.evidence.accuracy import BetaChance, known_chance
from kennelward.evidence.freedom import freedom_curve
from kennelward.evidence.freedom_question import FreedomQuestion, NegativeRound
from kennelward.evidence.freedom_search import DogsToTest, PlanSearch, round_options
from kennelward.evidence.prior import in_hundred
from kennelward.terms import BadInput, Phrase, check_range

RAISES = 12  # how often the level is raised when the dog-by-dog figure falls short


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedRound:
    """Dogs to test on one date."""

    on: date
    dogs: tuple[str, ...]
    price_cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FreedomPlan:
    """The plan, what it would reach if all are negative, and how sure it is cheapest."""

    rounds: tuple[PlannedRound, ...]
    price_cents: int
    is_reached: bool
    chance: float  # on the last day, dog by dog, all tests negative; 0 to 1
    chance_rounds_apart: float  # the same with rounds independent
    cheapest_cents: int  # least price that reaches the level with rounds independent
    says: Phrase

    @property
    def gap_cents(self) -> int:
        """What the dog-by-dog figure costs on top of the search's own cheapest."""
        return self.price_cents - self.cheapest_cents


def plan_freedom(
    question: FreedomQuestion,
    *,
    test: str,
    sensitivity: BetaChance,
    dependence: float,
    kinds: Sequence[DogsToTest],
    dates: Sequence[date],
    wanted: float,
    visit_cents: int = 0,
) -> FreedomPlan:
    """The cheapest rounds on some of `dates` that reach `wanted` on the last of them.

    What was tested before counts through the question's own rounds. `visit_cents` is
    paid once for each date used. Figures are taken at their means. Where the level
    cannot be reached the most that can is planned and `is_reached` is False.
    Raises BadInput for a kind that names a dog not in the kennel or of another risk.
    """
    check_range("wanted", wanted, low=0.01, high=0.9999)
    check_range("visit_cents", visit_cents, low=0, unit="cents")
    days = sorted(set(dates))
    if not days or days[0] < question.starts_on:
        raise BadInput(f"dates must be {question.starts_on} or later, got {days[:1]}")
    exact = _at_means(question)
    options = round_options(
        exact, kinds=kinds, sensitivity=sensitivity.mean, visit_cents=visit_cents
    )
    search = PlanSearch(exact, options=options, days=days)
    aim, first_price = wanted, None
    best: FreedomPlan | None = None
    for _ in range(RAISES):
        counts, apart = search.cheapest(aim)
        rounds = _rounds(counts, days=days, kinds=kinds, visit_cents=visit_cents)
        price = sum(r.price_cents for r in rounds)
        first_price = price if first_price is None else first_price
        reached = _chance_after(
            exact,
            rounds,
            test=test,
            sensitivity=sensitivity.mean,
            dependence=dependence,
            on=days[-1],
        )
        plan = _told(rounds, reached, apart, wanted, first_price)
        if best is None or reached > best.chance or plan.is_reached:
            best = plan
        if plan.is_reached or apart < aim:
            break
        aim = aim + (1 - aim) * max(0.05, min(0.5, (wanted - reached) / (1 - aim)))
    assert best is not None
    return best


def _at_means(question: FreedomQuestion) -> FreedomQuestion:
    def mean(chance: BetaChance) -> BetaChance:
        return known_chance(chance.mean)

    return replace(
        question,
        prior=mean(question.prior),
        rounds=tuple(
            replace(
                r,
                sensitivity=mean(r.sensitivity),
                pool_sensitivity=r.pool_sensitivity and mean(r.pool_sensitivity),
            )
            for r in question.rounds
        ),
        introductions=tuple(
            replace(i, chance=mean(i.chance)) for i in question.introductions
        ),
    )


def _rounds(
    counts: Sequence[tuple[int, ...]],
    *,
    days: Sequence[date],
    kinds: Sequence[DogsToTest],
    visit_cents: int,
) -> tuple[PlannedRound, ...]:
    """Which dogs: in turn, so that no dog is tested again before the others once."""
    turn = [0] * len(kinds)
    rounds = []
    for day, numbers in zip(days, counts, strict=True):
        if not any(numbers):
            continue
        chosen: list[str] = []
        price = visit_cents
        for k, (n, kind) in enumerate(zip(numbers, kinds, strict=True)):
            chosen += [kind.dogs[(turn[k] + i) % len(kind.dogs)] for i in range(n)]
            turn[k] += n
            price += n * kind.price_cents
        rounds.append(PlannedRound(on=day, dogs=tuple(chosen), price_cents=price))
    return tuple(rounds)


def _chance_after(
    question: FreedomQuestion,
    rounds: Sequence[PlannedRound],
    *,
    test: str,
    sensitivity: float,
    dependence: float,
    on: date,
) -> float:
    planned = tuple(
        NegativeRound(
            on=r.on,
            test=test,
            dogs=r.dogs,
            sensitivity=known_chance(sensitivity),
            dependence=dependence,
        )
        for r in rounds
    )
    whole = replace(question, rounds=(*question.rounds, *planned))
    return freedom_curve(whole, until=on).points[-1].chance.median


def _told(
    rounds: tuple[PlannedRound, ...],
    reached: float,
    apart: float,
    wanted: float,
    cheapest: int,
) -> FreedomPlan:
    is_reached = reached >= wanted - 1e-9
    template = (
        "Tests needed: {tests} (days: {rounds}). If all are negative, it comes to "
        "{reached} in 100."
        if is_reached
        else "It cannot be reached by then: even {tests} tests (days: {rounds}) bring it "
        "to {reached} in 100 at most, not {wanted}."
    )
    values: dict[str, str | int | float] = {
        "tests": sum(len(r.dogs) for r in rounds),
        "rounds": len(rounds),
        "reached": in_hundred(reached),
    }
    if not is_reached:
        values["wanted"] = in_hundred(wanted)
    return FreedomPlan(
        rounds=rounds,
        price_cents=sum(r.price_cents for r in rounds),
        is_reached=is_reached,
        chance=reached,
        chance_rounds_apart=apart,
        cheapest_cents=cheapest,
        says=Phrase(template, values),
    )
