"""The six small networks of the reader, as their ONNX files promise them.

Shapes and meanings stand in `docs/methods/reader-model.md`, section "Interface". Every
picture comes in as sRGB, 0 to 1; strips as linear light divided by their own white.
"""

import torch
import torch.nn.functional as F
from torch import Tensor, nn

STRIP_BINS = 64
CORNER_CELLS = (24, 48)  # stride 4 of the refiner's 96 x 192 crop
LOG10_FLOOR = 0.02  # a pixel below 2 % of white says no more than 2 % does


class Step(nn.Module):
    """Convolution, normalisation, activation."""

    def __init__(self, into, out, *, kernel=3, stride=1, dilation=(1, 1)):
        super().__init__()
        size = kernel if isinstance(kernel, tuple) else (kernel, kernel)
        pad = tuple((k // 2) * d for k, d in zip(size, dilation, strict=True))
        self.conv = nn.Conv2d(into, out, size, stride, pad, dilation, bias=False)
        self.norm = nn.BatchNorm2d(out)

    def forward(self, x):
        return F.relu(self.norm(self.conv(x)))


class Residual(nn.Module):
    """Two convolutions around a short cut."""

    def __init__(self, width, *, kernel=3, dilation=(1, 1)):
        super().__init__()
        self.first = Step(width, width, kernel=kernel, dilation=dilation)
        size = kernel if isinstance(kernel, tuple) else (kernel, kernel)
        pad = (size[0] // 2, size[1] // 2)
        self.second = nn.Conv2d(width, width, size, padding=pad, bias=False)
        self.norm = nn.BatchNorm2d(width)

    def forward(self, x):
        return F.relu(x + self.norm(self.second(self.first(x))))


def _up(x, like):
    return F.interpolate(x, size=like.shape[-2:], mode="bilinear", align_corners=False)


class Finder(nn.Module):
    """`photo` (1, 3, H, W) to `cells` (1, 7, H/4, W/4)."""

    def __init__(self):
        super().__init__()
        self.stem = nn.Sequential(Step(3, 16, kernel=5, stride=2), Step(16, 16))
        self.down4 = nn.Sequential(Step(16, 32, stride=2), Residual(32), Residual(32))
        self.down8 = nn.Sequential(Step(32, 48, stride=2), Residual(48), Residual(48))
        self.down16 = nn.Sequential(Step(48, 72, stride=2), Residual(72), Residual(72))
        self.down32 = nn.Sequential(Step(72, 80, stride=2), Residual(80), Residual(80))
        self.side16, self.side8, self.side4 = (
            nn.Conv2d(72, 64, 1),
            nn.Conv2d(48, 64, 1),
            nn.Conv2d(32, 48, 1),
        )
        self.lift32, self.lift16, self.lift8 = Step(80, 64), Step(64, 64), Step(64, 48)
        self.head = nn.Sequential(Step(48, 48), Residual(48), nn.Conv2d(48, 7, 1))
        with torch.no_grad():
            self.head[-1].bias[0] = -5.0

    def forward(self, photo):
        x4 = self.down4(self.stem(photo * 2 - 1))
        x8 = self.down8(x4)
        x16 = self.down16(x8)
        x32 = self.down32(x16)
        y = self.side16(x16) + _up(self.lift32(x32), x16)
        y = self.side8(x8) + _up(self.lift16(y), x8)
        y = self.side4(x4) + _up(self.lift8(y), x4)
        return self.head(y)


class CropTrunk(nn.Module):
    """Features of a 96 x 192 crop at strides 4, 8, 16."""

    def __init__(self, widths=(16, 32, 48, 72)):
        super().__init__()
        a, b, c, d = widths
        self.stem = nn.Sequential(Step(3, a, kernel=5, stride=2), Step(a, a))
        self.down4 = nn.Sequential(Step(a, b, stride=2), Residual(b))
        self.down8 = nn.Sequential(Step(b, c, stride=2), Residual(c), Residual(c))
        self.down16 = nn.Sequential(Step(c, d, stride=2), Residual(d), Residual(d))

    def forward(self, crop):
        x4 = self.down4(self.stem(crop * 2 - 1))
        x8 = self.down8(x4)
        return x4, x8, self.down16(x8)


class Refiner(nn.Module):
    """`crop` (N, 3, 96, 192) to `corners` (N, 8) px, `log_sd` (N), `logit` (N)."""

    def __init__(self):
        super().__init__()
        self.trunk = CropTrunk()
        self.lift16, self.side8 = Step(72, 48), nn.Conv2d(48, 48, 1)
        self.lift8, self.side4 = Step(48, 40), nn.Conv2d(32, 40, 1)
        self.head = nn.Sequential(Step(40, 40), Residual(40), nn.Conv2d(40, 4, 1))
        self.pool = nn.Sequential(Step(72, 64, stride=2), nn.Flatten())
        self.dense = nn.Sequential(nn.Linear(64 * 18, 64), nn.ReLU(), nn.Linear(64, 10))
        rows = torch.arange(CORNER_CELLS[0]) * 4.0 + 1.5
        columns = torch.arange(CORNER_CELLS[1]) * 4.0 + 1.5
        ys, xs = torch.meshgrid(rows, columns, indexing="ij")
        self.register_buffer("places", torch.stack([xs.flatten(), ys.flatten()], 1))

    def forward(self, crop):
        x4, x8, x16 = self.trunk(crop)
        y = self.side8(x8) + _up(self.lift16(x16), x8)
        y = self.side4(x4) + _up(self.lift8(y), x4)
        heat = self.head(y).flatten(2).softmax(-1)  # (N, 4, cells)
        rest = self.dense(self.pool(x16))
        corners = (heat @ self.places).flatten(1) + rest[:, :8]
        return corners, rest[:, 8], rest[:, 9]


def density(strip: Tensor) -> Tensor:
    """Optical density x 4 of the three colours, and the valid plane."""
    od = -torch.log10(strip[:, :3].clamp(LOG10_FLOOR, 4.0))
    valid = strip[:, 3:]
    return torch.cat([4 * od * valid, 1 - valid], 1)


class StripTrunk(nn.Module):
    """Features (N, C, 64) along the strip."""

    def __init__(self, *, widths=(24, 40, 56), out=80, deep=4):
        super().__init__()
        a, b, c = widths
        self.planes = nn.Sequential(
            Step(4, a, kernel=(3, 5)),
            Step(a, b, stride=(2, 2)),
            Residual(b),
            Step(b, c, stride=(2, 2)),
            Residual(c),
            Residual(c),
        )  # (N, c, 12, 64)
        self.weigh = nn.Conv2d(c, c, 1)
        self.join = Step(2 * c, out, kernel=(1, 3))
        self.along = nn.Sequential(
            *[
                Residual(out, kernel=(1, 5), dilation=(1, 2 ** (i % 4)))
                for i in range(deep)
            ]
        )

    def forward(self, strip):
        x = self.planes(density(strip))
        share = self.weigh(x).softmax(-2)
        x = torch.cat([(x * share).sum(-2, keepdim=True), x.mean(-2, keepdim=True)], 1)
        return self.along(self.join(x))[:, :, 0]


class Lines(nn.Module):
    """`strip` (N, 4, 48, 256) to `line` (N, 4, 64): logit, offset, ln OD, ln sd."""

    def __init__(self):
        super().__init__()
        self.trunk = StripTrunk(deep=5)
        self.head = nn.Sequential(nn.Conv1d(80, 64, 1), nn.ReLU(), nn.Conv1d(64, 4, 1))
        with torch.no_grad():
            self.head[-1].bias.copy_(torch.tensor([-3.0, 0.0, -2.5, -1.0]))

    def forward(self, strip):
        raw = self.head(self.trunk(strip))
        return torch.cat(
            [
                raw[:, :1],
                4 * torch.tanh(raw[:, 1:2]),
                raw[:, 2:3],
                raw[:, 3:].clamp(-5, 2),
            ],
            1,
        )


class Quality(nn.Module):
    """`strip` (N, 4, 48, 256), lines painted over, to `log_lod95` (N)."""

    def __init__(self):
        super().__init__()
        self.trunk = StripTrunk(widths=(16, 24, 40), out=56, deep=3)
        self.head = nn.Sequential(nn.Linear(112, 48), nn.ReLU(), nn.Linear(48, 2))
        with torch.no_grad():
            self.head[-1].bias.copy_(torch.tensor([-4.2, -1.0]))

    def both(self, strip):
        """ln OD found half the time, ln of the spread (ln OD)."""
        x = self.trunk(strip)
        raw = self.head(torch.cat([x.mean(-1), x.amax(-1)], 1))
        return raw[:, 0].clamp(-7, 1), raw[:, 1].clamp(-3, 0.7)

    def forward(self, strip):
        middle, log_spread = self.both(strip)
        return middle + 1.645 * log_spread.exp()


class Flow(nn.Module):
    """`crop` (N, 3, 96, 192), membrane blanked, to `logit` (N): well at the left."""

    def __init__(self):
        super().__init__()
        self.trunk = CropTrunk(widths=(12, 24, 36, 52))
        self.pool = nn.Sequential(Step(52, 40, stride=2), nn.Flatten())
        self.dense = nn.Sequential(nn.Linear(40 * 18, 48), nn.ReLU(), nn.Linear(48, 1))

    def one_way(self, crop):
        return self.dense(self.pool(self.trunk(crop)[2]))[:, 0]

    def forward(self, crop):
        """Odd by construction: turning the crop by 180 degrees turns the sign."""
        return (self.one_way(crop) - self.one_way(crop.flip(-1, -2))) / 2


class Surface(nn.Module):
    """`patch` (N, 3, 96, 96) of unscaled pixels to `logit` (N): a display or a print."""

    def __init__(self):
        super().__init__()
        self.trunk = nn.Sequential(
            Step(6, 16),
            Step(16, 24, stride=2),
            Residual(24),
            Step(24, 32, stride=2),
            Residual(32),
            Step(32, 40, stride=2),
        )
        self.dense = nn.Sequential(nn.Linear(80, 32), nn.ReLU(), nn.Linear(32, 1))

    def forward(self, patch):
        smooth = F.avg_pool2d(F.pad(patch, (2, 2, 2, 2), mode="replicate"), 5, 1)
        x = self.trunk(torch.cat([patch * 2 - 1, 8 * (patch - smooth)], 1))
        return self.dense(torch.cat([x.mean((2, 3)), x.amax((2, 3))], 1))[:, 0]


NETS = {
    "finder": Finder,
    "refiner": Refiner,
    "lines": Lines,
    "quality": Quality,
    "flow": Flow,
    "surface": Surface,
}
