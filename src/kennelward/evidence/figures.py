"""Draws of every test's figures in one interpretation, each drawn once."""

import numpy as np

from kennelward.evidence.dependence import Dependence
from kennelward.evidence.draws import Array, Draws
from kennelward.evidence.performance import TestPerformance

# Held a hair below 1, at which two repeats could never differ.
MOST_DEPENDENT = 1 - 1e-6


class Figures:
    """The same draw of a test's figures, however often that test comes up."""

    def __init__(self, draws: Draws) -> None:
        self._draws = draws
        self._drawn: dict[TestPerformance, tuple[Array, Array]] = {}
        self._dependence: dict[str, tuple[Array, Array]] = {}

    def of(self, performance: TestPerformance) -> tuple[Array, Array]:
        """Chance of a positive where the condition is there, and where it is not."""
        if performance not in self._drawn:
            sensitivity = self._draws.beta(performance.sensitivity)
            false = 1 - self._draws.beta(performance.specificity)
            # A draw in which a positive would lower the chance is held at "says
            # nothing": which line means what is not in doubt.
            self._drawn[performance] = (np.maximum(sensitivity, false), false)
        return self._drawn[performance]

    def dependence(self, sees: str, dependence: Dependence) -> tuple[Array, Array]:
        """Dependence between repeats, and between kinds of test."""
        if sees not in self._dependence:
            repeats = self._draws.beta(dependence.repeats)
            kinds = self._draws.beta(dependence.kinds)
            self._dependence[sees] = (
                np.minimum(repeats, MOST_DEPENDENT),
                np.minimum(kinds, MOST_DEPENDENT),
            )
        return self._dependence[sees]
