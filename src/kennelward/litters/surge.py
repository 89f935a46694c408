"""Where the LH surge lies, from everything known of the season: weights on a grid."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np

from kennelward.litters.breeding import BreedingFacts, Mating, Progesterone
from kennelward.litters.gestation import DueDateModel, SeasonProgesterone
from kennelward.terms import BadInput

STEP = 0.25  # days
REACH = 25.0  # days of the grid either side of the origin, and more where facts spread
LEAST_NG = 0.1  # lower values are read as this, so that their logarithm stays sane


def grid_origin(facts: BreedingFacts, *, model: DueDateModel) -> date:
    """A day near the surge that the grid is laid around."""
    gestation = model.gestation
    if facts.lh_on:
        return facts.lh_on
    if facts.ovulation_on:
        return facts.ovulation_on - _days(gestation.surge_to_ovulation_days)
    if facts.aged:
        return _aged_surge(facts, model=model)
    if facts.matings:
        return min(mating.on for mating in facts.matings) - timedelta(days=2)
    risen = [v for v in facts.progesterone if v.ng_per_ml >= model.season.risen_ng]
    if risen:
        return min(value.on for value in risen)
    if facts.season_on is None:
        raise BadInput(
            "progesterone has not risen in these values, so they say only that the "
            "surge was still to come; measure again"
        )
    return facts.season_on + _days(gestation.season_to_surge_days)


def _aged_surge(facts: BreedingFacts, *, model: DueDateModel) -> date:
    aged = facts.aged[0]
    after = aged.days_from_ovulation + model.gestation.surge_to_ovulation_days
    return aged.on - _days(after)


def surge_weights(
    facts: BreedingFacts, *, origin: date, model: DueDateModel
) -> tuple[np.ndarray, np.ndarray, list[str]]:
    """Days from `origin`, the chance of the surge at each (sums to 1), and the facts used.

    Raises BadInput where the facts do not fit one season.
    """
    wide = max((_day(m.on, origin) for m in facts.matings), default=0.0)
    surge = np.arange(-REACH, REACH + max(0.0, wide), STEP)
    log_weight = np.zeros_like(surge)
    because: list[str] = []
    gestation = model.gestation
    markers = [
        ("LH day", facts.lh_on, 0.0, gestation.lh_test_sd_days),
        (
            "ovulation day",
            facts.ovulation_on,
            gestation.surge_to_ovulation_days,
            gestation.ovulation_sd_days,
        ),
        *(
            (
                "age on a scan",
                aged.on,
                aged.days_from_ovulation + gestation.surge_to_ovulation_days,
                gestation.aged_by_scan_sd_days,
            )
            for aged in facts.aged
        ),
        (
            "start of the season",
            facts.season_on,
            -gestation.season_to_surge_days,
            gestation.season_to_surge_sd_days,
        ),
    ]
    for name, on, after, sd in markers:
        if on is not None:
            off = surge - (_day(on, origin) - after)
            log_weight = log_weight - 0.5 * (off / sd) ** 2
            because.append(name)
    values = season_values(facts.progesterone, origin=origin, season=model.season)
    if values:
        log_weight = log_weight + _progesterone(values, surge, origin, model.season)
        because.append("progesterone in season")
    weight = np.exp(log_weight)
    if facts.matings:
        weight = weight * _matings(facts.matings, surge, origin=origin, model=model)
        because.append("mating dates")
    if not np.isfinite(weight).all() or weight.max() < 1e-12:
        raise BadInput(
            "these dates do not fit one pregnancy: look at the LH, ovulation, mating "
            "and progesterone dates again"
        )
    order = list(dict.fromkeys(because))
    if "start of the season" in order:  # the weakest of all comes last
        order.sort(key=lambda name: name == "start of the season")
    return surge, weight / weight.sum(), order


def season_values(
    values: Sequence[Progesterone], *, origin: date, season: SeasonProgesterone
) -> list[Progesterone]:
    """Values near enough to the season to speak of the surge."""
    return [
        value
        for value in values
        if -season.speaks_before_days
        <= _day(value.on, origin)
        <= season.speaks_after_days
    ]


def _progesterone(
    values: Sequence[Progesterone],
    surge: np.ndarray,
    origin: date,
    season: SeasonProgesterone,
) -> np.ndarray:
    """Log weight of each surge day under serial values.

    Values of one assay share an error, so that ten of them do not look like ten
    laboratories: covariance own^2 I + assay^2 J, inverted in closed form.
    """
    days, usual = (np.array(part) for part in zip(*season.curve, strict=True))
    by_assay: dict[str, list[np.ndarray]] = defaultdict(list)
    for value in values:
        expected = np.interp(_day(value.on, origin) - surge, days, np.log(usual))
        off = np.log(max(value.ng_per_ml, LEAST_NG)) - expected
        by_assay[value.assay.casefold().strip()].append(off)
    total = np.zeros_like(surge)
    own, shared = season.own_log_sd**2, season.assay_log_sd**2
    for offs in by_assay.values():
        away = np.array(offs)  # (n_values, n_surge)
        squares = (away**2).sum(axis=0)
        together = away.sum(axis=0) ** 2 * shared / (own + len(offs) * shared)
        total -= 0.5 * (squares - together) / own
    return total


def _matings(
    matings: Sequence[Mating], surge: np.ndarray, *, origin: date, model: DueDateModel
) -> np.ndarray:
    """Any one of several matings may have taken, so their chances are averaged.

    A mating whose day is not known lies on each of its days with equal chance.
    """
    total = np.zeros_like(surge)
    for mating in matings:
        time = model.mating(mating.method)
        length = (mating.on - mating.first_day).days + 1
        for number in range(length):
            after = _day(mating.first_day, origin) + number - surge
            inside = (after >= -time.before_days) & (after <= time.after_days)
            bell = np.exp(-0.5 * ((after - time.mean_days) / time.sd_days) ** 2)
            total += np.where(inside, bell, 0.0) / length
    share: np.ndarray = total / len(matings)
    return share


def _day(on: date, origin: date) -> float:
    return float((on - origin).days)


def _days(number: float) -> timedelta:
    return timedelta(days=round(number))
