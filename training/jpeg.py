"""JPEG as it acts on pixels: colour planes, 8 x 8 cosine blocks, rounding."""

import math

import torch
import torch.nn.functional as F

# Annex K of the JPEG standard (ITU-T T.81), tables K.1 and K.2
LUMA = (
    16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55,
    14, 13, 16, 24, 40, 57, 69, 56, 14, 17, 22, 29, 51, 87, 80, 62,
    18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92,
    49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99,
)  # fmt: skip
CHROMA = (
    17, 18, 24, 47, 99, 99, 99, 99, 18, 21, 26, 66, 99, 99, 99, 99,
    24, 26, 56, 99, 99, 99, 99, 99, 47, 66, 99, 99, 99, 99, 99, 99,
    99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
    99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
)  # fmt: skip
_FORWARD = (
    (0.299, 0.587, 0.114),
    (-0.168736, -0.331264, 0.5),
    (0.5, -0.418688, -0.081312),
)


def _cosines(device):
    k = torch.arange(8, device=device, dtype=torch.float32)
    matrix = torch.cos((2 * k[None] + 1) * k[:, None] * math.pi / 16) / 2
    matrix[0] /= math.sqrt(2)
    return matrix


def _table(values, quality, device):
    scale = torch.where(quality < 50, 5000 / quality, 200 - 2 * quality)
    table = torch.tensor(values, device=device, dtype=torch.float32)
    steps = ((table[None] * scale[:, None] + 50) / 100).floor().clamp(1, 255)
    return steps.reshape(-1, 1, 1, 8, 8)


def _quantise(plane, steps, cosines):
    """(B, C, H, W) rounded block by block; H and W are multiples of 8."""
    batch, channels, height, width = plane.shape
    blocks = plane.reshape(batch, channels, height // 8, 8, width // 8, 8)
    blocks = blocks.permute(0, 1, 2, 4, 3, 5).reshape(batch, -1, 1, 8, 8)
    steps = steps.expand(-1, blocks.shape[1], -1, -1, -1)
    coefficients = cosines @ blocks @ cosines.T
    kept = (coefficients / steps).round() * steps
    blocks = (cosines.T @ kept @ cosines).reshape(
        batch, channels, height // 8, width // 8, 8, 8
    )
    return blocks.permute(0, 1, 2, 4, 3, 5).reshape(batch, channels, height, width)


def jpeg(picture, quality, *, shift=(0, 0)):
    """`picture` (B, 3, H, W), 0 to 1, after JPEG of `quality` (B); 4:2:0 colour.

    H and W are multiples of 16; `shift` moves the block grid.
    """
    device = picture.device
    matrix = torch.tensor(_FORWARD, device=device)
    values = torch.roll(picture, shift, (2, 3)) * 255
    ycc = torch.einsum("ij,bjhw->bihw", matrix, values)
    cosines = _cosines(device)
    luma = _quantise(ycc[:, :1] - 128, _table(LUMA, quality, device), cosines) + 128
    small = F.avg_pool2d(ycc[:, 1:], 2)
    small = _quantise(small, _table(CHROMA, quality, device), cosines)
    colour = F.interpolate(small, scale_factor=2, mode="bilinear", align_corners=False)
    back = torch.linalg.inv(matrix)
    out = torch.einsum("ij,bjhw->bihw", back, torch.cat([luma, colour], 1))
    out = out.clamp(0, 255).round() / 255
    return torch.roll(out, (-shift[0], -shift[1]), (2, 3))
