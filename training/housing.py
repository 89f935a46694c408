"""Draws of a housing: body, windows, wells, print, and how it lies before the camera."""

import math

import torch

from training.draw import Draw, table
from training.families import CALM, FAMILIES, LEVELS, ORDER
from training.membrane import WINDOWS, draw_lines, draw_membrane

TEXTS = 5
LABELS = 3
LEVEL_NAMES = tuple(LEVELS)


def draw_level(draw: Draw, shares):
    """One row of LEVELS a scene, as a dictionary of (B,) tensors."""
    weights = torch.tensor(shares, device=draw.device, dtype=torch.float32)
    which = torch.multinomial(
        weights.expand(draw.batch, -1), 1, generator=draw.generator
    )[:, 0]
    rows = {"which": which}
    for key, first in next(iter(LEVELS.values())).items():
        values = torch.tensor(
            [LEVELS[name][key] for name in LEVEL_NAMES],
            device=draw.device,
            dtype=torch.float32,
        )[which]
        if isinstance(first, tuple):
            rows[f"{key}_low"], rows[f"{key}_high"] = values[:, 0], values[:, 1]
        else:
            rows[key] = values
    return rows


def draw_family(draw: Draw, names):
    """Value of every column of `ORDER` for families drawn evenly from `names`."""
    rows = table({name: FAMILIES[name] for name in names}, ORDER, draw.device)
    which = draw.among(len(names))
    ranges = rows[which]
    values = ranges[..., 0] + draw.uniform(0, 1, len(ORDER)) * (
        ranges[..., 1] - ranges[..., 0]
    )
    return dict(zip(ORDER, values.unbind(1), strict=True)) | {"family": which}


def _body_colour(draw: Draw, tinted):
    """(B, 3): mostly white or cream plastic, or any tint."""
    white = draw.uniform(0.55, 0.92)[:, None] * (1 + 0.035 * draw.normal(3))
    hue = draw.uniform(0, 1, 3) * 0.75 + 0.08
    pale = draw.uniform(0.2, 1)[:, None]
    tint = hue * pale + white * (1 - pale)
    return torch.where(tinted[:, None], tint, white).clamp(0.02, 0.95)


def draw_housing(draw: Draw, *, families, level, calm_share=CALM):
    """One scene's card: everything in millimetres around the main window's centre."""
    scene = draw_family(draw, families)
    scene["window_width"] = scene["window_length"] / scene["aspect"]
    half = scene["window_width"] / 2
    scene["windows"] = scene["windows"].round().long()
    loose = draw.normal() * 0.6 * (1 - scene["dipstick"])
    scene["body_y"] = loose + (scene["windows"] == 2) * scene["pitch"] / 2
    tinted = draw.chance(scene["tint_chance"])
    scene["body_colour"] = _body_colour(draw, tinted)
    same = draw.chance(0.6)[:, None]
    scene["wall_colour"] = torch.where(
        same,
        scene["body_colour"],
        scene["body_colour"] * draw.uniform(0.75, 1.1)[:, None],
    )
    scene["rim_shade"] = draw.uniform(0, 0.45)
    scene["wall_shade"] = draw.uniform(0.05, 0.5)
    scene["occlusion"] = draw.uniform(0, 0.55)
    scene["edge_line"] = draw.chance(0.55) * draw.uniform(0.1, 0.85)
    scene["edge_wide"] = draw.uniform(0.08, 0.35)
    scene["light"] = draw.uniform(0, 2 * math.pi)
    scene["rim_shadow"] = draw.uniform(0, 0.55) * draw.chance(0.8)
    scene["shadow_soft"] = draw.uniform(0.08, 0.9)
    # the strip may be narrower than the opening, and lie aside
    gap = draw.chance(scene["gap_chance"])
    scene["strip_half"] = torch.where(gap, half * draw.uniform(0.68, 0.96), half * 1.5)
    scene["strip_shift"] = gap * half * draw.normal() * 0.15
    scene["gap_colour"] = scene["wall_colour"] * draw.uniform(0.15, 0.95)[:, None]
    scene["gap_shade"] = draw.uniform(0, 0.7)
    scene["well_turn"] = draw.normal() * 0.02
    stained = draw.chance(0.35)[:, None]
    pad = draw.uniform(0.35, 0.9)[:, None] * (1 + 0.05 * draw.normal(3))
    stain = torch.stack(
        [draw.uniform(0.2, 0.6), draw.uniform(0.03, 0.35), draw.uniform(0.03, 0.3)], 1
    )
    scene["well_colour"] = torch.where(stained, stain, pad)
    scene["well_wet"] = draw.chance(0.3) * draw.uniform(0, 0.6)
    scene["second_well"] = draw.chance(0.2)
    scene["handle_colour"] = draw.uniform(0.05, 0.9, 3)
    scene["pad_colour"] = draw.uniform(0.45, 0.92, 2)[..., None] * (
        1 + 0.08 * draw.normal(2, 3)
    )
    scene["ridges"] = draw.chance(0.25) * draw.uniform(0.05, 0.4)
    three = draw.chance(scene["three_chance"])
    scene |= draw_membrane(draw, level=level, calm_share=calm_share)
    scene |= draw_lines(
        draw, length=scene["window_length"], width=scene["window_width"], three=three
    )
    return scene | _draw_print(draw, scene)


