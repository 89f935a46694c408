"""Seeded draws for a batch of scenes, all on one device."""

import math

import torch


class Draw:
    """Draws of one batch: each call gives one value (or `shape`) a scene."""

    def __init__(self, *, batch: int, device, seed: int):
        self.batch, self.device = batch, torch.device(device)
        self.generator = torch.Generator(device=self.device).manual_seed(seed)

    def uniform(self, low, high, *shape):
        """Uniform; `low` and `high` may be numbers or one value a scene."""
        unit = torch.rand(
            (self.batch, *shape), generator=self.generator, device=self.device
        )
        return self._wide(low, shape) + unit * self._wide(high - low, shape)

    def spread(self, low, high, *shape):
        """Uniform in the logarithm."""
        return self.uniform(math.log(low), math.log(high), *shape).exp()

    def normal(self, *shape):
        return torch.randn(
            (self.batch, *shape), generator=self.generator, device=self.device
        )

    def chance(self, share, *shape):
        """True with chance `share` (a number or one a scene)."""
        unit = torch.rand(
            (self.batch, *shape), generator=self.generator, device=self.device
        )
        return unit < self._wide(share, shape)

    def among(self, count, *shape):
        """A whole number from 0 to count - 1."""
        return torch.randint(
            count, (self.batch, *shape), generator=self.generator, device=self.device
        )

    def noise(self, channels, rows, columns):
        """A lattice of normal noise, to be looked up smoothly."""
        return torch.randn(
            (self.batch, channels, rows, columns),
            generator=self.generator,
            device=self.device,
        )

    @staticmethod
    def _wide(value, shape):
        if torch.is_tensor(value):
            return value.reshape(value.shape + (1,) * (len(shape) + 1 - value.dim()))
        return value


def table(rows: dict, order, device):
    """(n, len(order), 2) lows and highs of a dictionary of ranges."""
    return torch.tensor(
        [[row[name] for name in order] for row in rows.values()],
        dtype=torch.float32,
        device=device,
    )
