"""A phone's camera, batched: blur, mosaic, noise, denoise, tone, sharpening, JPEG."""

import torch
import torch.nn.functional as F

from training.families import CAMERAS
from training.jpeg import jpeg

# share of photos under coloured light that the camera left in, and its sd (log of a
# channel): a heat lamp, a warm bulb. Common practice, no source; real membranes reach it
CAST_SHARE, CAST_SD = 0.2, 0.2
FIELDS = ("denoise", "sharpen", "curve", "saturation", "local")


def draw_camera(draw, *, level, names, mm_px=None):
    """One pipeline a scene, drawn evenly from `names`."""
    which = draw.among(len(names))
    camera = {}
    for key in FIELDS:
        ranges = torch.tensor(
            [CAMERAS[name][key] for name in names], device=draw.device
        )
        ranges = ranges[which].float()
        camera[key] = draw.uniform(ranges[:, 0], ranges[:, 1])
    for key in ("edge_keep", "twice"):
        values = torch.tensor(
            [CAMERAS[name][key] for name in names], device=draw.device
        )
        camera[key] = draw.chance(values[which].float())
    blur = (
        draw.spread(0.35, 1.0)
        * draw.uniform(level["blur_px_low"], level["blur_px_high"]) ** 0.8
    )
    motion = draw.chance(0.4) * draw.uniform(0, 1) ** 2 * level["motion_px"]
    across = draw.chance(0.5)
    white = level["white"]
    cast = torch.where(draw.chance(CAST_SHARE), white.clamp_min(CAST_SD), white)
    return camera | {
        "blur_x": torch.sqrt(blur**2 + (across * motion * 0.3) ** 2),
        "blur_y": torch.sqrt(blur**2 + (~across * motion * 0.3) ** 2),
        "electrons": draw.uniform(level["electrons_low"], level["electrons_high"]),
        "read": draw.uniform(2, 8),
        "gains": torch.stack([draw.spread(1.3, 2.4), torch.ones(draw.batch, device=draw.device), draw.spread(1.2, 2.4)], 1),
        "white": torch.exp(cast[:, None] * draw.normal(3) * torch.tensor([1.0, 0.3, 1.0], device=draw.device)),
        "exposure": draw.uniform(0.35, 1.05),
        "quality": draw.uniform(level["jpeg_low"], level["jpeg_high"]),
        "again": draw.uniform(55, 88),
        "sharpen_wide": draw.uniform(0.7, 1.6),
        "softness": draw.uniform(0.7, 1.6),
        "bright": draw.chance(0.06) * draw.uniform(0.1, 0.6),
    }  # fmt: skip


def blur(picture, sigma_x, sigma_y, radius):
    """Separable Gaussian with one sigma (px) a scene."""
    taps = torch.arange(-radius, radius + 1, device=picture.device, dtype=torch.float32)
    for axis, sigma in ((3, sigma_x), (2, sigma_y)):
        weights = torch.exp(-0.5 * (taps[None] / sigma.clamp_min(0.05)[:, None]) ** 2)
        weights = weights / weights.sum(1, keepdim=True)
        pad = (radius, radius, 0, 0) if axis == 3 else (0, 0, radius, radius)
        wide = F.pad(picture, pad, mode="replicate")
        size = picture.shape[axis]
        picture = sum(
            weights[:, k, None, None, None] * wide.narrow(axis, k, size)
            for k in range(2 * radius + 1)
        )
    return picture


def _box_mean(picture, radius):
    size = 2 * radius + 1
    wide = F.pad(picture, (radius,) * 4, mode="replicate")
    return F.avg_pool2d(wide, size, 1)


def guided(picture, radius, eps):
    """Edge-keeping smoothing: the guided filter of He, Sun and Tang (2010), own guide."""
    mean = _box_mean(picture, radius)
    spread = (_box_mean(picture * picture, radius) - mean * mean).clamp_min(0)
    share = spread / (spread + eps)
    return _box_mean(share, radius) * picture + _box_mean(mean * (1 - share), radius)


