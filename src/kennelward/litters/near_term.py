"""What the last days say about the hour: progesterone, the fall of temperature, waiting."""

from datetime import date, datetime

import numpy as np

from kennelward.litters.breeding import BreedingFacts, TemperatureDrop
from kennelward.litters.gestation import NearTerm
from kennelward.terms import BadInput

HOURS = 24


def near_term(
    facts: BreedingFacts,
    chance: np.ndarray,
    birth: np.ndarray,
    *,
    origin: date,
    model: NearTerm,
    because: list[str],
) -> np.ndarray:
    """`chance` of each day of `birth`, moved by what is seen near the end.

    Raises BadInput where she is past every day that the dates allow.
    """
    for value in facts.progesterone:
        taken = float((value.on - origin).days)
        if taken >= model.from_day:
            chance = np.where(
                birth >= taken, chance, 0.0
            )  # taken at noon, not born yet
            chance = _progesterone(chance, birth, taken, value.ng_per_ml, model=model)
            because.insert(0, "progesterone near term")
    if facts.temperature_drop is not None:
        chance = _dropped(
            facts.temperature_drop,
            chance,
            birth,
            origin=origin,
            model=model,
            because=because,
        )
    if facts.not_born_by is not None:
        still = birth >= (facts.not_born_by - origin).days + 0.5
        if (chance * still).sum() <= chance.sum() * 1e-9:
            raise BadInput(
                "she is long past every day these dates allow: call the vet, and look "
                "at the dates again"
            )
        chance = np.where(still, chance, 0.0)
    return chance


def _progesterone(
    chance: np.ndarray, birth: np.ndarray, taken: float, ng: float, *, model: NearTerm
) -> np.ndarray:
    if ng < model.low_ng:
        days, share, only_down = model.low_days, model.low_share, False
    elif ng < model.falling_ng:
        days, share, only_down = model.falling_days, model.falling_share, False
    elif ng >= model.high_ng:
        days, share, only_down = model.high_days, model.high_share, True
    else:
        return chance
    within = (birth >= taken) & (birth <= taken + days)
    return _share(chance, within, share, only_down=only_down)


def _dropped(
    drop: TemperatureDrop,
    chance: np.ndarray,
    birth: np.ndarray,
    *,
    origin: date,
    model: NearTerm,
    because: list[str],
) -> np.ndarray:
    dropped = (drop.at.date() - origin).days + _share_of_day(drop.at) - 0.5
    chance = np.where(birth >= dropped, chance, 0.0)
    middle = dropped + model.drop_hours / HOURS
    sd = model.drop_sd_hours / HOURS
    real = chance * np.exp(-0.5 * ((birth - middle) / sd) ** 2)
    if real.sum() <= 0:
        return chance
    because.insert(0, "temperature drop")
    share = model.drop_is_real_share
    mixed: np.ndarray = share * real / real.sum() + (1 - share) * chance / chance.sum()
    return mixed


def _share_of_day(at: datetime) -> float:
    return (at.hour + at.minute / 60) / HOURS


def _share(
    chance: np.ndarray, within: np.ndarray, share: float, *, only_down: bool = False
) -> np.ndarray:
    """Scale so that `within` holds `share` of the chance."""
    inside, total = chance[within].sum(), chance.sum()
    if inside <= 0 or inside >= total or (only_down and inside / total <= share):
        return chance
    factor = share / (1 - share) * (total - inside) / inside
    return np.where(within, chance * factor, chance)
