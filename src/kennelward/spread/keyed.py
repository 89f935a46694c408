"""Random numbers by key, not by order: the same dog, day and question, the same luck.

A draw depends on (seed, replicate, stream, who, which) alone, so that two policies can
be compared run by run: an extra draw in one leaves all others as they were.
Mixing: the finaliser of SplitMix64 (Steele, Lea & Flood 2014, OOPSLA), used twice.
"""

from enum import IntEnum

import numpy as np

WORD = (1 << 64) - 1
GOLDEN = 0x9E3779B97F4A7C15
OTHER = 0xD1B54A32D192ED03


class Stream(IntEnum):
    """What a draw is for. Numbers are part of every published result: never reused."""

    RESISTANCE = 1
    LATENCY = 2
    SHEDDING = 3
    CLINICAL = 4
    SIGN_DELAY = 5
    NOTICE = 6
    TEST = 7
    DETECTABLE = 8
    CARRIED_IN = 9
    DEATH = 10
    MATING = 11
    BIRTH = 12
    CARRIED_SINCE = 13
    CLEANING = 14
    TREATMENT = 15
    SHEDS = 16
    LET_IN = 17
    VARY_DIRECT = 20
    VARY_PLACE = 21
    VARY_DECAY = 22


def mixed(x: int) -> int:
    """SplitMix64's finaliser on 64 bits."""
    x &= WORD
    x = ((x ^ (x >> 30)) * 0xBF58476D1CE4E5B9) & WORD
    x = ((x ^ (x >> 27)) * 0x94D049BB133111EB) & WORD
    return x ^ (x >> 31)


def uniform(*, seed: int, replicate: int, stream: int, who: int, which: int) -> float:
    """A number strictly between 0 and 1 for this key. Plain twin of the fast one."""
    base = mixed(seed + mixed(replicate * GOLDEN + stream))
    word = mixed(base ^ mixed(who * OTHER + which))
    return ((word >> 11) + 0.5) * 2.0**-53


def uniforms(
    seed: int, replicates: np.ndarray, stream: int, who: int | np.ndarray, which: int
) -> np.ndarray:
    """(runs,) float64: the same draw of many runs, each as `uniform` gives it.

    who: one for all, or (runs,) int64, one for each.
    """

    def mix(x: np.ndarray) -> np.ndarray:
        x = (x ^ (x >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        x = (x ^ (x >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        return x ^ (x >> np.uint64(31))

    runs = np.asarray(replicates).astype(np.uint64)
    base = mix(
        np.uint64(seed & WORD) + mix(runs * np.uint64(GOLDEN) + np.uint64(stream))
    )
    if isinstance(who, np.ndarray):
        told: np.ndarray | np.uint64 = mix(
            who.astype(np.uint64) * np.uint64(OTHER) + np.uint64(which)
        )
    else:
        told = np.array(mixed(who * OTHER + which), dtype=np.uint64)
    word = mix(base ^ told)
    return ((word >> np.uint64(11)).astype(np.float64) + 0.5) * 2.0**-53
