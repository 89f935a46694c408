"""What the due date is worked out with: every number comes from the handbook.

Each type's fields are named as the handbook names the value.
"""

from dataclasses import dataclass
from enum import StrEnum

from kennelward.terms import check_range


class MatingMethod(StrEnum):
    """How the semen came in; sets how long before or after the surge it can work."""

    NATURAL = "natural"
    FRESH = "fresh"
    CHILLED = "chilled"
    FROZEN = "frozen"


@dataclass(frozen=True, slots=True, kw_only=True)
class GestationModel:
    """From the LH surge to birth, and how well each marker of the surge is known."""

    surge_to_birth_days: float
    surge_to_birth_sd_days: float
    lh_test_sd_days: float
    surge_to_ovulation_days: float
    ovulation_sd_days: float
    small_litter_puppies: int
    small_litter_later_days: float
    season_to_surge_days: float
    season_to_surge_sd_days: float
    aged_by_scan_sd_days: float
    attempt_reach_days: float

    def __post_init__(self) -> None:
        for name in ("surge_to_birth", "lh_test", "ovulation", "aged_by_scan"):
            check_range(name, getattr(self, f"{name}_sd_days"), low=0.05, high=20)


@dataclass(frozen=True, slots=True, kw_only=True)
class MatingTime:
    """Days from the surge to a mating that took."""

    mean_days: float
    sd_days: float
    before_days: float  # earliest, before the surge
    after_days: float  # latest, after it

    def __post_init__(self) -> None:
        check_range("spread of mating days", self.sd_days, low=0.05, high=20)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonProgesterone:
    """The usual rise, ng/mL by day from the surge, and how far values scatter."""

    ng_4_days_before: float
    ng_2_days_before: float
    ng_at_surge: float
    ng_2_days_after: float
    ng_3_days_after: float
    ng_5_days_after: float
    ng_8_days_after: float
    own_log_sd: float  # of one value
    assay_log_sd: float  # of one laboratory, shared by all its values
    risen_ng: float
    speaks_before_days: float
    speaks_after_days: float

    @property
    def curve(self) -> tuple[tuple[float, float], ...]:
        """Days from the surge and ng/mL, in order; log-linear between."""
        return (
            (-4, self.ng_4_days_before),
            (-2, self.ng_2_days_before),
            (0, self.ng_at_surge),
            (2, self.ng_2_days_after),
            (3, self.ng_3_days_after),
            (5, self.ng_5_days_after),
            (8, self.ng_8_days_after),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class NearTerm:
    """What progesterone and temperature near the end say about the hour."""

    from_day: float
    low_ng: float
    low_days: float
    low_share: float
    falling_ng: float
    falling_days: float
    falling_share: float
    high_ng: float
    high_days: float
    high_share: float
    drop_to_celsius: float
    drop_by_celsius: float
    drop_mean_days: float
    drop_hours: float
    drop_sd_hours: float
    drop_is_real_share: float
    drop_speaks_days: float
    temperature_from_days: int
    temperature_times_a_day: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LitterSizeModel:
    """How many puppies are expected, and how far a count is to be trusted."""

    mean_puppies: float
    sd_puppies: float
    small_mean_puppies: float
    medium_mean_puppies: float
    large_mean_puppies: float
    giant_mean_puppies: float
    x_ray_missed_share: float
    x_ray_doubled_share: float
    scan_missed_share: float
    scan_doubled_share: float

    def mean_for(self, size: str) -> float:
        """Puppies on average for a bitch of a size class, or of any size for ""."""
        name = f"{size}_mean_puppies" if size else "mean_puppies"
        return float(getattr(self, name))


@dataclass(frozen=True, slots=True, kw_only=True)
class TestDays:
    """Days from the surge (or the last mating) on which pregnancy tests answer."""

    __test__ = False  # not a test case of pytest

    earliest_lh_days: int  # a positive may show; a negative says nothing
    negative_counts_lh_days: int
    negative_counts_mating_days: int  # after the last mating, surge not known
    repeat_days: int
    scan_first_lh_days: int
    scan_best_lh_days: int
    scan_last_lh_days: int
    x_ray_first_lh_days: int
    x_ray_last_lh_days: int
    overdue_lh_days: int
    overdue_mating_days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DueDateModel:
    """Everything a due date is worked out with."""

    gestation: GestationModel
    natural: MatingTime
    fresh: MatingTime
    chilled: MatingTime
    frozen: MatingTime
    season: SeasonProgesterone
    near_term: NearTerm
    litter_size: LitterSizeModel

    def mating(self, method: MatingMethod) -> MatingTime:
        """Days from the surge to a mating of this kind."""
        found: MatingTime = getattr(self, method.value)
        return found
