"""Photos of pictures: a display's grid or a print's dots in the light of a scene."""

import math

import torch

from training.draw import Draw
from training.shapes import flat

INNER = 3  # points a pixel along each side
PRINT_SHARE = 0.35  # of copies; the others are displays


def _points(size, device):
    """Pixel coordinates (H * INNER, W * INNER) of the points inside pixels."""
    height, width = size
    ys = (torch.arange(height * INNER, device=device) + 0.5) / INNER
    xs = (torch.arange(width * INNER, device=device) + 0.5) / INNER
    return torch.meshgrid(ys, xs, indexing="ij")


def _display(draw: Draw, u, v):
    """(B, 3, h, w): light of red, green and blue stripes, with gaps, about mean 1."""
    fill_u, fill_v = draw.uniform(0.55, 0.98), draw.uniform(0.7, 0.98)
    rows = ((v - v.floor() - 0.5).abs() < flat(fill_v) / 2).float()
    whole = draw.chance(0.2)  # a display so fine that its colours fuse
    planes = []
    for k in range(3):
        centre = torch.where(whole, 0.5, (k + 0.5) / 3)
        half = torch.where(whole, fill_u / 2, fill_u / 6)
        lit = ((u - u.floor() - flat(centre)).abs() < flat(half)).float()
        planes.append(lit * rows / flat(2 * half * fill_v))
    return torch.stack(planes, 1)


def _dots(draw: Draw, x, y, pitch):
    """(B, 3, h, w): a print's dots, each ink on its own turned grid, about mean 1."""
    planes = []
    strength = draw.uniform(0.12, 0.6)
    for k in range(3):
        angle = draw.uniform(0, math.pi / 2) * (0.4 + 0.3 * k)
        c, s = flat(angle.cos()), flat(angle.sin())
        u, v = (c * x + s * y) / flat(pitch), (c * y - s * x) / flat(pitch)
        wave = torch.cos(2 * math.pi * u) * torch.cos(2 * math.pi * v)
        planes.append(1 + flat(strength) * wave)
    return torch.stack(planes, 1)


def copied(draw: Draw, light, shown):
    """`light` (B, 3, H, W) as a display or a print shows it where `shown` (B)."""
    size = light.shape[2:]
    y, x = _points(size, light.device)
    pitch = draw.spread(1.25, 9.0)
    turn = torch.where(
        draw.chance(0.6), draw.normal() * 0.1, draw.uniform(0, math.pi / 2)
    )
    c, s = flat(turn.cos()), flat(turn.sin())
    lean = 1 + flat(draw.normal() * 0.0004) * (x - size[1] / 2)
    u, v = lean * (c * x + s * y) / flat(pitch), lean * (c * y - s * x) / flat(pitch)
    grid = _display(draw, u, v)
    dots = _dots(draw, x, y, pitch)
    is_print = draw.chance(PRINT_SHARE)[:, None, None, None]
    grid = torch.where(is_print, dots, grid)
    grid = torch.nn.functional.avg_pool2d(grid, INNER)
    depth = draw.uniform(0.35, 1.0) * shown
    veil = draw.chance(0.5) * draw.uniform(0, 0.15) * shown  # room light on the glass
    grid = 1 + depth[:, None, None, None] * (grid - 1)
    return light * grid + veil[:, None, None, None]
