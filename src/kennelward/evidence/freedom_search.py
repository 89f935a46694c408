"""The exact search behind a plan: every mix of dogs on every date, dominated ones dropped.

A chance of absence that is higher before a round is higher after it too, so of two
part-plans the dearer one with the lower chance can never be the start of the best.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import product
from math import comb

import numpy as np

from kennelward.evidence.freedom import freedom_curve
from kennelward.evidence.freedom_question import FreedomQuestion
from kennelward.evidence.kennel_round import DogAtRisk
from kennelward.terms import BadInput, check_range

MOST_OPTIONS = 20_000  # mixes of dogs on one date; beyond this the question is refused


@dataclass(frozen=True, slots=True, kw_only=True)
class DogsToTest:
    """Dogs that are alike: same risk, same test, same price a dog."""

    name: str  # "adults", "puppies"
    dogs: tuple[str, ...]
    price_cents: int

    def __post_init__(self) -> None:
        check_range("price_cents", self.price_cents, low=0, unit="cents")


@dataclass(frozen=True, slots=True)
class RoundOptions:
    """Mixes of dogs on one date worth considering: price, chance all are missed."""

    prices: np.ndarray  # (n,) int64, cents, rising
    missed: np.ndarray  # (n,) float64, falling
    counts: tuple[tuple[int, ...], ...]


def round_options(
    question: FreedomQuestion,
    *,
    kinds: Sequence[DogsToTest],
    sensitivity: float,
    visit_cents: int,
) -> RoundOptions:
    risks = _risks_of(question.dogs, kinds)
    mixes = _mixes(kinds, risks=risks)
    degree = question.design_infected
    named = {dog for kind in kinds for dog in kind.dogs}
    rest = [d.relative_risk for d in question.dogs if d.dog not in named]
    others = _power_sum([(risk, 1) for risk in rest], degree)
    anything = _power_sum([(d.relative_risk, 1) for d in question.dogs], degree)
    found: list[tuple[int, float, tuple[int, ...]]] = []
    for counts in mixes:
        parts = []
        for risk, kind, n in zip(risks, kinds, counts, strict=True):
            size = len(kind.dogs)
            parts += [(risk * (1 - sensitivity), n), (risk, size - n)]
        silent = np.convolve(_power_sum(parts, degree), others)[degree]
        price = sum(n * kind.price_cents for n, kind in zip(counts, kinds, strict=True))
        price += visit_cents if any(counts) else 0
        found.append((price, float(silent / anything[degree]), counts))
    found.sort()
    kept: list[tuple[int, float, tuple[int, ...]]] = []
    for price, missed, counts in found:
        if not kept or missed < kept[-1][1] - 1e-15:
            kept.append((price, missed, counts))
    return RoundOptions(
        np.array([k[0] for k in kept], dtype=np.int64),
        np.array([k[1] for k in kept]),
        tuple(k[2] for k in kept),
    )


def _mixes(
    kinds: Sequence[DogsToTest], *, risks: Sequence[float]
) -> list[tuple[int, ...]]:
    """Numbers of dogs of each kind. Raises BadInput where there are too many mixes.

    At one price a dog the mixes that are not dominated take the dogs of highest risk
    first: swapping a tested dog of lower risk for an untested one of higher risk
    leaves every product of two risks as it is and lowers the chance that all are
    missed, so n tests need one mix only.
    """
    sizes = [len(kind.dogs) for kind in kinds]
    if len({kind.price_cents for kind in kinds}) == 1:
        order = sorted(range(len(kinds)), key=lambda k: -risks[k])
        found = [tuple(0 for _ in kinds)]
        for k in order:
            for n in range(1, sizes[k] + 1):
                counts = list(found[-1])
                counts[k] = n
                found.append(tuple(counts))
        return found
    total = int(np.prod([n + 1 for n in sizes]))
    if total > MOST_OPTIONS:
        raise BadInput(
            f"these kinds give {total} mixes of dogs on each date; {MOST_OPTIONS} is "
            "the most. Put dogs of the same risk and price together"
        )
    return list(product(*(range(n + 1) for n in sizes)))


def _power_sum(parts: Sequence[tuple[float, int]], degree: int) -> np.ndarray:
    whole = np.zeros(degree + 1)
    whole[0] = 1.0
    for weight, count in parts:
        factor = [comb(count, k) * weight**k for k in range(degree + 1)]
        whole = np.convolve(whole, factor)[: degree + 1]
    return whole


def _risks_of(dogs: Sequence[DogAtRisk], kinds: Sequence[DogsToTest]) -> list[float]:
    risks = {dog.dog: dog.relative_risk for dog in dogs}
    named = [dog for kind in kinds for dog in kind.dogs]
    if len(set(named)) != len(named):
        raise BadInput("each dog may be in one kind only")
    found = []
    for kind in kinds:
        missing = [dog for dog in kind.dogs if dog not in risks]
        if missing or not kind.dogs:
            raise BadInput(f"{kind.name}: dogs not in the kennel: {missing or 'none'}")
        own = {risks[dog] for dog in kind.dogs}
        if len(own) > 1:
            raise BadInput(f"{kind.name}: dogs of one kind must share one risk: {own}")
        found.append(own.pop())
    return found


class PlanSearch:
    """All undominated (price, chance) after each date; more chance is never worse."""

    def __init__(
        self, question: FreedomQuestion, *, options: RoundOptions, days: Sequence[date]
    ) -> None:
        self._options = options
        prices = np.zeros(1, dtype=np.int64)
        chance = np.array([_start(question, days[0])])
        self._picks: list[tuple[np.ndarray, np.ndarray]] = []
        for i, day in enumerate(days):
            if i:
                chance = chance * _kept_out(question, days[i - 1], day)
            all_prices = (prices[:, None] + options.prices).ravel()
            free = chance[:, None]
            all_chance = (free / (free + (1 - free) * options.missed)).ravel()
            order = np.lexsort((-all_chance, all_prices))
            running = np.maximum.accumulate(all_chance[order])
            better = np.r_[True, running[1:] > running[:-1] + 1e-15]
            keep = order[better]
            self._picks.append(divmod(keep, len(options.prices)))
            prices, chance = all_prices[keep], all_chance[keep]
        self._prices, self._chance = prices, chance

    def cheapest(self, wanted: float) -> tuple[list[tuple[int, ...]], float]:
        """Counts by date of the cheapest that reaches `wanted`, else of the surest."""
        reaching = np.flatnonzero(self._chance >= wanted - 1e-12)
        at = int(reaching[0]) if len(reaching) else len(self._chance) - 1
        reached = float(self._chance[at])
        counts = []
        for before, option in reversed(self._picks):
            counts.append(self._options.counts[int(option[at])])
            at = int(before[at])
        return counts[::-1], reached


def _start(question: FreedomQuestion, day: date) -> float:
    """Chance of absence on `day`, before that day's new tests."""
    return freedom_curve(question, until=day).points[-1].chance.median


def _kept_out(question: FreedomQuestion, after: date, day: date) -> float:
    """Chance that nothing came in after one day, up to and with another."""
    chance = (1 - question.daily_introduction) ** (day - after).days
    for introduction in question.introductions:
        if after < introduction.on <= day:
            chance *= 1 - introduction.chance.mean
    return float(chance)
