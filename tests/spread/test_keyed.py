"""Luck by key is even and never repeats."""

import numpy as np

from kennelward.spread.keyed import uniform


def test_keys_give_even_luck():
    """10 000 draws in 20 bins: chi-square on 19 degrees stays below its .9999 quantile."""
    draws = [
        uniform(seed=1, replicate=r, stream=3, who=w, which=0)
        for r in range(100)
        for w in range(100)
    ]
    counts, _ = np.histogram(draws, bins=20, range=(0, 1))
    assert ((counts - 500) ** 2 / 500).sum() < 50.8
    assert 0 < min(draws) < max(draws) < 1
    assert len(set(draws)) == len(draws)
