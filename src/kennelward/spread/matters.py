"""Which of the things we do not know matters most to the answer."""

from collections.abc import Collection, Sequence

import numpy as np

from kennelward.spread.knowledge import Grade, Knowledge, Known, drawn_world

ENOUGH_WORLDS = 20
BEYOND_LUCK = 3.0  # SDs of a rank correlation where there is none


def matters_most(
    knowledge: Knowledge,
    *,
    seed: int,
    first_world: int,
    by_world: Sequence[float],
    idle: Collection[str] = (),
    most: int = 3,
) -> tuple[Known, ...]:
    """The guesses whose value goes most with the outcome over the worlds, first one first.

    By rank correlation (Spearman) between a number's draw and the mean outcome of its
    world; only those beyond 3 / sqrt(worlds), so that luck alone seldom gets named.
    `idle`: numbers that the plan does not use.
    """
    worlds = len(by_world)
    if worlds < ENOUGH_WORLDS or len(set(by_world)) == 1:
        return ()
    outcome = _ranks(by_world)
    drawn = [
        drawn_world(knowledge, seed=seed, number=first_world + k).values
        for k in range(worlds)
    ]
    found = []
    for name, known in knowledge.numbers.items():
        if known.grade is not Grade.GUESS or known.is_fixed or name in idle:
            continue
        values = [values[name] for values in drawn]
        if len(set(values)) == 1:
            continue
        strength = abs(float(np.corrcoef(_ranks(values), outcome)[0, 1]))
        if strength > BEYOND_LUCK / np.sqrt(worlds):
            found.append((-strength, name))
    return tuple(knowledge.numbers[name] for _, name in sorted(found)[:most])


def _ranks(values: Sequence[float]) -> np.ndarray:
    from scipy.stats import rankdata

    ranks: np.ndarray = rankdata(values)
    return ranks
