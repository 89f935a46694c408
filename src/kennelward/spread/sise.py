"""The SISe model: pens of a few dogs, infection through the pen's contamination alone.

A comparison model with known answers, exact in distribution: in a pen each susceptible
dog is infected at u x phi, each infected one recovers at g, and once a day the pen's
contamination becomes phi (1 - b) + a I / n + e (as in Widgren et al. 2019, J Stat
Software 91(12), from memory). Two ways: `dogs` keeps every dog and its keyed luck, so
that runs can be paired; `pens` only counts, with one clock a pen for each kind of event.
"""

from math import log
from typing import NamedTuple

import numpy as np

from kennelward.spread.fast_dogs import base_key, uniform
from kennelward.spread.fast_state import helper, njit

NEVER = 1e18  # later than any day of a run


class Sise(NamedTuple):
    """The model's numbers; rates a day."""

    pens: int = 20
    dogs: int = 3  # in each pen
    days: int = 180
    infect: float = 0.05  # u
    recover: float = 0.1  # g
    shed: float = 1.0  # a
    fade: float = 0.2  # b
    inflow: float = 0.02  # e
    phi_start: float = 0.0
    infected_start: int = 1  # dogs, in the first pens' first places


@helper
def clock(state: np.uint64) -> tuple[np.uint64, float]:
    """The next number of a run's own sequence (SplitMix64), and an Exp(1) draw."""
    state = state + np.uint64(0x9E3779B97F4A7C15)
    word = (state ^ (state >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    word = (word ^ (word >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    word = word ^ (word >> np.uint64(31))
    return state, -log((float(word >> np.uint64(11)) + 0.5) * 2.0**-53)


def pens_runs(
    m: Sise, seed: int, first: int, mean: np.ndarray, last: np.ndarray
) -> None:
    """Counts alone: a pen's infections and recoveries each have a unit-rate clock.

    `mean` gets each run's mean number of infected dogs over the days' ends, `last` the
    number at the end.
    """
    infected = np.zeros(m.pens, dtype=np.int64)
    phi, to_infect, to_recover = np.zeros(m.pens), np.zeros(m.pens), np.zeros(m.pens)
    for row in range(len(mean)):
        state = base_key(seed, first + row, 50)
        for pen in range(m.pens):
            infected[pen] = 1 if pen < m.infected_start else 0
            phi[pen] = m.phi_start
            state, to_infect[pen] = clock(state)
            state, to_recover[pen] = clock(state)
        total = 0
        for _ in range(m.days):
            for pen in range(m.pens):
                force = m.infect * phi[pen]
                sick = infected[pen]
                left = 1.0
                while True:
                    up, down = (m.dogs - sick) * force, sick * m.recover
                    if up * left < to_infect[pen] and down * left < to_recover[pen]:
                        to_infect[pen] -= up * left
                        to_recover[pen] -= down * left
                        break
                    wait_up = to_infect[pen] / up if up > 0 else 2.0
                    wait_down = to_recover[pen] / down if down > 0 else 2.0
                    if wait_up < wait_down:
                        left -= wait_up
                        to_recover[pen] -= down * wait_up
                        state, to_infect[pen] = clock(state)
                        sick += 1
                    else:
                        left -= wait_down
                        to_infect[pen] -= up * wait_down
                        state, to_recover[pen] = clock(state)
                        sick -= 1
                infected[pen] = sick
                total += sick
                phi[pen] = phi[pen] * (1 - m.fade) + m.shed * sick / m.dogs + m.inflow
        mean[row] = total / (m.days * m.pens * m.dogs)
        last[row] = infected.sum() / (m.pens * m.dogs)


def start_dogs(
    m: Sise,
    pen: int,
    resist: np.uint64,
    length: np.uint64,
    level: np.ndarray,
    ends: np.ndarray,
    spell: np.ndarray,
) -> tuple[float, float]:
    """One pen's dogs on day 0; the least level and the soonest end among them."""
    least = soonest = NEVER
    for i in range(pen * m.dogs, (pen + 1) * m.dogs):
        spell[i] = 0
        level[i] = ends[i] = NEVER
        if i == pen * m.dogs and pen < m.infected_start:
            ends[i] = -log(uniform(length, i, 0)) / m.recover
        else:
            level[i] = -log(uniform(resist, i, 0))
        least = min(least, level[i])
        soonest = min(soonest, ends[i])
    return least, soonest


def dogs_runs(
    m: Sise, seed: int, first: int, mean: np.ndarray, last: np.ndarray
) -> None:
    """Every dog by itself: keyed resistance and length of each spell, pen thresholds.

    `level` is where the pen's cumulative hazard infects a susceptible dog, `ends` when
    an infected one recovers; keys count a dog's spells, so none is used twice.
    """
    dogs = m.pens * m.dogs
    level, ends = np.zeros(dogs), np.zeros(dogs)
    spell = np.zeros(dogs, dtype=np.int64)
    hazard, phi = np.zeros(m.pens), np.zeros(m.pens)
    least, soonest = np.zeros(m.pens), np.zeros(m.pens)
    sick_in = np.zeros(m.pens, dtype=np.int64)
    never = NEVER
    for row in range(len(mean)):
        resist = base_key(seed, first + row, 51)
        length = base_key(seed, first + row, 52)
        for pen in range(m.pens):
            hazard[pen], phi[pen] = 0.0, m.phi_start
            least[pen], soonest[pen] = start_dogs(
                m, pen, resist, length, level, ends, spell
            )
            sick_in[pen] = 1 if pen < m.infected_start else 0
        total = 0
        for day in range(m.days):
            end = day + 1.0
            for pen in range(m.pens):
                force = m.infect * phi[pen]
                reached = hazard[pen] + force
                if least[pen] > reached and soonest[pen] > end:
                    hazard[pen] = reached
                else:
                    begun = hazard[pen]
                    hazard[pen] = reached
                    low, early = never, never
                    for i in range(pen * m.dogs, (pen + 1) * m.dogs):
                        while level[i] <= reached or ends[i] <= end:
                            if level[i] <= reached:
                                at = day + (level[i] - begun) / force
                                level[i] = never
                                ends[i] = (
                                    at - log(uniform(length, i, spell[i])) / m.recover
                                )
                                sick_in[pen] += 1
                            else:
                                spell[i] += 1
                                met = begun + force * (ends[i] - day)
                                level[i] = met - log(uniform(resist, i, spell[i]))
                                ends[i] = never
                                sick_in[pen] -= 1
                        low, early = min(low, level[i]), min(early, ends[i])
                    least[pen], soonest[pen] = low, early
                total += sick_in[pen]
                phi[pen] = (
                    phi[pen] * (1 - m.fade) + m.shed * sick_in[pen] / m.dogs + m.inflow
                )
        mean[row] = total / (m.days * dogs)
        last[row] = sick_in.sum() / dogs


if njit is not None:
    pens_runs = njit(cache=True, error_model="numpy", nogil=True)(pens_runs)
    start_dogs = njit(cache=True, error_model="numpy", nogil=True)(start_dogs)
    dogs_runs = njit(cache=True, error_model="numpy", nogil=True)(dogs_runs)
