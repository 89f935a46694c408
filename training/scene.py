"""Paint a card in linear light at the pixels of a canvas."""

import torch
import torch.nn.functional as F

from training.housing import LABELS, TEXTS, window_centres
from training.membrane import WINDOWS, render_membrane
from training.shapes import box, cover, flat, lookup, paint, turn


def canvas_points(to_canvas, size):
    """Card coordinates (mm) of every pixel of a canvas: x, y (B, H, W), and mm a px."""
    height, width = size
    device = to_canvas.device
    ys, xs = torch.meshgrid(
        torch.arange(height, device=device, dtype=torch.float32),
        torch.arange(width, device=device, dtype=torch.float32),
        indexing="ij",
    )
    back = torch.linalg.inv(to_canvas.double()).float()
    r = back[:, :, :, None, None]
    w = r[:, 2, 0] * xs + r[:, 2, 1] * ys + r[:, 2, 2]
    w = torch.where(w.abs() < 1e-4, 1e-4, w)
    x = (r[:, 0, 0] * xs + r[:, 0, 1] * ys + r[:, 0, 2]) / w
    y = (r[:, 1, 0] * xs + r[:, 1, 1] * ys + r[:, 1, 2]) / w
    det = (
        to_canvas[:, 0, 0] * to_canvas[:, 1, 1]
        - to_canvas[:, 0, 1] * to_canvas[:, 1, 0]
    ).abs()
    foot = flat(1 / det.clamp_min(1e-6).sqrt())
    return x, y, foot


def project(matrix, points):
    """Points (B, ..., 2) through homographies (B, 3, 3)."""
    shape = points.shape
    flat_points = points.reshape(shape[0], -1, 2)
    ones = torch.ones_like(flat_points[..., :1])
    out = torch.cat([flat_points, ones], -1) @ matrix.transpose(1, 2)
    return (out[..., :2] / out[..., 2:]).reshape(shape)


def window_corners(scene, to_canvas):
    """Corners (B, WINDOWS, 4, 2) px of the openings: -x -y, +x -y, +x +y, -x +y."""
    centres, _ = window_centres(scene)
    half = torch.stack([scene["window_length"], scene["window_width"]], -1) / 2
    signs = torch.tensor(
        [[-1, -1], [1, -1], [1, 1], [-1, 1]], device=half.device
    ).float()
    corners = centres[:, :, None] + signs[None, None] * half[:, None, None]
    return project(to_canvas, corners)


def _glyph_text(scene, picture, x, y, foot):
    """Rows of letter-like marks; the first two stand beside the lines."""
    for k in range(TEXTS):
        size = flat(scene["text_size"][:, k])
        u, v = x - flat(scene["text_at"][:, k, 0]), y - flat(scene["text_at"][:, k, 1])
        turned = flat(scene["text_turned"][:, k])
        u, v = torch.where(turned, v, u), torch.where(turned, -u, v)
        columns = flat(scene["text_columns"][:, k])
        long = columns * size * 0.75
        cell_x = (u / long + 0.5) * columns * 6  # 5 columns of marks, 1 of air
        inside = cover(torch.maximum(u.abs() - long / 2, v.abs() - size / 2), foot)
        at = torch.stack([cell_x / 27 - 1, 2 * v / size], -1)
        mark = F.grid_sample(scene["glyphs"][:, k : k + 1], at, align_corners=False)[
            :, 0
        ]
        air = (torch.remainder(cell_x, 6) < 5).float()
        sharp = torch.clamp(
            mark * (0.35 * size / (foot + 0.05)).clamp(1, 6) + 0.4, 0, 1
        )
        picture = paint(
            picture,
            scene["ink"],
            inside * air * sharp * flat(scene["text_shown"][:, k]),
        )
    return picture


