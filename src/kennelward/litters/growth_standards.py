"""What healthy puppies weigh: published curves, size classes, birth weights by breed.

A curve is drawn beside a puppy's own line. It never decides alone.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import exp, log

from kennelward.terms import BadInput, check_range

DAYS_A_MONTH = 30.4375
DAYS_A_WEEK = 7


class BirthClass(StrEnum):
    """Birth weight for the breed or the size."""

    NORMAL = "normal"
    LOW = "low"
    VERY_LOW = "very low"


def birth_class(
    *, weight_g: float, normal_from_g: float, very_low_below_g: float
) -> BirthClass:
    """Class by a breed's two thresholds. Source of the scheme: Mugnier 2020."""
    if weight_g < very_low_below_g:
        return BirthClass.VERY_LOW
    return BirthClass.LOW if weight_g < normal_from_g else BirthClass.NORMAL


@dataclass(frozen=True, slots=True, kw_only=True)
class BestCurve:
    """Best growth of sucking puppies, W = W0 exp(a d - b d^2): an upper guide.

    Source: Alves 2020, doi 10.1002/vms3.322 (345 puppies, 60 litters, 19 breeds).
    """

    per_day: float
    per_day_squared: float
    last_day: float

    def weight_g(self, *, birth_g: float, day: float) -> float:
        """Weight at `day`, 0 to the curve's last day."""
        check_range("day", day, low=0, high=self.last_day)
        return birth_g * exp(self.per_day * day - self.per_day_squared * day * day)


def gompertz(*, adult: float, b: float, c: float, age: float) -> float:
    """W = adult exp(-exp(-(age - c) / b)); not below 8 weeks, it fails at birth.

    Source: Helmink 2000, J Anim Sci 78:27-32.
    """
    return adult * exp(-exp(-(age - c) / b))


def gompertz_from_points(*, half_age: float, grown_age: float) -> tuple[float, float]:
    """b and c of the Gompertz curve through 50 % and 99 % of the grown weight."""
    if not 0 < half_age < grown_age:
        raise BadInput(
            f"half of the grown weight comes before all of it, got {half_age:g} and "
            f"{grown_age:g}"
        )
    half, grown = -log(log(2)), -log(-log(0.99))
    b = (grown_age - half_age) / (grown - half)
    return b, half_age - b * half


def logistic_share(*, middle: float, b: float, age: float) -> float:
    """Share of adult weight at `age` (same unit as `middle` and `b`).

    Source: Posada 2014, Rev MVZ Cordoba.
    """
    return 1 / (1 + exp(-(age - middle) / b))


def lms_z(*, value: float, skew: float, median: float, spread: float) -> float:
    """Standard score by the LMS method. Source: Cole & Green 1992, Stat Med 11:1305."""
    if skew == 0:
        return log(value / median) / spread
    return float(((value / median) ** skew - 1) / (skew * spread))


def crossed_lines(*, z_then: float, z_now: float, spacing: float) -> int:
    """How many lines, `spacing` apart around the middle, lie between two scores.

    More than two is a question for the vet: under 5 % of healthy dogs do it.
    Source: Salt 2020, doi 10.1371/journal.pone.0238521.
    """
    low, high = sorted((z_then, z_now))
    lines = [number * spacing for number in range(-4, 5)]  # 9 centile lines
    return sum(low < line <= high for line in lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class AdultShare:
    """Share of the grown weight by age, for one size: logistic.

    Source: Posada 2014, Rev MVZ Cordoba; b = (T99 - middle) / ln 99.
    """

    middle_months: float
    grown_months: float  # 99 % of the grown weight

    def share(self, *, age_days: float) -> float:
        """0 to 1."""
        b = (self.grown_months - self.middle_months) / log(99)
        age = age_days / DAYS_A_MONTH
        return logistic_share(middle=self.middle_months, b=b, age=age)


@dataclass(frozen=True, slots=True, kw_only=True)
class BreedShare:
    """Share of the grown weight by age, for one breed: Gompertz, from 8 weeks on."""

    half_weeks: float
    grown_weeks: float

    def share(self, *, age_days: float) -> float:
        """0 to 1."""
        b, c = gompertz_from_points(
            half_age=self.half_weeks, grown_age=self.grown_weeks
        )
        return gompertz(adult=1.0, b=b, c=c, age=age_days / DAYS_A_WEEK)


@dataclass(frozen=True, slots=True, kw_only=True)
class BreedBirth:
    """Published birth weights of one breed."""

    mean_gram: float
    normal_from_gram: float
    very_low_below_gram: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeBirth:
    """Usual birth weights of one size."""

    low_gram: float
    high_gram: float

    @property
    def middle_gram(self) -> float:
        """Half-way between the two ends."""
        return (self.low_gram + self.high_gram) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class BirthWeights:
    """Birth weights by size and by breed."""

    small_below_kilogram: float
    medium_below_kilogram: float
    large_below_kilogram: float
    any_mean_gram: float
    sizes: Mapping[str, SizeBirth]
    breeds: Mapping[str, BreedBirth]  # by breed, words joined by "_"

    def size_of(self, grown_g: float) -> str:
        """Size class of a grown weight: small, medium, large or giant."""
        kilogram = grown_g / 1000
        for size in ("small", "medium", "large"):
            if kilogram < getattr(self, f"{size}_below_kilogram"):
                return size
        return "giant"

    def breed_named(self, name: str) -> BreedBirth | None:
        """The published breed that a name in the book means, or None."""
        words = "".join(c if c.isalpha() else " " for c in name.casefold()).split()
        if not words:
            return None
        for breed, found in self.breeds.items():
            told = breed.split("_")
            if set(told) <= set(words) or (len(words) == 1 and words[0] == told[0]):
                return found
        return None

    def expected_birth_g(self, *, breed: str = "", size: str = "") -> float:
        """Birth weight to expect: by breed, else by size, else over all breeds."""
        known = self.breed_named(breed)
        if known is not None:
            return known.mean_gram
        return self.sizes[size].middle_gram if size else self.any_mean_gram

    def class_of(
        self, weight_g: float, *, breed: str = "", size: str = ""
    ) -> BirthClass | None:
        """Class of a birth weight; None where neither breed nor size is known.

        By size only "low" can be told: thresholds of great danger are published by
        breed.
        """
        known = self.breed_named(breed)
        if known is not None:
            return birth_class(
                weight_g=weight_g,
                normal_from_g=known.normal_from_gram,
                very_low_below_g=known.very_low_below_gram,
            )
        if not size:
            return None
        return birth_class(
            weight_g=weight_g,
            normal_from_g=self.sizes[size].low_gram,
            very_low_below_g=0,
        )
