"""Named random streams: one seed, many independent draws that never disturb each other."""

import hashlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from numpy.random import Generator


def stream(seed: int, name: str, *, replicate: int = 0) -> "Generator":
    """A generator that depends only on `seed`, `name` and `replicate`.

    An extra draw in one stream leaves all others as they were.
    """
    from numpy.random import PCG64, Generator, SeedSequence

    digest = hashlib.sha256(name.encode()).digest()
    key = int.from_bytes(digest[:8], "big")
    return Generator(PCG64(SeedSequence(seed, spawn_key=(key, replicate))))