def _labels(scene, picture, x, y, foot):
    """Printed fields, pale or dark: what is easily taken for a window."""
    for k in range(LABELS):
        u, v = (
            x - flat(scene["label_at"][:, k, 0]),
            y - flat(scene["label_at"][:, k, 1]),
        )
        half = scene["label_half"][:, k]
        distance, _, _ = box(
            u, v, flat(half[:, 0]), flat(half[:, 1]), flat(half[:, 1]) * 0.2
        )
        line = cover(distance.abs() - 0.15, foot)
        full = cover(distance, foot)
        share = torch.where(flat(scene["label_line"][:, k]) > 0, line, full)
        picture = paint(
            picture,
            scene["label_colour"][:, k],
            share * flat(scene["label_shown"][:, k]),
        )
    return picture


def _well(scene, picture, x, y, foot, light):
    """A sample well, or two, per window; left (-x) of the window."""
    centres, here = window_centres(scene)
    away = torch.minimum(
        scene["well_away"],
        scene["body_length"] / 2 + scene["window_shift"] - scene["well_long"] - 2,
    )
    for w in range(WINDOWS):
        for second in (0, 1):
            shown = (here[:, w] & (scene["wells"] > w)).float()
            if second:
                shown = shown * scene["second_well"]
            at = away - second * scene["well_long"] * 2.6
            u = x + flat(at)
            v = y - flat(centres[:, w, 1])
            long, wide = flat(scene["well_long"]), flat(scene["well_wide"])
            distance, nx, ny = box(u, v, long, wide, torch.minimum(long, wide) * 0.98)
            bevel = cover(distance - 0.9, foot) * flat(shown)
            shade = 1 - flat(scene["wall_shade"]) * (nx * light[0] + ny * light[1])
            picture = paint(
                picture, scene["wall_colour"][:, :, None, None] * shade[:, None], bevel
            )
            inner = cover(distance, foot) * flat(shown)
            depth = torch.exp(distance.clamp_max(0) / 0.6)
            colour = (
                scene["well_colour"][:, :, None, None]
                * (1 - flat(scene["occlusion"]) * depth)[:, None]
            )
            wet = flat(scene["well_wet"]) * torch.exp(
                -((u - 0.5) ** 2 + (v + 0.5) ** 2) / 0.15
            )
            picture = paint(picture, colour + wet[:, None], inner)
    return picture


def _stick(scene, picture, x, y, foot):
    """A bare dipstick: handle, pads; only where the family says so."""
    bare = flat(scene["dipstick"])
    beyond = x.abs() - flat(scene["window_length"]) / 2
    for k, side in enumerate((-1, 1)):
        share = cover(-beyond, foot) * (x * side > 0).float() * bare
        picture = paint(picture, scene["pad_colour"][:, k], share)
    handle = cover(-(x - flat(scene["window_length"]) * 0.5 - 12), foot) * bare
    return paint(picture, scene["handle_colour"], handle)


def _body(scene, picture, x, y, foot, light):
    """The housing without its windows; returns the picture and the body's cover."""
    bx, by = x + flat(scene["window_shift"]), y - flat(scene["body_y"])
    half_l, half_w = flat(scene["body_length"]) / 2, flat(scene["body_width"]) / 2
    waist = half_w * (1 - flat(scene["pinch"]) * torch.cos(1.5 * bx / half_l) ** 2)
    distance, nx, ny = box(
        bx, by, half_l, waist, half_w * flat(scene["body_round"]) * 0.99
    )
    shadow = torch.sigmoid(
        -(
            box(
                bx + 1.2 * light[0],
                by + 1.2 * light[1],
                half_l,
                half_w,
                half_w * flat(scene["body_round"]) * 0.99,
            )[0]
        )
        / 0.8
    )
    picture = picture * (1 - 0.45 * shadow)[:, None]
    body = cover(distance, foot)
    rim = torch.exp(distance.clamp_max(0) / 0.7) * flat(scene["rim_shade"])
    shade = 1 + rim * (nx * light[0] + ny * light[1])
    groove = (
        torch.exp(-(((distance + 1.8) / 0.25) ** 2)) * flat(scene["rim_shade"]) * 0.5
    )
    ridges = (
        flat(scene["ridges"])
        * torch.sin(4 * bx).clamp_min(0)
        * (bx > half_l * 0.72).float()
    )
    colour = (
        scene["body_colour"][:, :, None, None]
        * (shade - groove - 0.4 * ridges)[:, None]
    )
    picture = paint(picture, colour, body)
    marked = _labels(scene, picture, x, y, foot)
    marked = _glyph_text(scene, marked, x, y, foot)
    marked = _well(scene, marked, x, y, foot, light)
    marked = _stick(scene, marked, x, y, foot)
    return paint(picture, marked, body), body


