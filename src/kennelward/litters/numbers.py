"""All of the handbook's numbers that this room works with, together."""

from dataclasses import dataclass

from kennelward.litters.gestation import DueDateModel, TestDays
from kennelward.litters.growth import GrowthModel
from kennelward.litters.growth_standards import BirthWeights
from kennelward.litters.losses import LossModel
from kennelward.litters.whelping import WhelpingRules


@dataclass(frozen=True, slots=True, kw_only=True)
class LitterNumbers:
    """What due dates, nights, growth and losses are worked out with, on one day."""

    due_date: DueDateModel
    test_days: TestDays
    whelping: WhelpingRules
    growth: GrowthModel
    birth_weights: BirthWeights
    losses: LossModel
    early_death_days: int  # a death up to this age counts as early

    @property
    def reach_days(self) -> int:
        """A mating or surge longer ago than this belongs to another pregnancy."""
        return round(self.due_date.gestation.attempt_reach_days)
