"""A pool of strips on the training device, so that each is looked at more than once.

Making a strip costs several times what learning from it does. A pool of the latest ones
lets a network take several steps for each fresh batch, on strips drawn from all of the
pool and turned at random: mirror images of a strip are strips.
"""

import torch

STRIPS = ("strip", "twin")


class Pool:
    """The latest `capacity` strips, as float16, with their truth."""

    def __init__(self, *, capacity: int, keys: tuple, device, seed: int):
        self.capacity, self.keys = capacity, keys
        self.generator = torch.Generator(device=device).manual_seed(seed)
        self.device, self.kept, self.next, self.filled = device, {}, 0, 0

    def add(self, got) -> None:
        """Keep a batch; the oldest strips make room."""
        batch = len(got["x"])
        if not self.kept:
            self.kept = {
                key: torch.empty(
                    (self.capacity, *got[key].shape[1:]),
                    dtype=torch.float16 if key in STRIPS else got[key].dtype,
                    device=self.device,
                )
                for key in self.keys
            }
        at = (torch.arange(batch, device=self.device) + self.next) % self.capacity
        for key in self.keys:
            self.kept[key][at] = got[key].to(self.kept[key].dtype)
        self.next = (self.next + batch) % self.capacity
        self.filled = min(self.capacity, self.filled + batch)

    def some(self, count: int) -> dict:
        """`count` strips of the pool, each turned at random."""
        pick = torch.randint(
            self.filled, (count,), generator=self.generator, device=self.device
        )
        got = {key: kept[pick] for key, kept in self.kept.items()}
        coins = torch.rand(2, count, 1, generator=self.generator, device=self.device)
        over, back = coins < 0.5
        for key in STRIPS:
            if key in got:
                strip = got[key].float()
                strip = torch.where(over[..., None, None], strip.flip(2), strip)
                got[key] = torch.where(back[..., None, None], strip.flip(3), strip)
        got["x"] = torch.where(back, 256 - got["x"], got["x"])
        return got
