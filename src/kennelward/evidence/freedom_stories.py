"""Chance that every round since a moment is negative, although the infection is here.

One answer for each moment at which it could have begun (after k of the rounds), all
worked out at once. Dogs of the same risk, tested in the same rounds, are one group.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import comb

import numpy as np

from kennelward.evidence.freedom_question import FreedomQuestion, NegativeRound
from kennelward.evidence.kennel_round import (
    TestedDog,
    TestedPool,
    kennel_sensitivity,
    missed_by_repeats,
)

Grid = np.ndarray  # (n_shares, k) float64: by quantile of the figures, by beginning


@dataclass(slots=True)
class _Group:
    """Dogs of one risk that were tested in the same rounds."""

    risk: float
    dogs: int
    rounds: frozenset[int]
    # By kind of test: how often since each beginning. Grows with the rounds done.
    times: dict[int, np.ndarray] = field(default_factory=dict)


class SilentRounds:
    """Asked in the order of the rounds: `after(1)`, `after(2)`..."""

    def __init__(
        self,
        question: FreedomQuestion,
        *,
        rounds: Sequence[NegativeRound],
        shares: Sequence[float],
    ) -> None:
        self._question = question
        self._rounds = rounds
        self._shares = shares
        self._degree = question.design_infected
        self._kinds: dict[tuple[object, ...], int] = {}
        self._kind_of = [self._kind(r) for r in rounds]
        self._tables = [self._table(kind) for kind in self._kinds]
        self._groups = self._group_dogs()
        ones = np.ones((len(shares), 1))
        self._anything = self._coefficient([(g, ones) for g in self._groups])
        self._last_pool = -1
        self._alone = np.ones((len(shares), 0))  # each round's own silence
        self._done = 0

    def after(self, done: int) -> Grid:
        """Column k: all of rounds k+1 to `done` negative, were it here since k."""
        while self._done < done:
            self._add_round()
        exact = self._coefficient([(g, self._missed(g)) for g in self._groups])
        silent: Grid = exact / self._anything
        if self._last_pool >= 0:
            # Pools differ between rounds, so rounds are taken apart: the chance of
            # finding it is then a little high where the same dogs come up again.
            apart = np.cumprod(self._alone[:, ::-1], axis=1)[:, ::-1]
            silent[:, : self._last_pool + 1] = apart[:, : self._last_pool + 1]
        return silent

    def _add_round(self) -> None:
        i = self._done
        kind = self._kind_of[i]
        for group in self._groups:
            for key in group.times:
                grown = np.append(group.times[key], 0)
                if key == kind and i in group.rounds:
                    grown[: i + 1] += 1
                group.times[key] = grown
        self._done += 1
        if any(r.pools for r in self._rounds):
            own = np.array([[1 - self._found_alone(i, s)] for s in self._shares])
            self._alone = np.concatenate([self._alone, own], axis=1)
        if self._rounds[i].pools:
            self._last_pool = i

    def _missed(self, group: _Group) -> Grid:
        """Chance that all of one dog's tests miss it, by beginning."""
        missed = np.ones((len(self._shares), self._done + 1))
        for kind, times in group.times.items():
            missed = missed * self._tables[kind][:, times]
        return missed

    def _coefficient(self, groups: Sequence[tuple[_Group, Grid]]) -> Grid:
        """Coefficient of x^D in the product of (1 + w m x)^n over the groups."""
        beginnings = groups[0][1].shape if groups else (1, 1)
        product = np.zeros((self._degree + 1, *beginnings))  # x^0 first
        product[0] = 1.0
        for group, missed in groups:
            weight = group.risk * missed
            longer = product.copy()
            power = np.ones_like(weight)
            for k in range(1, min(group.dogs, self._degree) + 1):
                power = power * weight
                longer[k:] += comb(group.dogs, k) * power * product[:-k]
            product = longer
        found: Grid = product[self._degree]
        return found

    def _kind(self, done: NegativeRound) -> int:
        key = (done.test, done.sensitivity, done.dependence)
        return self._kinds.setdefault(key, len(self._kinds))

    def _table(self, kind: tuple[object, ...]) -> Grid:
        """Chance of being missed by 0, 1, 2... repeats of one kind of test."""
        example = next(
            r for r in self._rounds if (r.test, r.sensitivity, r.dependence) == kind
        )
        return np.array(
            [
                [
                    missed_by_repeats(
                        example.sensitivity.quantile(share),
                        repeats=n,
                        dependence=example.dependence,
                    )
                    for n in range(len(self._rounds) + 1)
                ]
                for share in self._shares
            ]
        )

    def _group_dogs(self) -> list[_Group]:
        tested: dict[str, set[int]] = {}
        for i, done in enumerate(self._rounds):
            for dog in done.dogs:
                tested.setdefault(dog, set()).add(i)
        groups: dict[tuple[float, frozenset[int]], _Group] = {}
        for dog_at_risk in self._question.dogs:
            rounds = frozenset(tested.get(dog_at_risk.dog, ()))
            risk = dog_at_risk.relative_risk
            group = groups.setdefault(
                (risk, rounds), _Group(risk=risk, dogs=0, rounds=rounds)
            )
            group.dogs += 1
            group.times = {
                self._kind_of[i]: np.zeros(1, dtype=np.int64) for i in rounds
            }
        return list(groups.values())

    def _found_alone(self, i: int, share: float) -> float:
        """Chance that one round by itself finds it."""
        here = {dog.dog for dog in self._question.dogs}
        done = self._rounds[i]
        missed = 1 - done.sensitivity.quantile(share)
        tests: list[TestedDog | TestedPool] = [
            TestedDog(dog=dog, missed=missed) for dog in done.dogs if dog in here
        ]
        for pool in done.pools:
            dogs = tuple(dog for dog in pool if dog in here)
            if dogs and done.pool_sensitivity is not None:
                silent = 1 - done.pool_sensitivity.quantile(share)
                tests.append(TestedPool(dogs=dogs, missed=silent))
        if not tests:
            return 0.0
        return kennel_sensitivity(
            self._question.dogs, tests=tests, infected=self._degree
        )
