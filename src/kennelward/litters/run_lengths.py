"""How long a control scheme runs before it signals, in control and after a shift.

Used to state an alarm's false-alarm rate and its delay. The normal and Poisson schemes
are here so that the solver can be held against published tables.
"""

from dataclasses import dataclass
from fractions import Fraction
from math import exp, sqrt
from typing import NamedTuple

import numpy as np

from kennelward.terms import check_range

QUADRATURE_POINTS = 96  # Gauss-Legendre; 60 and 96 agree to 9 digits on the tables


class TwoSided(NamedTuple):
    """Average run lengths of a scheme that watches both directions."""

    zero_start: float
    head_start: float


@dataclass(frozen=True, slots=True)
class NormalCusum:
    """One-sided CUSUM of unit-variance normal observations: C = max(0, C + x - k).

    Signals when C > h. Average run length by the Fredholm integral equation, solved by
    Gauss-Legendre quadrature. Source: Page ES 1954, Biometrika 41:100-115.
    """

    k: float
    h: float

    def run_length(self, *, shift: float, start: float = 0.0) -> float:
        """Average observations until a signal, from C = `start` (0 to h)."""
        check_range("start", start, low=0, high=self.h)
        from scipy.special import ndtr

        nodes, weights = _nodes(0.0, self.h)
        points = np.concatenate(([0.0], nodes))
        # L(u) = 1 + L(0) P(x <= k - u) + integral of L(y) phi(y + k - u)
        kernel = np.empty((len(points), len(points)))
        kernel[:, 0] = ndtr(self.k - points - shift)
        kernel[:, 1:] = weights * _phi(
            nodes[None, :] + self.k - points[:, None] - shift
        )
        lengths = np.linalg.solve(np.eye(len(points)) - kernel, np.ones(len(points)))
        at_zero = ndtr(self.k - start - shift) * lengths[0]
        rest = (weights * _phi(nodes + self.k - start - shift)) @ lengths[1:]
        return float(1 + at_zero + rest)

    def two_sided(self, *, shift: float) -> TwoSided:
        """Both sides together, from zero and from a head start of h / 2.

        Source: Lucas JM, Crosier RB 1982, Technometrics 24:199-205.
        """
        up, down = (self.run_length(shift=s) for s in (shift, -shift))
        half = self.h / 2
        up_half, down_half = (
            self.run_length(shift=s, start=half) for s in (shift, -shift)
        )
        together = up * down / (up + down)
        headed = (up_half * down + down_half * up - up * down) / (up + down)
        return TwoSided(zero_start=together, head_start=headed)


def siegmund_run_length(*, delta: float, k: float, h: float) -> float:
    """Siegmund's approximation to the one-sided normal CUSUM's run length.

    Source: Siegmund D 1985, Sequential Analysis.
    """
    drift, bound = delta - k, h + 1.166
    if drift == 0:
        return bound**2
    return (exp(-2 * drift * bound) + 2 * drift * bound - 1) / (2 * drift**2)


def ewma_run_length(*, weight: float, width: float, shift: float) -> float:
    """Average run length of a two-sided EWMA with fixed limits, started at target.

    Source: Crowder SV 1987, Technometrics 29:401-407.
    """
    limit = width * sqrt(weight / (2 - weight))
    nodes, weights = _nodes(-limit, limit)
    step = (nodes[None, :] - (1 - weight) * nodes[:, None]) / weight - shift
    kernel = weights * _phi(step) / weight
    lengths = np.linalg.solve(np.eye(len(nodes)) - kernel, np.ones(len(nodes)))
    first = weights * _phi(nodes / weight - shift) / weight
    return float(1 + first @ lengths)


def lattice_run_length(
    *,
    steps: np.ndarray,
    chances: np.ndarray,
    signal_at: int,
    start: int = 0,
) -> float:
    """Average run length of S = max(0, S + step) on whole numbers, by Markov chain.

    steps: (n,) int, what one observation adds; chances: (n,) float64, sum to 1 or less
    (the rest signals at once). Signals when S >= signal_at. `start` is the first S.
    """
    check_range("start", start, low=0, high=signal_at - 1)
    states = np.arange(signal_at)
    move = np.zeros((signal_at, signal_at))
    for step, chance in zip(steps.tolist(), chances.tolist(), strict=True):
        to = np.maximum(states + step, 0)
        stays = to < signal_at
        np.add.at(move, (states[stays], to[stays]), chance)
    lengths = np.linalg.solve(np.eye(signal_at) - move, np.ones(signal_at))
    return float(lengths[start])


def poisson_run_length(
    *,
    mean: float,
    k: Fraction,
    h: Fraction,
    start: Fraction = Fraction(0),
    signal_above: bool = False,
) -> float:
    """Average run length of S = max(0, S + X - k), X Poisson, exact on its lattice.

    Signals when S >= h, or only when S > h with `signal_above`: with whole numbers the
    two differ much. Source: Lucas JM 1985, Technometrics 27:129-144.
    """
    from scipy.stats import poisson

    unit = np.lcm(np.lcm(k.denominator, h.denominator), start.denominator)
    signal_at = int(h * int(unit)) + (1 if signal_above else 0)
    most = int(h) + int(k) + 2
    counts = np.arange(most + 1)
    return lattice_run_length(
        steps=counts * int(unit) - int(k * int(unit)),
        chances=poisson.pmf(counts, mean),
        signal_at=signal_at,
        start=int(start * int(unit)),
    )


def bernoulli_run_length(*, chance: float, m: int, h: int) -> float:
    """Average puppies until S = max(0, S + X - 1/m) reaches h; X is 1 for a death.

    Source: Reynolds MR, Stoumbos ZG 1999, J Quality Technology 31:87-108.
    """
    check_range("chance of loss", chance, low=0, high=1)
    return lattice_run_length(
        steps=np.array([m - 1, -1]),
        chances=np.array([chance, 1 - chance]),
        signal_at=h * m,
    )


def _nodes(low: float, high: float) -> tuple[np.ndarray, np.ndarray]:
    nodes, weights = np.polynomial.legendre.leggauss(QUADRATURE_POINTS)
    half = (high - low) / 2
    return half * nodes + (high + low) / 2, half * weights


def _phi(x: np.ndarray) -> np.ndarray:
    density: np.ndarray = np.exp(-0.5 * x * x) / sqrt(2 * np.pi)
    return density
