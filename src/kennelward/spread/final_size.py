"""How many are infected in the end: exact distributions for small groups.

Used as check values for the simulator and for groups that mix evenly, such as one
litter in one pen. `first` infected dogs are the seeds; all others start susceptible.
"""

from collections.abc import Mapping, Sequence
from math import comb, exp, expm1, log

import numpy as np

from kennelward.terms import BadInput, check_range


def deterministic_final_size(
    *, r0: float, susceptible: float = 1.0, seeded: float = 0.0
) -> float:
    """Share newly infected in a large even-mixing group; 0 to `susceptible`.

    Root of z = s0 (1 - exp(-r0 (z + i0))). Source: Kermack & McKendrick 1927; Ma & Earn
    2006, Bull Math Biol 68:679-702.
    """
    check_range("r0", r0, low=0)
    check_range("susceptible", susceptible, low=0, high=1)
    check_range("seeded", seeded, low=0, high=1)
    if seeded == 0 and r0 * susceptible <= 1:
        return 0.0
    from scipy.optimize import brentq

    def surplus(z: float) -> float:
        return -susceptible * expm1(-r0 * (z + seeded)) - z

    low = 1e-14 if seeded == 0 else 0.0
    return float(brentq(surplus, low, susceptible, xtol=1e-15, rtol=8.9e-16))


def reed_frost(
    *, susceptible: int, first: int, chance: float, generations: int | None = None
) -> np.ndarray:
    """Chance of 0, 1, ... further infected: (susceptible + 1,) float64.

    Each susceptible escapes each infected of the last generation with 1 - `chance`.
    `generations` stops the chain early. Source: Bailey NTJ 1975, chapter 14.
    """
    check_range("chance of infection", chance, low=0, high=1)
    check_range("susceptible", susceptible, low=0, high=500)
    check_range("first", first, low=1)
    result = np.zeros(susceptible + 1)
    rounds = susceptible + 1 if generations is None else generations
    now = {(susceptible, first): 1.0}
    for _ in range(rounds):
        later: dict[tuple[int, int], float] = {}
        for (left, infected), weight in now.items():
            if infected == 0 or left == 0:
                result[susceptible - left] += weight
                continue
            caught = 1 - (1 - chance) ** infected
            for new in range(left + 1):
                share = comb(left, new) * caught**new * (1 - caught) ** (left - new)
                if share > 0:
                    key = (left - new, new)
                    later[key] = later.get(key, 0.0) + weight * share
        now = later
    for (left, _), weight in now.items():
        result[susceptible - left] += weight
    return result


def markov_sir(*, susceptible: int, first: int, infect_to_remove: float) -> np.ndarray:
    """Chance of 0, 1, ... further infected, exponential infectious periods.

    `infect_to_remove`: infection rate per pair over removal rate (R0 / N). By the
    embedded jump chain. Source: Bailey NTJ 1975, chapter 6.
    """
    check_range("infect_to_remove", infect_to_remove, low=0)
    check_range("first", first, low=1)
    result = np.zeros(susceptible + 1)
    # chance[i] of i infectious, for the present number still susceptible
    chance = np.zeros(susceptible + first + 1)
    chance[first] = 1.0
    for left in range(susceptible, -1, -1):
        infect = infect_to_remove * left / (infect_to_remove * left + 1)
        later = np.zeros_like(chance)
        for infectious in range(len(chance) - 1, 0, -1):
            if chance[infectious] == 0:
                continue
            if left > 0 and infectious + 1 < len(chance):
                later[infectious + 1] += chance[infectious] * infect
            chance[infectious - 1] += chance[infectious] * (1 - infect)
        result[susceptible - left] = chance[0]
        chance = later
    return result


def escape_household(
    *, size: int, escape_outside: float, escape_one: float
) -> np.ndarray:
    """Infected of `size`, with infection from outside: (size + 1,) float64.

    Source: Longini IM, Koopman JS 1982, Biometrics 38:115-126.
    """
    check_range("size", size, low=1, high=100)
    check_range("escape_outside", escape_outside, low=0, high=1)
    check_range("escape_one", escape_one, low=0, high=1)
    whole = [1.0]  # m_jj
    for k in range(1, size + 1):
        below = sum(_reached(j, k, whole, escape_outside, escape_one) for j in range(k))
        whole.append(1 - below)
    return np.array(
        [_reached(j, size, whole, escape_outside, escape_one) for j in range(size)]
        + [whole[size]]
    )


