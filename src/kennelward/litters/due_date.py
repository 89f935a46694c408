"""When a bitch is due, as a distribution that every known fact narrows.

The unknown is the day of her LH surge; birth follows it by about 65 days. A test, a
progesterone value or a mating speaks about the surge with its own error; a litter count,
a temperature drop or progesterone near term speaks about birth. All are combined on a
grid of quarter days (Bayes' rule).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

import numpy as np

from kennelward.terms import BadInput, check_range

STEP = 0.25  # days
WINDOW_LEVEL = 0.80  # share of true births the printed window should hold


class MatingMethod(StrEnum):
    """How the semen came in; sets how long before or after the surge it can work."""

    NATURAL = "natural"
    FRESH = "fresh"
    CHILLED = "chilled"
    FROZEN = "frozen"


@dataclass(frozen=True, slots=True, kw_only=True)
class GestationModel:
    """Numbers of the model, in days; the handbook holds each with its source."""

    surge_to_birth: float = 65.0  # Hollinshead & Hanlon 2017, Theriogenology 101:62-72
    # 1.9 in the same 1,203 inseminations, of which about 1.0 is the error of the LH day
    # read from progesterone: sqrt(1.9^2 - 1.0^2).
    surge_to_birth_sd: float = 1.6
    lh_test_sd: float = 1.0  # daily testing; from memory
    surge_to_ovulation: float = (
        2.0  # Hollinshead & Hanlon 2019, Theriogenology 125:37-42
    )
    # Mir 2011: 63.1 +/- 2.1 from ovulation; sqrt(2.1^2 - 1.6^2).
    ovulation_sd: float = 1.36
    small_litter: int = 4  # Eilts 2005: one day longer at four puppies or fewer
    small_litter_days: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Mating:
    """One mating or insemination."""

    on: date
    method: MatingMethod = MatingMethod.NATURAL


@dataclass(frozen=True, slots=True, kw_only=True)
class Progesterone:
    """One progesterone value around the season, or near term."""

    on: date
    ng_per_ml: float

    def __post_init__(self) -> None:
        check_range("progesterone", self.ng_per_ml, low=0, high=100, unit="ng/mL")


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureDrop:
    """Rectal temperature fell to 37.5 degC, or 1.0 degC below the own three-day mean."""

    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class BreedingFacts:
    """What is known about one pregnancy. Anything may be missing, not everything."""

    lh_on: date | None = None
    ovulation_on: date | None = None
    matings: tuple[Mating, ...] = ()
    progesterone: tuple[Progesterone, ...] = ()
    litter_size: int | None = None
    temperature_drop: TemperatureDrop | None = None
    not_born_by: date | None = None  # still pregnant at the end of this day

    def __post_init__(self) -> None:
        if not (self.lh_on or self.ovulation_on or self.matings or self._rise):
            raise BadInput(
                "a due date needs the LH day, the ovulation day, a mating, or "
                "progesterone values from the season"
            )
        if self.litter_size is not None:
            check_range("litter size", self.litter_size, low=1, high=25)

    @property
    def _rise(self) -> bool:
        return len(self.progesterone) > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class DueDate:
    """The day of birth: median, and the window that holds it with chance 0.80."""

    median: date
    low: date
    high: date
    first_day: date  # of `chances`
    chances: tuple[float, ...]  # of birth on each day from `first_day`
    because: tuple[str, ...]  # facts used, strongest first

    def chance_by(self, on: date) -> float:
        """Chance that she whelps on or before `on`."""
        last = (on - self.first_day).days + 1
        return float(sum(self.chances[: max(0, last)]))


# Days from the surge to a mating that gave a litter: mean, sd, first, last.
# Natural matings can take from LH-3 to LH+10 (Concannon, review); mating to birth
# 62.1 (Okkens 1993) to 63 for untimed first matings puts the mean near LH+2.5. Frozen is
# inseminated late on purpose: 61.8 +/- 2.4 to birth (Linde-Forsberg 1999) puts it near
# LH+3.5. The spread is ours, set so that mating-to-birth has the published spread.
_MATING_TIMES = {
    MatingMethod.NATURAL: (2.5, 2.4, -3.0, 10.0),
    MatingMethod.FRESH: (2.7, 2.2, -3.0, 10.0),
    MatingMethod.CHILLED: (3.2, 2.0, -1.0, 8.0),
    MatingMethod.FROZEN: (3.4, 1.8, 0.0, 8.0),
}

# Progesterone (ng/mL) by day from the surge: Hollinshead & Hanlon 2019 for days 0, 2, 3;
# baseline and day 5 from memory. Log-linear between; spread one fifth plus assay bias.
_RISE_DAYS = (-4.0, -2.0, 0.0, 2.0, 3.0, 5.0, 8.0)
_RISE_NG = (0.6, 1.0, 2.7, 4.8, 7.2, 13.0, 20.0)
_RISE_LOG_SD = 0.30
_LAST_RISE_DAY = 8.0

# Near term, 40 bitches sampled 12-hourly: share that whelp within so many days.
_NEAR_TERM = ((1.0, 1.0, 0.91), (2.7, 2.0, 0.95))  # below ng/mL, within days, share
_NEAR_TERM_HIGH = (5.0, 0.5, 0.05)  # at or above, within days, share

_DROP_MEAN_DAYS = 21.5 / 24  # 45 bitches: 13-33 h, mean 21.5 +/- 0.8 (SE)
_DROP_SD_DAYS = 0.8 * 45**0.5 / 24
_DROP_IS_REAL = 0.8  # loggers saw false drops: specificity 0.77-0.92 (Geiser 2014)


def due_date(facts: BreedingFacts, *, model: GestationModel | None = None) -> DueDate:
    """The day of birth from everything known.

    Raises BadInput where the facts contradict each other beyond what the model allows,
    for example an LH day two months after the mating.
    """
    held = model or GestationModel()
    origin = _origin(facts)
    surge = np.arange(-25.0, 25.0, STEP)
    weight, because = _surge_weights(facts, surge, origin=origin, model=held)
    if not np.isfinite(weight).all() or weight.sum() <= 0 or weight.max() < 1e-12:
        raise BadInput(
            "these dates do not fit one pregnancy: look at the LH, ovulation, mating "
            "and progesterone dates again"
        )
    weight = weight / weight.sum()
    # Cell centres lie off the half-days that divide one date from the next.
    birth = np.arange(20.0, 120.0, STEP) + STEP / 2
    lag = birth[:, None] - surge[None, :] - held.surge_to_birth
    if facts.litter_size is not None and facts.litter_size <= held.small_litter:
        lag = lag - held.small_litter_days
        because.append("litter size")
    spread = np.exp(-0.5 * (lag / held.surge_to_birth_sd) ** 2)
    chance = spread @ weight
    chance = _near_term(facts, chance, birth, origin=origin, because=because)
    return _dated(chance / chance.sum(), birth, origin=origin, because=because)


def _origin(facts: BreedingFacts) -> date:
    """A day near the surge that the grid is laid around."""
    if facts.lh_on:
        return facts.lh_on
    if facts.ovulation_on:
        return facts.ovulation_on - timedelta(days=2)
    if facts.matings:
        first = min(mating.on for mating in facts.matings)
        return first - timedelta(days=2)
    return min(value.on for value in facts.progesterone)


def _surge_weights(
    facts: BreedingFacts, surge: np.ndarray, *, origin: date, model: GestationModel
) -> tuple[np.ndarray, list[str]]:
    weight = np.ones_like(surge)
    because: list[str] = []
    if facts.lh_on:
        weight = weight * _bell(surge, _day(facts.lh_on, origin), model.lh_test_sd)
        because.append("LH day")
    if facts.ovulation_on:
        middle = _day(facts.ovulation_on, origin) - model.surge_to_ovulation
        weight = weight * _bell(surge, middle, model.ovulation_sd)
        because.append("ovulation day")
    rises = [
        value
        for value in facts.progesterone
        if abs(_day(value.on, origin)) <= 2 * _LAST_RISE_DAY
    ]
    for value in rises:
        expected = np.exp(
            np.interp(_day(value.on, origin) - surge, _RISE_DAYS, np.log(_RISE_NG))
        )
        off = np.log(max(value.ng_per_ml, 0.1) / expected)
        weight = weight * np.exp(-0.5 * (off / _RISE_LOG_SD) ** 2)
    if rises:
        because.append("progesterone in season")
    if facts.matings:
        weight = weight * _mating_weight(facts.matings, surge, origin=origin)
        because.append("mating dates")
    return weight, because


def _mating_weight(
    matings: Sequence[Mating], surge: np.ndarray, *, origin: date
) -> np.ndarray:
    """Any one of several matings may have taken, so their chances are averaged."""
    total = np.zeros_like(surge)
    for mating in matings:
        mean, sd, first, last = _MATING_TIMES[mating.method]
        after = _day(mating.on, origin) - surge
        inside = (after >= first) & (after <= last)
        total += np.where(inside, _bell(after, mean, sd), 0.0)
    return total / len(matings)


def _near_term(
    facts: BreedingFacts,
    chance: np.ndarray,
    birth: np.ndarray,
    *,
    origin: date,
    because: list[str],
) -> np.ndarray:
    for value in facts.progesterone:
        taken = _day(value.on, origin)
        if taken < 45:
            continue
        chance = np.where(birth >= taken, chance, 0.0)  # she was still pregnant
        for below, days, share in _NEAR_TERM:
            if value.ng_per_ml < below:
                within = (birth >= taken) & (birth <= taken + days)
                chance = _share(chance, within, share)
                break
        else:
            low, days, share = _NEAR_TERM_HIGH
            if value.ng_per_ml >= low:
                within = (birth >= taken) & (birth <= taken + days)
                chance = _share(chance, within, share, only_down=True)
        because.insert(0, "progesterone near term")
    if facts.temperature_drop is not None:
        at = facts.temperature_drop.at
        dropped = _day(at.date(), origin) + (at.hour + at.minute / 60) / 24 - 0.5
        chance = np.where(birth >= dropped, chance, 0.0)
        soon = _bell(birth, dropped + _DROP_MEAN_DAYS, _DROP_SD_DAYS)
        total = chance.sum()
        real = chance * soon
        if real.sum() > 0:
            chance = (
                _DROP_IS_REAL * real / real.sum() + (1 - _DROP_IS_REAL) * chance / total
            )
            because.insert(0, "temperature drop")
    if facts.not_born_by is not None:
        still = birth >= _day(facts.not_born_by, origin) + 0.5
        if (chance * still).sum() <= chance.sum() * 1e-9:
            raise BadInput(
                "she is long past every day these dates allow: call the vet, and look "
                "at the dates again"
            )
        chance = np.where(still, chance, 0.0)
    return chance


def _share(
    chance: np.ndarray, within: np.ndarray, share: float, *, only_down: bool = False
) -> np.ndarray:
    """Scale so that `within` holds `share` of the chance."""
    inside, total = chance[within].sum(), chance.sum()
    if inside <= 0 or inside >= total or (only_down and inside / total <= share):
        return chance
    factor = share / (1 - share) * (total - inside) / inside
    return np.where(within, chance * factor, chance)


def _dated(
    chance: np.ndarray, birth: np.ndarray, *, origin: date, because: Sequence[str]
) -> DueDate:
    # Published lengths count whole days between two dates, so b = d is noon of day d.
    days = np.floor(birth + 0.5).astype(int)
    first = int(days[0])
    daily = np.bincount(days - first, weights=chance)
    running = np.cumsum(daily)
    edge = (1 - WINDOW_LEVEL) / 2

    def day_at(level: float) -> date:
        return origin + timedelta(days=first + int(np.searchsorted(running, level)))

    return DueDate(
        median=day_at(0.5),
        low=day_at(edge),
        high=day_at(1 - edge),
        first_day=origin + timedelta(days=first),
        chances=tuple(float(x) for x in daily),
        because=tuple(because),
    )


def _bell(x: np.ndarray, middle: float, sd: float) -> np.ndarray:
    value: np.ndarray = np.exp(-0.5 * ((x - middle) / sd) ** 2)
    return value


def _day(on: date, origin: date) -> float:
    return float((on - origin).days)