def mosaic(picture, camera, noise):
    """Raw values of a Bayer sensor with noise, joined again by colour differences."""
    height, width = picture.shape[2:]
    masks = picture.new_zeros(3, height, width)
    masks[0, 0::2, 0::2] = 1
    masks[1, 0::2, 1::2] = masks[1, 1::2, 0::2] = 1
    masks[2, 1::2, 1::2] = 1
    full = camera["electrons"][:, None, None, None]
    raw = (picture / camera["gains"][:, :, None, None] * masks).sum(1, keepdim=True)
    raw = raw.clamp(0, 1)
    sd = torch.sqrt(raw / full + (camera["read"][:, None, None, None] / full) ** 2)
    raw = (raw + noise * sd).clamp(0, 1) * camera["gains"][:, :, None, None] * masks
    kernel = picture.new_tensor([[1.0, 2, 1], [2, 4, 2], [1, 2, 1]]) / 4
    cross = picture.new_tensor([[0.0, 1, 0], [1, 4, 1], [0, 1, 0]]) / 4
    wide = F.pad(raw, (1, 1, 1, 1), mode="reflect")
    green = F.conv2d(wide[:, 1:2], cross[None, None])
    ends = []
    for k in (0, 2):
        difference = (raw[:, k : k + 1] - green) * masks[k]
        difference = F.pad(difference, (1, 1, 1, 1), mode="reflect")
        ends.append(green + F.conv2d(difference, kernel[None, None]))
    return torch.cat([ends[0], green, ends[1]], 1)


def to_srgb(linear):
    """Linear light, 0 to 1, to sRGB (IEC 61966-2-1)."""
    linear = linear.clamp(0, 1)
    return torch.where(
        linear <= 0.0031308,
        12.92 * linear,
        1.055 * linear.clamp_min(1e-6) ** (1 / 2.4) - 0.055,
    )


def to_linear(srgb):
    """The way back."""
    return torch.where(
        srgb <= 0.04045, srgb / 12.92, ((srgb.clamp_min(0) + 0.055) / 1.055) ** 2.4
    )


def _denoise(picture, camera):
    """Smear colour more than light; some pipelines keep edges."""
    light = picture.mean(1, keepdim=True)
    colour = picture - light
    one = torch.ones_like(camera["denoise"])
    soft = blur(light, camera["softness"], camera["softness"], 3)
    kept = guided(light, 2, 4e-4)
    smooth = torch.where(camera["edge_keep"][:, None, None, None], kept, soft)
    share = camera["denoise"][:, None, None, None]
    wide = blur(
        colour, 0.3 + 2 * camera["denoise"] * one, 0.3 + 2 * camera["denoise"] * one, 4
    )
    return light + (smooth - light) * share * 0.8 + wide


def develop(picture, camera):
    """Linear light to finished sRGB before JPEG."""
    value = to_srgb(picture)
    curve = camera["curve"][:, None, None, None]
    value = value + curve * (value * value * (3 - 2 * value) - value)
    light = value.mean(1, keepdim=True)
    value = light + (value - light) * camera["saturation"][:, None, None, None]
    local = camera["local"][:, None, None, None]
    value = value - local * (_box_mean(light, 8) - 0.55) * 0.8
    light = value.mean(1, keepdim=True)
    wide = camera["sharpen_wide"]
    detail = light - blur(light, wide, wide, 4)
    return (value + camera["sharpen"][:, None, None, None] * detail).clamp(0, 1)


def sensor_noise(draw, size, *, small):
    """The normal noise `photograph` needs for a canvas of `size`."""
    return draw.noise(3 if small else 1, *size)


def photograph(picture, camera, noise, small):
    """Linear scene (B, 3, H, W) to the pixels of the stored file, 0 to 1, 8 bits.

    `small`: the canvas stands for a shrunk photo; no mosaic, a quarter of the noise.
    """
    middle = picture.mean((1, 2, 3)).clamp_min(0.02)
    top = torch.quantile(picture[:, 1].flatten(1)[:, ::37], 0.97, dim=1).clamp_min(0.05)
    gain = camera["exposure"] * 0.92 / torch.maximum(top, middle)
    gain = gain * (1 + camera["bright"])
    picture = picture * gain[:, None, None, None]
    picture = blur(picture, camera["blur_x"], camera["blur_y"], 3 if small else 7)
    if small:
        full = 16 * camera["electrons"][:, None, None, None]
        picture = picture + noise * torch.sqrt(picture.clamp_min(0) / full)
    else:
        picture = mosaic(picture, camera, noise)
    picture = (picture * camera["white"][:, :, None, None]).clamp(0, 1)
    if not small:
        picture = _denoise(picture, camera)
    value = develop(picture, camera)
    value = (value * 255).round() / 255
    value = jpeg(value, camera["quality"])
    again = jpeg(value, camera["again"], shift=(3, 5))
    return torch.where(camera["twice"][:, None, None, None], again, value)