def _reached(
    j: int, k: int, whole: Sequence[float], outside: float, one: float
) -> float:
    return comb(k, j) * whole[j] * outside ** (k - j) * one ** (j * (k - j))


def fit_reed_frost_chains(chains: Mapping[str, int], *, size: int) -> float:
    """Chance of infection by maximum likelihood from counted chains in groups of `size`.

    A chain such as "1-2-1-0": infected per generation. Source: Bailey 1975, ch. 14.
    """
    from scipy.optimize import minimize_scalar

    def minus(chance: float) -> float:
        return -sum(
            count * _chain_log(chain, size=size, chance=chance)
            for chain, count in chains.items()
        )

    return float(
        minimize_scalar(
            minus, bounds=(1e-6, 1 - 1e-6), method="bounded", options={"xatol": 1e-12}
        ).x
    )


def _chain_log(chain: str, *, size: int, chance: float) -> float:
    steps = [int(part) for part in chain.split("-")]
    left = size - steps[0]
    total = 0.0
    for before, new in zip(steps, [*steps[1:], 0], strict=True):
        if before == 0:
            break
        caught = 1 - (1 - chance) ** before
        if left == 0:
            break
        if new:
            total += new * log(caught)
        total += (left - new) * before * log(1 - chance)
        left -= new
    return total


def fit_reed_frost_sizes(
    groups: Sequence[tuple[int, int, Sequence[int]]],
) -> float:
    """Chance of infection from final sizes.

    groups: (susceptible at first, first infected, counts of 0, 1, ... further cases).
    """
    from scipy.optimize import minimize_scalar

    if not groups:
        raise BadInput("a fit needs at least one group of counts")

    def minus(chance: float) -> float:
        total = 0.0
        for susceptible, first, counts in groups:
            sizes = reed_frost(susceptible=susceptible, first=first, chance=chance)
            total -= sum(c * log(p) for c, p in zip(counts, sizes, strict=True) if c)
        return total

    return float(
        minimize_scalar(
            minus, bounds=(1e-6, 1 - 1e-6), method="bounded", options={"xatol": 1e-12}
        ).x
    )


def attack_risk(*, daily: float, days: float) -> float:
    """Chance of infection over `days` of contact at a daily risk: 1 - (1 - p)^d."""
    check_range("daily risk", daily, low=0, high=1)
    return float(1 - (1 - daily) ** days)


def attack_risk_by_rate(*, rate: float, days: float) -> float:
    """The same from a rate: 1 - exp(-rate d)."""
    check_range("rate", rate, low=0)
    return 1 - exp(-rate * days)


def pens_final_size(
    *, pens: int, dogs: int, within: float, between: float, recover: float
) -> list[float]:
    """Chance of 1, 2, ... cases in all where one dog of one pen starts, exactly.

    Markov SIR in equal pens: each infected dog infects each susceptible one of its pen
    at `within`, of any other pen at `between`; it recovers at `recover`. Chain of jumps
    over (susceptible, infected) of each pen, pens in any order. For a few pens of few
    dogs: states grow as the square of dogs, to the power of pens.
    """
    check_range("pens", pens, low=1, high=3)
    check_range("dogs", dogs, low=1, high=6)
    check_range("recover", recover, low=1e-9)
    start = ((dogs - 1, 1), *((dogs, 0),) * (pens - 1))
    waiting: dict[tuple[tuple[int, int], ...], float] = {start: 1.0}
    sizes = [0.0] * (pens * dogs)
    while waiting:
        # Susceptible ones never come back: states with most left come first.
        state = max(waiting, key=lambda s: (sum(2 * a + b for a, b in s), s))
        chance = waiting.pop(state)
        infected = sum(b for _, b in state)
        if infected == 0:
            sizes[pens * dogs - sum(a for a, _ in state) - 1] += chance
            continue
        steps = []
        for n, (left, sick) in enumerate(state):
            force = within * sick + between * (infected - sick)
            steps.append((n, (left - 1, sick + 1), left * force))
            steps.append((n, (left, sick - 1), sick * recover))
        total = sum(rate for _, _, rate in steps)
        for n, pen, rate in steps:
            if rate > 0:
                after = tuple(sorted((*state[:n], pen, *state[n + 1 :])))
                waiting[after] = waiting.get(after, 0.0) + chance * rate / total
    return sizes
