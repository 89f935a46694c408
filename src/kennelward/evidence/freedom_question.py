"""What is asked about a kennel's freedom from one infection, and what it rests on."""

from dataclasses import dataclass
from datetime import date

from kennelward.evidence.accuracy import BetaChance
from kennelward.evidence.kennel_round import DogAtRisk
from kennelward.terms import BadInput, check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class NegativeRound:
    """Dogs tested on one day with one test, every one negative."""

    on: date
    test: str
    dogs: tuple[str, ...] = ()  # each on its own
    pools: tuple[tuple[str, ...], ...] = ()  # several dogs as one sample
    sensitivity: BetaChance
    pool_sensitivity: BetaChance | None = None
    dependence: float = 0.0  # between repeats of the test on one dog, 0 to 1

    def __post_init__(self) -> None:
        check_range("dependence", self.dependence, low=0, high=1)
        if self.pools and self.pool_sensitivity is None:
            raise BadInput("pools need a pool_sensitivity")
        if not self.dogs and not self.pools:
            raise BadInput(f"the round of {self.on} tests no dog")


@dataclass(frozen=True, slots=True, kw_only=True)
class Introduction:
    """A day on which the infection may have come in, and how likely that is."""

    on: date
    chance: BetaChance
    says: str  # "Bryn arrived", "Nell went out to be mated"


@dataclass(frozen=True, slots=True, kw_only=True)
class FreedomQuestion:
    """What is asked, and everything it rests on."""

    infection: str
    dogs: tuple[DogAtRisk, ...]  # those here now; tests of others do not count
    design_infected: int  # dogs that would be infected, were it here
    starts_on: date
    prior: BetaChance  # chance that it was absent on `starts_on`
    rounds: tuple[NegativeRound, ...] = ()
    introductions: tuple[Introduction, ...] = ()
    daily_introduction: float = 0.0  # of what is not written down
    suspect_since: date | None = None  # an open positive or trace

    def __post_init__(self) -> None:
        check_range("design_infected", self.design_infected, low=1, high=len(self.dogs))
        check_range("daily_introduction", self.daily_introduction, low=0, high=1)
        days = [r.on for r in self.rounds] + [i.on for i in self.introductions]
        if days and min(days) < self.starts_on:
            raise BadInput(
                f"{min(days)} lies before the question starts on {self.starts_on}; "
                "leave it out or start earlier"
            )