def _windows(scene, picture, x, y, foot, light, slide):
    """Funnel walls, shadows and membranes of all windows."""
    centres, here = window_centres(scene)
    half_l, half_w = flat(scene["window_length"]) / 2, flat(scene["window_width"]) / 2
    # each pixel belongs to the nearest window across the card
    away = (y[:, None] - centres[:, :, 1, None, None]).abs()
    away = away + (~here)[:, :, None, None] * 1e3
    nearest = away.argmin(1)
    v = y - torch.gather(centres[:, :, 1], 1, nearest.flatten(1)).reshape(y.shape)
    shown = flat(here[:, 0].float())
    corner = half_w * flat(scene["window_round"]) * 0.99
    inner, nx, ny = box(x, v, half_l, half_w, corner)
    depth = flat(scene["depth"])
    ox, oy = flat(slide[:, 0]) * depth, flat(slide[:, 1]) * depth
    end, side = flat(scene["funnel_end"]), flat(scene["funnel_side"])
    outer, _, _ = box(
        x - ox, v - oy, half_l + end, half_w + side, corner + torch.minimum(end, side)
    )
    rise = (inner / torch.maximum(torch.minimum(end, side), foot)).clamp(0, 1)
    shade = 1 - flat(scene["wall_shade"]) * (nx * light[0] + ny * light[1])
    shade = shade * (1 - flat(scene["occlusion"]) * (1 - rise))
    wall = scene["wall_colour"][:, :, None, None] * shade[:, None]
    lip = torch.exp(-((outer / 0.35) ** 2)) * flat(scene["rim"])
    picture = picture * (1 + lip * shown)[:, None]
    picture = paint(picture, wall, cover(outer, foot) * shown)
    membrane = render_membrane(scene, x, v, foot, nearest)
    fall = depth * 0.9 + 0.15
    shaded, _, _ = box(x + fall * light[0], v + fall * light[1], half_l, half_w, corner)
    dark = flat(scene["rim_shadow"]) * torch.sigmoid(
        shaded / (0.35 * flat(scene["shadow_soft"]) * (depth + 0.3))
    )
    dark = dark + 0.5 * flat(scene["occlusion"]) * torch.exp(
        inner.clamp_max(0) / (0.3 * depth + 0.08)
    )
    membrane = membrane * (1 - dark.clamp(0, 0.9))[:, None]
    picture = paint(picture, membrane, cover(inner, foot) * shown)
    seam = torch.exp(-((inner / flat(scene["edge_wide"])) ** 2)) * flat(
        scene["edge_line"]
    )
    return picture * (1 - seam * shown * (1 - flat(scene["dipstick"])))[:, None]


def _light(scene, picture, x, y):
    """Slope of the light, cast shadows and glare."""
    fall = 1 + flat(scene["slope"][:, 0]) * x + flat(scene["slope"][:, 1]) * y
    for k in range(2):
        u, _ = turn(x, y, scene["shadow_turn"][:, k])
        u = u - flat(scene["shadow_at"][:, k])
        blur = flat(scene["shadow_blur"][:, k])
        band = torch.sigmoid(4 * u / blur) * torch.sigmoid(
            4 * (flat(scene["shadow_wide"][:, k]) - u) / blur
        )
        fall = fall * (1 - flat(scene["shadow_deep"][:, k]) * band)
    picture = picture * fall.clamp(0.15, 2)[:, None]
    for k in range(2):
        u, v = turn(
            x - flat(scene["glare_at"][:, k, 0]),
            y - flat(scene["glare_at"][:, k, 1]),
            scene["glare_turn"][:, k],
        )
        spot = (u / flat(scene["glare_long"][:, k])) ** 2 + (
            v / flat(scene["glare_wide"][:, k])
        ) ** 2
        picture = (
            picture
            + (flat(scene["glare"][:, k]) * torch.exp(-(spot**1.5).clamp_max(30)))[
                :, None
            ]
        )
    return picture