LETTER_C = (" ### ", "#   #", "#    ", "#    ", "#    ", "#   #", " ### ")
LETTER_T = ("#####", "  #  ", "  #  ", "  #  ", "  #  ", "  #  ", "  #  ")


def _glyphs(draw: Draw):
    """Marks of all texts (B, TEXTS, 7, 54); C and T first, the rest any shape."""
    marks = draw.noise(TEXTS, 7, 54)
    for k, letter in enumerate((LETTER_C, LETTER_T)):
        rows = [[1.5 if mark == "#" else -1.5 for mark in row] for row in letter]
        marks[:, k, :, :5] = torch.tensor(rows, device=draw.device)
    return marks


def _draw_print(draw: Draw, scene):
    """Letters, arrows, logos and labels on the body."""
    half_l, half_w = scene["body_length"] / 2, scene["body_width"] / 2
    where = torch.stack(
        [
            draw.uniform(-0.95, 0.95, TEXTS) * half_l[:, None]
            - scene["window_shift"][:, None],
            draw.uniform(-0.85, 0.85, TEXTS) * half_w[:, None],
        ],
        -1,
    )
    # the first two are the letters beside C and T
    beside = scene["window_width"] / 2 + scene["funnel_side"] + draw.uniform(0.7, 2.2)
    beside = beside * (2 * draw.chance(0.5).float() - 1)
    for k in range(2):
        where[:, k, 0] = scene["places"][:, k] + draw.normal() * 0.2
        where[:, k, 1] = beside
    letters = draw.uniform(0.5, 1.6, TEXTS)
    columns = torch.cat(
        [
            torch.ones(draw.batch, 2, device=draw.device),
            draw.uniform(1, 9, TEXTS - 2).floor(),
        ],
        1,
    )
    shown = draw.chance(0.5, TEXTS).float()
    shown[:, :2] = draw.chance(0.65)[:, None].float()
    shown = shown * (1 - scene["dipstick"])[:, None]
    ink = draw.uniform(0.02, 0.35, 3) * draw.uniform(0.2, 2)[:, None]
    label = draw.chance(0.3, LABELS).float() * (1 - scene["dipstick"])[:, None]
    return {
        "text_at": where,
        "text_size": letters,
        "text_columns": columns,
        "text_shown": shown * draw.uniform(0.3, 1, TEXTS),
        "text_turned": draw.chance(0.4)[:, None].expand(-1, TEXTS),
        "glyphs": _glyphs(draw),
        "ink": ink,
        "label_at": torch.stack([draw.uniform(-0.9, 0.9, LABELS) * half_l[:, None] - scene["window_shift"][:, None], draw.uniform(-0.8, 0.8, LABELS) * half_w[:, None]], -1),
        "label_half": torch.stack([draw.spread(1.5, 9, LABELS), draw.spread(0.5, 4, LABELS)], -1),
        "label_colour": draw.uniform(0.03, 0.95, LABELS, 3),
        "label_shown": label,
        "label_line": draw.chance(0.5, LABELS).float(),
    }  # fmt: skip


