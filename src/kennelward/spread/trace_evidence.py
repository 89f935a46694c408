"""What a run makes of the book: how likely the results and the signs are under it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kennelward.spread.keyed import Stream, uniforms
from kennelward.spread.model import Scenario
from kennelward.spread.tables import STEPS, detectability
from kennelward.terms import check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class TestSeen:
    """A test in the log: which dog, on which day of the log, what it said."""

    __test__ = False  # not a test case of pytest

    dog: int  # uid
    day: float
    is_positive: bool
    sensitivity: float = -1.0  # of this test in this dog; below 0: the world's own
    specificity: float = -1.0

    def __post_init__(self) -> None:
        for name in ("sensitivity", "specificity"):
            if getattr(self, name) >= 0:
                check_range(name, getattr(self, name), low=0, high=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Believed:
    """What is thought of a dog before any result or sign: the chance that it sheds.

    On any one day of the log up to `day`.
    """

    dog: int  # uid
    day: float
    chance: float

    def __post_init__(self) -> None:
        check_range("believed chance", self.chance, low=0, high=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class SignSeen:
    """Signs that were written down of a dog, and how far they speak for the infection."""

    dog: int  # uid
    day: float
    ratio: float  # how many times as likely in a dog that has it as in one that has not

    def __post_init__(self) -> None:
        check_range("sign ratio", self.ratio, low=1, high=1000)


class Looks:
    """What tests and eyes would say, run by run."""

    def __init__(self, world: Scenario, *, seed: int, replicates: np.ndarray) -> None:
        self.test = world.test
        self.seed, self.replicates = seed, replicates

    def chance(
        self,
        course: np.ndarray,
        uid: int | np.ndarray,
        day: float,
        of: np.ndarray | None = None,
        seen: TestSeen | None = None,
    ) -> np.ndarray:
        """Chance of a positive of a dog on a day; repeats on one infection hang together.

        course: (runs, 4). uid: of the dog, or (runs,), one for each. of: which of the
        runs they are. seen: a test that may have figures of its own.
        """
        test = self.test
        means = (test.sensitivity_silent, test.sensitivity_sick)
        specificity = test.specificity
        if seen is not None and seen.sensitivity >= 0:
            means = (seen.sensitivity, seen.sensitivity)
        if seen is not None and seen.specificity >= 0:
            specificity = seen.specificity
        replicates = self.replicates if of is None else self.replicates[of]
        infected_at, starts, ends, signs = course.T
        shows = (infected_at <= day) & (day < ends)
        if test.antibody_from < 0:
            shows &= starts <= day
        false = 1.0 - specificity
        told = np.full(len(replicates), false)
        rows = np.flatnonzero(shows)
        if len(rows) == 0:
            return told
        who = uid[rows] if isinstance(uid, np.ndarray) else uid
        luck = uniforms(self.seed, replicates[rows], Stream.DETECTABLE, who, 0)
        shares = np.arange(STEPS + 1) / STEPS
        silent, sick = (
            np.interp(
                luck, shares, detectability(mean=mean, correlation=test.correlation)
            )
            for mean in means
        )
        found = np.where(signs[rows] <= day, sick, silent)
        if test.antibody_from >= 0:
            span = max(test.antibody_full - test.antibody_from, 1e-9)
            rise = (day - infected_at[rows] - test.antibody_from) / span
            found = found * np.clip(rise, 0.0, 1.0)
        told[rows] = np.maximum(found, false)
        return told

    def weights(
        self,
        courses: np.ndarray,
        index: dict[int, int],
        results: Sequence[TestSeen],
        signs: Sequence[SignSeen],
    ) -> np.ndarray:
        """(runs,) how likely all that was seen is in each run. `courses`: (runs, dogs, 4)."""
        weights = np.ones(len(courses))
        for result in results:
            chance = self.chance(
                courses[:, index[result.dog]], result.dog, result.day, seen=result
            )
            weights *= chance if result.is_positive else 1 - chance
        for sign in signs:
            _, starts, ends, _ = courses[:, index[sign.dog]].T
            sheds = (starts <= sign.day) & (sign.day < ends)
            weights *= np.where(sheds, sign.ratio, 1.0)
        return weights