def _finger(scene, picture, x, y, foot, light):
    """A gloved finger holding the edge."""
    u, v = turn(
        x - flat(scene["finger_at"][:, 0]),
        y - flat(scene["finger_at"][:, 1]),
        scene["finger_turn"],
    )
    half = flat(scene["finger_half"])
    distance, nx, ny = box(u - 40, v, half * 0 + 40, half, half * 0.98)
    shade = 1 + 0.35 * torch.exp(distance.clamp_max(0) / 4) * (
        nx * light[0] + ny * light[1]
    )
    wrinkle = 1 + 0.06 * torch.sin(1.7 * u + 0.6 * v)
    colour = scene["finger_colour"][:, :, None, None] * (shade * wrinkle)[:, None]
    return paint(picture, colour, cover(distance, foot) * flat(scene["finger"].float()))


def render_card(scene, to_canvas, slide, size, ground):
    """(B, 3, H, W) linear light of the scene over `ground`, and the body's cover."""
    x, y, foot = canvas_points(to_canvas, size)
    light = (flat(scene["light"].cos()), flat(scene["light"].sin()))
    picture, body = _body(scene, ground, x, y, foot, light)
    picture = _windows(scene, picture, x, y, foot, light, slide)
    picture = _finger(scene, picture, x, y, foot, light)
    return _light(scene, picture, x, y), body


def draw_ground(draw, size, *, detail):
    """(B, 3, H, W) what the card lies on; `detail` boxes of clutter."""
    height, width = size
    ys, xs = torch.meshgrid(
        torch.linspace(-1, 1, height, device=draw.device),
        torch.linspace(-1, 1, width, device=draw.device),
        indexing="ij",
    )
    x, y = xs.expand(draw.batch, -1, -1), ys.expand(draw.batch, -1, -1)
    base = draw.spread(0.03, 0.9)[:, None] * (1 + 0.25 * draw.normal(3)).clamp(0.3, 1.8)
    picture = base[:, :, None, None].expand(-1, -1, height, width)
    rough = draw.spread(0.01, 0.35)
    for cells, share in ((4, 1.0), (14, 0.6), (60, 0.4)):
        wave = lookup(draw.noise(1, cells, cells), x, y, smooth=False)[:, 0]
        picture = picture * (1 + share * flat(rough) * wave).clamp(0.1, 2.5)[:, None]
    u, _ = turn(x, y, draw.uniform(0, 3.14))
    grain = flat(draw.chance(0.3) * draw.uniform(0, 0.3)) * torch.sin(
        flat(draw.spread(6, 150)) * u
    )
    picture = picture * (1 + grain)[:, None]
    foot = flat(torch.full((draw.batch,), 2 / width, device=draw.device))
    for _ in range(detail):
        u, v = turn(
            x - flat(draw.normal() * 0.8),
            y - flat(draw.normal() * 0.8),
            draw.uniform(0, 3.14),
        )
        long, wide = flat(draw.spread(0.03, 0.8)), flat(draw.spread(0.01, 0.5))
        distance, nx, ny = box(
            u, v, long, wide, torch.minimum(long, wide) * flat(draw.uniform(0, 1))
        )
        hollow = flat(draw.chance(0.25))
        distance = torch.where(hollow, distance.abs() - 0.02, distance)
        shade = 1 + flat(draw.normal() * 0.2) * torch.exp(
            distance.clamp_max(0) / 0.02
        ) * (nx + ny)
        colour = (
            draw.spread(0.03, 0.95, 3) * 0.5 + draw.spread(0.03, 0.95)[:, None] * 0.5
        )
        picture = paint(
            picture,
            colour[:, :, None, None] * shade[:, None],
            cover(distance, foot) * flat(draw.chance(0.6).float()),
        )
    return picture.clamp(0.005, 1.2)
