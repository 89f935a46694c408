"""What a quarantine lets through, and what a test on a given day would find."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, log
from typing import Protocol

import numpy as np

from kennelward.terms import check_range


class Waiting(Protocol):
    """A distribution of days, such as an incubation."""

    def longer_than(self, days: float) -> float:
        """Chance of more than `days`."""
        ...

    def density(self, days: np.ndarray) -> np.ndarray:
        """Probability density at `days`, same shape."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class GammaDays:
    """Gamma-distributed days by mean and SD."""

    mean: float
    sd: float

    def longer_than(self, days: float) -> float:
        """Chance of more than `days`."""
        from scipy.special import gammaincc

        return float(gammaincc(self._shape, max(0.0, days) / self._scale))

    def density(self, days: np.ndarray) -> np.ndarray:
        """Probability density."""
        from scipy.stats import gamma

        found: np.ndarray = gamma.pdf(days, self._shape, scale=self._scale)
        return found

    @property
    def _shape(self) -> float:
        return (self.mean / self.sd) ** 2

    @property
    def _scale(self) -> float:
        return self.sd**2 / self.mean


@dataclass(frozen=True, slots=True, kw_only=True)
class LognormalDays:
    """Lognormal days by median and SD of the log."""

    median: float
    log_sd: float

    @classmethod
    def from_quantile(
        cls, *, median: float, share: float, days: float
    ) -> "LognormalDays":
        """By median and the `days` that `share` do not exceed."""
        from scipy.special import ndtri

        return cls(median=median, log_sd=log(days / median) / float(ndtri(share)))

    def longer_than(self, days: float) -> float:
        """Chance of more than `days`."""
        from scipy.special import ndtr

        if days <= 0:
            return 1.0
        return float(ndtr(-log(days / self.median) / self.log_sd))

    def density(self, days: np.ndarray) -> np.ndarray:
        """Probability density."""
        from scipy.stats import lognorm

        found: np.ndarray = lognorm.pdf(days, self.log_sd, scale=self.median)
        return found


def leak(*, incubation: Waiting, days: float) -> float:
    """Chance that a dog infected on arrival is still incubating after `days`."""
    return incubation.longer_than(days)


def leak_of_exposed_before(
    *, incubation: Waiting, days: float, window_days: float
) -> float:
    """The same for a dog exposed evenly over the `window_days` before arrival.

    And still incubating when it arrives: int_0^W S(Q + u) du / int_0^W S(u) du.
    """
    check_range("window", window_days, low=1e-6)
    from scipy.integrate import quad

    late = quad(lambda u: incubation.longer_than(days + u), 0, window_days, limit=200)[
        0
    ]
    all_of_them = quad(incubation.longer_than, 0, window_days, limit=200)[0]
    return float(late / all_of_them)


def posterior_after_quiet_days(
    *, prior: float, incubation: Waiting, days: float
) -> float:
    """Chance of infection after `days` without signs, if every infection shows."""
    check_range("prior", prior, low=0, high=1)
    left = prior * incubation.longer_than(days)
    return left / (left + 1 - prior)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShedderTest:
    """A test that finds shedding dogs: latency, shedding length, sensitivity."""

    latency: Waiting
    mean_shedding_days: float  # exponential
    sensitivity: float  # while shedding

    def chance_shedding(self, day: float) -> float:
        """Chance that a dog infected on day 0 sheds on `day`."""
        from scipy.integrate import quad

        def started(at: float) -> float:
            density = float(self.latency.density(np.array([at]))[0])
            return density * exp(-(day - at) / self.mean_shedding_days)

        return float(quad(started, 0, day, limit=200)[0]) if day > 0 else 0.0

    def chance_missed(self, days: Sequence[float]) -> float:
        """Chance that tests on all these `days` miss a dog infected on day 0.

        Tests are independent given shedding. Integrates over onset and end of shedding.
        """
        from scipy.integrate import quad

        ordered = sorted(days)

        def missed(onset: float) -> float:
            density = float(self.latency.density(np.array([onset]))[0])
            return density * self._missed_from(onset, ordered)

        # The integrand jumps at each test day, so each stretch is integrated alone.
        edges = [0.0, *ordered]
        shedding = sum(
            quad(missed, first, last, limit=200)[0] for first, last in pairwise(edges)
        )
        return float(self.latency.longer_than(ordered[-1]) + shedding)

    def _missed_from(self, onset: float, days: Sequence[float]) -> float:
        """Chance to be missed by all, shedding from `onset`."""
        during = [day for day in days if day >= onset]
        if not during:
            return 1.0
        total, before = 0.0, 1.0
        for number, day in enumerate(during):
            still = exp(-(day - onset) / self.mean_shedding_days)
            # Shedding ended between the last test and this one: missed by all so far.
            total += (before - still) * (1 - self.sensitivity) ** number
            before = still
        return total + before * (1 - self.sensitivity) ** len(during)


def any_found(*, infected: int, sensitivity: float) -> float:
    """Chance that testing all finds at least one of `infected`."""
    check_range("sensitivity", sensitivity, low=0, high=1)
    return 1 - (1 - sensitivity) ** infected
