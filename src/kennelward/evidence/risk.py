"""Dogs at different risk, and surveillance made of several parts."""

import math
from collections.abc import Sequence

from kennelward.evidence.group import group_sensitivity_macdiarmid
from kennelward.terms import BadInput, check_range


def adjusted_risks(
    relative_risks: Sequence[float], population_shares: Sequence[float]
) -> tuple[float, ...]:
    """Relative risks scaled so that their mean over the population is 1.

    Source: Martin, Cameron & Greiner 2007, Prev Vet Med 79:71-97.
    """
    if len(relative_risks) != len(population_shares):
        raise BadInput(
            f"give one share for each risk, got {len(population_shares)} shares for "
            f"{len(relative_risks)} risks"
        )
    for risk in relative_risks:
        check_range("relative risk", risk, low=0)
    check_range("sum of the shares", sum(population_shares), low=0.999, high=1.001)
    mean = sum(r * s for r, s in zip(relative_risks, population_shares, strict=True))
    check_range("mean relative risk", mean, low=1e-12)
    return tuple(risk / mean for risk in relative_risks)


def component_sensitivity(
    *,
    infection_chances: Sequence[float],
    tested: Sequence[int],
    sensitivity: float,
    group_sizes: Sequence[int] | None = None,
    round_infected_up: bool = False,
) -> float:
    """Chance that tests in several risk groups find infection at the design level.

    `infection_chances` are the EPI of each group. Large groups: 1 - prod (1 - EPI
    Se)^n. With `group_sizes`: 1 - prod (1 - n Se / N)^(EPI N), the number infected
    left fractional unless `round_infected_up`.
    Source: Martin, Cameron & Greiner 2007, Prev Vet Med 79:71-97.
    """
    check_range("sensitivity", sensitivity, low=0, high=1)
    missed = 1.0
    for i, (chance, n) in enumerate(zip(infection_chances, tested, strict=True)):
        check_range("infection chance", chance, low=0, high=1)
        check_range("tested", n, low=0)
        if group_sizes is None:
            missed *= (1 - chance * sensitivity) ** n
            continue
        size = group_sizes[i]
        infected: float = chance * size
        if round_infected_up:
            infected = math.ceil(infected - 1e-9)
        missed *= 1 - group_sensitivity_macdiarmid(
            group_size=size, infected=infected, tested=n, sensitivity=sensitivity
        )
    return 1 - missed


def two_stage_sensitivity(
    *,
    kennels: int,
    group_sizes: Sequence[int],
    tested: Sequence[int],
    kennel_prevalence: float,
    dog_prevalence: float,
    sensitivity: float,
) -> tuple[tuple[float, ...], float]:
    """Sensitivity in each sampled kennel, and of the whole survey.

    Kennel level by MacDiarmid with D = N P; survey 1 - (1 - n mean(SeH) / H)^(H P_c).
    Source: Cameron & Baldock 1998, Prev Vet Med 34:19-30.
    """
    check_range("kennels", kennels, low=len(group_sizes))
    check_range("kennel_prevalence", kennel_prevalence, low=0, high=1)
    check_range("dog_prevalence", dog_prevalence, low=0, high=1)
    by_kennel = tuple(
        group_sensitivity_macdiarmid(
            group_size=size,
            infected=size * dog_prevalence,
            tested=n,
            sensitivity=sensitivity,
        )
        for size, n in zip(group_sizes, tested, strict=True)
    )
    mean = sum(by_kennel) / len(by_kennel)
    whole = 1 - (1 - len(by_kennel) * mean / kennels) ** (kennels * kennel_prevalence)
    return by_kennel, float(whole)


def passive_sensitivity(
    *,
    steps: Sequence[float],
    chance_infected_tested: float,
    tested: int,
    sensitivity: float,
    kennels: int,
    kennel_prevalence: float,
) -> tuple[float, float]:
    """Sensitivity of waiting for signs: of one kennel, and of all of them.

    `steps` are the chances along the chain (signs seen, vet called, sample taken...).
    SeH = prod steps (1 - (1 - p Se)^n); whole 1 - (1 - SeH)^(N P).
    Source: Martin, Cameron & Greiner 2007, Prev Vet Med 79:71-97.
    """
    chain = 1.0
    for step in steps:
        check_range("step", step, low=0, high=1)
        chain *= step
    check_range("chance_infected_tested", chance_infected_tested, low=0, high=1)
    check_range("tested", tested, low=0)
    check_range("sensitivity", sensitivity, low=0, high=1)
    check_range("kennel_prevalence", kennel_prevalence, low=0, high=1)
    one = chain * (1 - (1 - chance_infected_tested * sensitivity) ** tested)
    return one, 1 - (1 - one) ** (kennels * kennel_prevalence)


def combined_sensitivity(components: Sequence[float]) -> float:
    """Chance that at least one of several independent parts finds it."""
    missed = 1.0
    for component in components:
        check_range("component sensitivity", component, low=0, high=1)
        missed *= 1 - component
    return 1 - missed
