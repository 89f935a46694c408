"""Distance fields and smooth noise, batched: the drawing tools of the simulator."""

import torch
import torch.nn.functional as F


def flat(value):
    """One value a scene (B) as (B, 1, 1), to meet maps (B, H, W)."""
    return value.reshape(-1, 1, 1)


def box(x, y, half_x, half_y, round_mm):
    """Distance (mm, negative inside) to a rounded box at the origin, and its normal."""
    qx, qy = x.abs() - (half_x - round_mm), y.abs() - (half_y - round_mm)
    wx, wy = qx.clamp_min(0), qy.clamp_min(0)
    length = torch.sqrt(wx * wx + wy * wy + 1e-12)
    distance = length + torch.maximum(qx, qy).clamp_max(0) - round_mm
    inner = (wx + wy) <= 0
    nx = torch.where(inner, (qx > qy).float(), wx / length) * x.sign()
    ny = torch.where(inner, (qx <= qy).float(), wy / length) * y.sign()
    return distance, nx, ny


def cover(distance, foot):
    """Share of a pixel `foot` mm wide that lies inside."""
    return (0.5 - distance / foot).clamp(0, 1)


def turn(x, y, angle):
    """Coordinates seen from axes turned by `angle`."""
    c, s = flat(angle.cos()), flat(angle.sin())
    return c * x + s * y, -s * x + c * y


def lookup(lattice, x, y, *, smooth=True):
    """Lattice noise (B, C, h, w) at x, y in -1..1 (B, H, W): (B, C, H, W)."""
    return F.grid_sample(
        lattice,
        torch.stack([x, y], -1),
        mode="bicubic" if smooth else "bilinear",
        padding_mode="reflection",
        align_corners=False,
    )


def paint(picture, colour, share):
    """`colour` (B, 3) or (B, 3, H, W) over `picture` with `share` (B, H, W)."""
    if colour.dim() == 2:
        colour = colour[:, :, None, None]
    return picture + (colour - picture) * share[:, None]
