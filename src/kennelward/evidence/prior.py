"""The chance before a test: a base, the kennel's own record, and what raises it.

Worked on the log-odds scale, each part with its own uncertainty. A contribution is
log-odds with a standard deviation, such as an odds ratio with its interval.
Source: odds form of Bayes' theorem; docs/methods/evidence.md, section 2.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kennelward.evidence.accuracy import BetaChance
from kennelward.evidence.draws import Array, Draws, LatticeDraws
from kennelward.terms import BadInput, Phrase, Provenance, check_range

NORMAL_QUANTILE = {0.90: 1.6448536269514722, 0.95: 1.959963984540054}


@dataclass(frozen=True, slots=True, kw_only=True)
class Contribution:
    """One thing known about the dog that raises or lowers the chance.

    `says` is a whole sentence with the place `{n}`, which is filled with the chance
    in 100 after this contribution.
    """

    says: str  # "Soft stool brings this to about {n} in 100."
    log_odds: float  # natural log of the odds ratio
    log_odds_sd: float = 0.0
    source: str = ""
    provenance: Provenance = Provenance.FROM_MEMORY

    def __post_init__(self) -> None:
        check_range("log_odds", self.log_odds, low=-20, high=20)
        check_range("log_odds_sd", self.log_odds_sd, low=0, high=10)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnRecord:
    """What this kennel has itself seen in dogs of the same kind.

    `weight` (0 to 1) discounts it: other dogs, other months, strips instead of a
    laboratory. The base Beta(a, b) becomes Beta(a + w k, b + w (n - k)). Counts need not
    be whole: a dog whose results leave some doubt counts in part.
    """

    found: float
    tested: float
    weight: float
    says: str = ""  # with `{n}`, may have `{positive}` and `{dogs}`; empty: not told
    positive: int = 0  # as counted, for the sentence alone
    dogs: int = 0

    def __post_init__(self) -> None:
        check_range("tested", self.tested, low=0)
        check_range("found", self.found, low=0, high=self.tested)
        check_range("weight", self.weight, low=0, high=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """The chance before any test, with everything it was made of."""

    base: BetaChance
    says: str  # sentence with `{n}`: "A puppy ... starts at about {n} in 100."
    contributions: tuple[Contribution, ...] = ()
    own_record: OwnRecord | None = None

    @property
    def updated_base(self) -> BetaChance:
        """The base after the kennel's own record."""
        record = self.own_record
        if record is None or self.base.is_exact:
            return self.base
        more = record.weight * record.tested
        a = self.base.a + record.weight * record.found
        strength = self.base.strength + more
        return BetaChance(
            mean=a / strength,
            strength=strength,
            source=self.base.source,
            provenance=self.base.provenance,
        )

    def draw(self, draws: Draws) -> Array:
        """Draws of the chance, 0 to 1."""
        log_odds = self._steps(draws)[-1]
        return chance_from_log_odds(log_odds)

    def _steps(self, draws: Draws) -> list[Array]:
        """Log-odds after the base and after each contribution."""
        steps = [log_odds_of(draws.beta(self.updated_base))]
        for part in self.contributions:
            shift = draws.normal(part.log_odds, part.log_odds_sd)
            steps.append(steps[-1] + shift)
        return steps

    def medians(self) -> tuple[float, ...]:
        """Median chance after the base and after each contribution, 0 to 1."""
        steps = self._steps(LatticeDraws())
        return tuple(float(np.median(chance_from_log_odds(step))) for step in steps)

    def draw_with_reasons(self, draws: Draws) -> tuple[Array, tuple[Phrase, ...]]:
        """Draws of the chance, and a sentence for base, own record and contributions."""
        steps = self._steps(draws)
        sentences = [self.says, *(part.says for part in self.contributions)]
        medians = [float(np.median(chance_from_log_odds(step))) for step in steps]
        reasons = [
            Phrase(sentence, {"n": in_hundred(median)})
            for sentence, median in zip(sentences, medians, strict=True)
        ]
        record = self.own_record
        if record is not None and record.says:
            plain = Phrase(self.says, {"n": in_hundred(self.base.quantile(0.5))})
            counted = {"positive": record.positive, "dogs": record.dogs}
            own = Phrase(record.says, {"n": in_hundred(medians[0]), **counted})
            reasons[:1] = [plain, own]
        return chance_from_log_odds(steps[-1]), tuple(reasons)


def prior(
    base: BetaChance,
    *,
    says: str = "Before any test the chance is about {n} in 100.",
    contributions: Sequence[Contribution] = (),
    own_record: OwnRecord | None = None,
) -> Prior:
    """The chance before a test, from its parts.

    `base` is the chance for the dog's age, origin and housing.
    """
    return Prior(
        base=base,
        says=says,
        contributions=tuple(contributions),
        own_record=own_record,
    )


def contribution_from_odds_ratio(
    odds_ratio: float,
    *,
    says: str,
    low: float | None = None,
    high: float | None = None,
    level: float = 0.95,
    source: str = "",
    provenance: Provenance = Provenance.PUBLISHED,
) -> Contribution:
    """A contribution from an odds ratio and its interval (`level` 0.90 or 0.95).

    The standard deviation of the log is the interval's width over twice the normal
    quantile. Without an interval no uncertainty is added.
    """
    if not odds_ratio > 0:
        raise BadInput(f"odds ratio must be more than 0, got {odds_ratio}")
    if (low is None) != (high is None):
        raise BadInput("an odds ratio needs both ends of its interval, or neither")
    sd = 0.0
    if low is not None and high is not None:
        if level not in NORMAL_QUANTILE:
            raise BadInput(f"level must be 0.90 or 0.95, got {level}")
        if not 0 < low <= odds_ratio <= high:
            raise BadInput(
                f"odds ratio {odds_ratio} must lie within its interval {low} to {high}"
            )
        sd = math.log(high / low) / (2 * NORMAL_QUANTILE[level])
    return Contribution(
        says=says,
        log_odds=math.log(odds_ratio),
        log_odds_sd=sd,
        source=source,
        provenance=provenance,
    )


def log_odds_of(chance: Array) -> Array:
    """Natural log of chance over (1 - chance); -inf at 0 and +inf at 1."""
    with np.errstate(divide="ignore"):
        odds: Array = np.log(chance) - np.log1p(-chance)
    return odds


def chance_from_log_odds(log_odds: Array) -> Array:
    """The chance again; exact at -inf and +inf."""
    with np.errstate(over="ignore"):
        chance: Array = 1 / (1 + np.exp(-log_odds))
    return chance


def in_hundred(chance: float) -> str:
    """A chance as a count in 100: "40", "2.5" below 10, "less than 0.1"."""
    count = 100 * chance
    if 0 < count < 0.1:
        return "less than 0.1"
    if 99.9 < count < 100:
        return "more than 99.9"
    if count < 10 or count > 99:
        return f"{count:.1f}".removesuffix(".0")
    return f"{count:.0f}"