def draw_light(draw: Draw, *, level, scene):
    """Shadows, glare, fingers and the light's slope over the card (millimetres)."""
    reach = scene["window_length"]
    parallel = draw.chance(0.35, 2)
    angle = torch.where(parallel, draw.normal(2) * 0.12, draw.uniform(0, math.pi, 2))
    deep = draw.chance(level["shadow"], 2) * draw.uniform(0.05, 0.6, 2)
    glare = draw.chance(level["glare"], 2) * draw.spread(0.05, 1.5, 2)
    glove = draw.chance(0.10)
    return {
        "slope": draw.normal(2) * 0.006,
        "shadow_turn": angle,
        "shadow_at": draw.normal(2) * reach[:, None] * 0.5,
        "shadow_blur": draw.spread(0.3, 8, 2),
        "shadow_deep": deep,
        "shadow_wide": draw.spread(1.0, 60, 2),
        "glare": glare,
        "glare_at": torch.stack([draw.normal(2) * reach[:, None] * 0.4, draw.normal(2) * 3], -1),
        "glare_turn": draw.uniform(0, math.pi, 2),
        "glare_long": draw.spread(1.0, 12, 2),
        "glare_wide": draw.spread(0.3, 3, 2),
        "finger": glove,
        "finger_at": torch.stack([draw.uniform(-40, 40), scene["body_width"] * draw.uniform(0.2, 0.9)], -1),
        "finger_turn": draw.uniform(0.9, 2.2),
        "finger_half": draw.uniform(6, 10),
        "finger_colour": draw.uniform(0.03, 0.85, 3),
    }  # fmt: skip


def draw_pose(draw: Draw, *, level, size, offset, scale, angle):
    """Homography (B, 3, 3) card mm to canvas px, and mm a surface slides per mm of depth.

    `scale` px a mm, `angle` in the plane, `offset` (B, 2) px from the canvas's middle.
    """
    height, width = size
    tilt = (draw.normal() * level["tilt"] * 0.6 * math.pi / 180).clamp(-0.9, 0.9)
    axis = draw.uniform(0, 2 * math.pi)
    far = draw.uniform(120, 500)
    c, s = angle.cos(), angle.sin()
    ca, sa, ct, st = axis.cos(), axis.sin(), tilt.cos(), tilt.sin()
    # foreshortening across the tilt axis, and its perspective
    m00 = ca * ca + ct * sa * sa
    m01 = ca * sa * (1 - ct)
    m11 = sa * sa + ct * ca * ca
    zero, one = torch.zeros_like(c), torch.ones_like(c)
    lean = torch.stack(
        [m00, m01, zero, m01, m11, zero, st * sa / far, -st * ca / far, one], 1
    ).reshape(-1, 3, 3)
    spin = torch.stack([c, -s, zero, s, c, zero, zero, zero, one], 1).reshape(-1, 3, 3)
    x0 = (width - 1) / 2 + offset[:, 0]
    y0 = (height - 1) / 2 + offset[:, 1]
    place = torch.stack([scale, zero, x0, zero, scale, y0, zero, zero, one], 1).reshape(
        -1, 3, 3
    )
    slide = torch.stack([st * sa, -st * ca], 1)  # where depth shows, mm a mm
    return place @ lean @ spin, torch.einsum(
        "bij,bj->bi", spin[:, :2, :2].transpose(1, 2), slide
    )


def window_centres(scene):
    """(B, WINDOWS, 2) mm, and which exist (B, WINDOWS); the first is at the origin."""
    pitch, count = scene["pitch"], scene["windows"]
    index = torch.arange(WINDOWS, device=pitch.device)
    here = index[None] < count[:, None]
    y = pitch[:, None] * torch.tensor([0.0, 1.0, -1.0], device=pitch.device)
    return torch.stack([torch.zeros_like(y), y], -1), here
