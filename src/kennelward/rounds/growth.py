"""How a litter grows: each puppy's weights, trend, bands and warnings."""

from dataclasses import dataclass
from datetime import datetime

from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.litters import (
    Band,
    BirthClass,
    Expected,
    GrowthFlag,
    GrowthWarning,
    LitterNumbers,
    Trend,
    Weight,
    expected_bands,
    flag,
    lines_fallen,
    trend,
    warnings,
)
from kennelward.rounds.grown import expected_of

DAYS_AHEAD = 7  # bands are drawn so far beyond the last weight


@dataclass(frozen=True, slots=True, kw_only=True)
class PuppyGrowth:
    """One puppy's weights and what they say."""

    dog: str
    weights: tuple[Weight, ...]
    trend: Trend | None  # None without a weight
    flag: GrowthFlag
    warnings: tuple[GrowthWarning, ...]
    birth_class: BirthClass | None  # None where breed or size is not known
    bands: tuple[Band, ...]  # what is expected, by day of age
    fallen: int  # lines fallen across
    expected: Expected


def litter_growth(
    *, book: Book, handbook: Handbook, litter: str
) -> tuple[PuppyGrowth, ...]:
    """Growth of every named puppy of a litter, in the litter's order."""
    card = book.litters[litter]
    numbers = handbook.litters(book.happened_on(card.whelped))
    expected = expected_of(book=book, dam=card.dam, sire=card.sire, numbers=numbers)
    return tuple(
        puppy_growth(
            book=book,
            dog=dog,
            born_at=card.whelped.happened_at,
            numbers=numbers,
            expected=expected,
        )
        for dog in card.dogs
    )


def puppy_growth(
    *,
    book: Book,
    dog: str,
    born_at: datetime,
    numbers: LitterNumbers,
    expected: Expected,
) -> PuppyGrowth:
    """One dog's weights, trend, bands and warnings."""
    weights = tuple(
        Weight(at=entry.happened_at, weight_g=entry.fact.weight_g)
        for entry in book.about(dog)
        if isinstance(entry.fact, f.Weighed) and entry.fact.dog == dog
    )
    at_birth = _birth_weight(weights, born_at=born_at)
    birth = None
    if at_birth is not None:
        birth = numbers.birth_weights.class_of(
            at_birth.weight_g, breed=expected.breed, size=expected.size
        )
    model = numbers.growth
    until = (weights[-1].at - born_at).days + DAYS_AHEAD if weights else DAYS_AHEAD
    return PuppyGrowth(
        dog=dog,
        weights=weights,
        trend=trend(weights, model=model.trend) if weights else None,
        flag=flag(
            weights, born_at=born_at, model=model, expected=expected, birth=birth
        ),
        warnings=warnings(
            weights, born_at=born_at, model=model, expected=expected, birth=birth
        ),
        birth_class=birth,
        bands=expected_bands(
            birth_g=at_birth.weight_g if at_birth is not None else None,
            expected=expected,
            model=model,
            until_day=until,
        ),
        fallen=lines_fallen(weights, born_at=born_at, model=model, expected=expected),
        expected=expected,
    )


def _birth_weight(weights: tuple[Weight, ...], *, born_at: datetime) -> Weight | None:
    """The first weight, where it is from the first day."""
    if not weights:
        return None
    first = min(weights, key=lambda weight: weight.at)
    return first if (first.at - born_at).total_seconds() <= 86_400 else None


def usual_weight_g(
    *, growth: PuppyGrowth, numbers: LitterNumbers, born_at: datetime, at: datetime
) -> float | None:
    """What a puppy should weigh about now, to ask about a wrong unit; None: unknown.

    From its own trend where it has one, else from its breed, its parents' size or the
    mean over all breeds at birth, along the usual growth of the first three weeks.
    """
    if growth.trend is not None:
        days = (at - growth.weights[-1].at).total_seconds() / 86_400
        gain = 1 + max(0.0, growth.trend.daily_gain)
        return float(growth.trend.weight_g * gain ** min(max(days, 0.0), 14))
    age = max(0.0, (at - born_at).total_seconds() / 86_400)
    if age > numbers.growth.best.last_day:
        return None
    birth_g = growth.expected.birth_g or numbers.birth_weights.any_mean_gram
    return float(birth_g * 2 ** (age / numbers.growth.rules.doubled_usual_days))
