"""Which next step is worth its money, with the user's own prices and harms.

Never a drug, never a treatment decision: the strongest step is "keep it apart and ask
the vet". A result never lowers a precaution that signs alone ask for (`at_least`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kennelward.evidence.dependence import Dependence
from kennelward.evidence.draws import Array
from kennelward.evidence.interpret import chances_either_way
from kennelward.evidence.performance import TestPerformance
from kennelward.evidence.prior import Prior, in_hundred
from kennelward.evidence.results import ResultSeen
from kennelward.terms import BadInput, Phrase, check_range, check_text

CARRY_ON, KEEP_APART, ACT = "carry-on", "keep-apart", "act-as-infected"
STEPS = (CARRY_ON, KEEP_APART, ACT)  # from the least cautious to the most

NO_TEST = "no-test"
SAYS_NOW = {
    CARRY_ON: (
        "No further test is worth its price. The sums ask for nothing more; what is due "
        "for this dog stands."
    ),
    KEEP_APART: "No further test is worth its price: keep the dog apart.",
    ACT: (
        "No further test is worth its price: keep the dog apart and ask the vet about "
        "it."
    ),
}
SAYS_CHANGES = (
    "{test}: positive in about {positive} of 100 dogs like this one. A positive leaves "
    "{if_positive} in 100, a negative {if_negative}, and what to do differs."
)
SAYS_SAME = (
    "{test}: what to do would be the same whatever it says, so it is worth nothing."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Harms:
    """The user's own prices, in cents, of each step by what the dog turns out to be.

    A harm that cannot be priced is still a choice between steps; put the price at
    which the user would be in two minds.
    """

    missed_infected: int  # carried on with, and it was infected: what spreads
    apart_clean: int  # a clean dog kept apart: pen, work, lost company
    apart_infected: int  # kept apart and infected: the same, and the later start
    act_clean: int  # a clean dog taken to the vet and kept apart
    act_infected: int  # an infected dog taken to the vet and kept apart

    def __post_init__(self) -> None:
        for name in (
            "missed_infected",
            "apart_clean",
            "apart_infected",
            "act_clean",
            "act_infected",
        ):
            check_range(name, getattr(self, name), low=0, unit="cents")

    def expected(self, step: str, chance: float) -> float:
        """Mean harm in cents of a step, at this chance of infection."""
        infected, clean = {
            CARRY_ON: (self.missed_infected, 0),
            KEEP_APART: (self.apart_infected, self.apart_clean),
            ACT: (self.act_infected, self.act_clean),
        }[step]
        return chance * infected + (1 - chance) * clean


@dataclass(frozen=True, slots=True, kw_only=True)
class TestOffered:
    """A test that could be done next, and what it costs all in."""

    __test__ = False  # not a test case of pytest

    performance: TestPerformance
    name: str  # in words, for the list
    price_cents: int
    days_sampled: int = 1  # samples from so many different days

    def __post_init__(self) -> None:
        check_range("days_sampled", self.days_sampled, low=1)
        check_text("name", self.name)
        check_range("price_cents", self.price_cents, low=0, unit="cents")


@dataclass(frozen=True, slots=True, kw_only=True)
class NextStep:
    """One entry of the ranked list."""

    test: str  # id, or NO_TEST
    worth_cents: float  # harm it saves on average, less its price
    price_cents: int
    chance_positive: float  # 0 to 1; 0 for NO_TEST
    then_if_positive: str  # step, one of STEPS
    then_if_negative: str
    says: Phrase
    chance_if_positive: float = 0.0  # 0 to 1, of infection; for NO_TEST the chance now
    chance_if_negative: float = 0.0
    days_sampled: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class StepThresholds:
    """Chances, 0 to 1, from which a more cautious step costs less without a test."""

    keep_apart_from: float
    act_from: float


def step_thresholds(harms: Harms) -> StepThresholds:
    """Where the expected harms of neighbouring best steps cross.

    Pauker and Kassirer's treat threshold R / (R + B), once for keeping apart and once
    for acting. Where keeping apart is never the best step both thresholds are that
    between carrying on and acting.
    """
    apart = _crossing(harms, CARRY_ON, KEEP_APART)
    act = _crossing(harms, KEEP_APART, ACT)
    if apart > act:
        apart = act = _crossing(harms, CARRY_ON, ACT)
    return StepThresholds(keep_apart_from=apart, act_from=act)


def _crossing(harms: Harms, lesser: str, more: str) -> float:
    """Chance from which `more` costs no more than `lesser`; 0 always, 1 never."""
    at_clean = harms.expected(more, 0) - harms.expected(lesser, 0)
    at_infected = harms.expected(lesser, 1) - harms.expected(more, 1)
    if at_clean <= 0:
        return 0.0
    if at_infected <= 0:
        return 1.0
    return at_clean / (at_clean + at_infected)


def best_step(harms: Harms, chance: float, *, at_least: str = CARRY_ON) -> str:
    """The step with the least expected harm, the more cautious one of equals."""
    check_range("chance", chance, low=0, high=1)
    allowed = _allowed(at_least)
    return min(
        reversed(allowed), key=lambda step: round(harms.expected(step, chance), 9)
    )


def next_steps(
    *,
    prior: Prior,
    results: Sequence[ResultSeen] = (),
    dependence: Mapping[str, Dependence] | None = None,
    offered: Sequence[TestOffered],
    harms: Harms,
    at_least: str = CARRY_ON,
    if_positive: str = CARRY_ON,
) -> tuple[NextStep, ...]:
    """The offered tests and "no test", the most worthwhile first.

    The worth of a test is the expected harm without it, less that with it (the best
    step after each answer), less its price: expected value of sample information.
    `at_least` is the least cautious step that signs or rules allow, whatever a test
    says; `if_positive` that after a positive, whatever the chance.
    Source: Raiffa & Schlaifer 1961; docs/methods/evidence.md, section 6.
    """
    now, _, _ = chances_either_way(prior=prior, results=results, dependence=dependence)
    chance = float(now.mean())
    step = best_step(harms, chance, at_least=at_least)
    harm_now = harms.expected(step, chance)
    steps = [
        NextStep(
            test=NO_TEST,
            worth_cents=0.0,
            price_cents=0,
            chance_positive=0.0,
            then_if_positive=step,
            then_if_negative=step,
            says=Phrase(SAYS_NOW[step]),
            chance_if_positive=chance,
            chance_if_negative=chance,
        )
    ]
    for offer in offered:
        drawn = chances_either_way(
            prior=prior,
            results=results,
            dependence=dependence,
            if_tested=offer.performance,
        )
        steps.append(
            _worth(
                offer,
                drawn,
                harms=harms,
                at_least=at_least,
                after_positive=max(at_least, if_positive, key=STEPS.index),
                harm_now=harm_now,
            )
        )
    return tuple(sorted(steps, key=lambda s: (-s.worth_cents, s.price_cents, s.test)))


def _worth(
    offer: TestOffered,
    drawn: tuple[Array, Array, Array],
    *,
    harms: Harms,
    at_least: str,
    after_positive: str,
    harm_now: float,
) -> NextStep:
    now, negative, positive = drawn
    gap = positive - negative
    share = np.where(gap > 1e-12, (now - negative) / np.where(gap > 1e-12, gap, 1), 0.5)
    chance_positive = float(share.mean())
    if_positive = _mean_of(positive, share)
    if_negative = _mean_of(negative, 1 - share)
    then_positive = best_step(harms, if_positive, at_least=after_positive)
    then_negative = best_step(harms, if_negative, at_least=at_least)
    harm = chance_positive * harms.expected(then_positive, if_positive)
    harm += (1 - chance_positive) * harms.expected(then_negative, if_negative)
    values: dict[str, str | int | float] = {"test": offer.name}
    template = SAYS_SAME
    if then_positive != then_negative:
        template = SAYS_CHANGES
        values["positive"] = in_hundred(chance_positive)
        values["if_positive"] = in_hundred(if_positive)
        values["if_negative"] = in_hundred(if_negative)
    return NextStep(
        test=offer.performance.test,
        worth_cents=harm_now - harm - offer.price_cents,
        price_cents=offer.price_cents,
        chance_positive=chance_positive,
        then_if_positive=then_positive,
        then_if_negative=then_negative,
        says=Phrase(template, values),
        chance_if_positive=if_positive,
        chance_if_negative=if_negative,
        days_sampled=offer.days_sampled,
    )


def _mean_of(chance: Array, weight: Array) -> float:
    """Mean chance among the dogs with that answer."""
    total = float(weight.sum())
    return float((chance * weight).sum()) / total if total > 0 else float(chance.mean())


def _allowed(at_least: str) -> tuple[str, ...]:
    if at_least not in STEPS:
        raise BadInput(f"at_least must be one of {', '.join(STEPS)}: {at_least!r}")
    return STEPS[STEPS.index(at_least) :]
