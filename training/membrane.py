"""The membrane inside a window: haze, unevenness, streaks, blood and the lines."""

import torch

from training.draw import Draw
from training.families import CALM
from training.shapes import cover, flat, lookup

SLOTS = 4  # lines a window can hold
WINDOWS = 3  # windows a housing can hold
# optical density of red and blue for green = 1: gold-red, red latex, blue, black
COLOURS = (
    ((0.10, 0.38), (0.45, 0.95)),
    ((0.04, 0.20), (0.6, 1.05)),
    ((1.2, 1.8), (0.15, 0.6)),
    ((0.88, 1.1), (0.9, 1.12)),
)
COLOUR_SHARES = (0.68, 0.1, 0.12, 0.1)
GREY = ((0.85, 1.05), (0.95, 1.2))  # late, drying lines
FAINTEST = 0.004  # OD: below this a line teaches nothing
DENSE = 0.15  # share of control lines as dense as the densest real ones, OD up to 1.7


def draw_colour(draw: Draw, *, grey):
    """(B, 3) OD of red, green, blue for green = 1."""
    share = torch.tensor(COLOUR_SHARES, device=draw.device)
    kind = torch.multinomial(share.expand(draw.batch, -1), 1, generator=draw.generator)[
        :, 0
    ]
    ranges = torch.tensor(COLOURS, device=draw.device)[kind]
    grey_range = torch.tensor(GREY, device=draw.device)
    ranges = torch.where(grey[:, None, None], grey_range, ranges)
    unit = draw.uniform(0, 1, 2)
    ends = ranges[..., 0] + unit * (ranges[..., 1] - ranges[..., 0])
    one = torch.ones(draw.batch, device=draw.device)
    return torch.stack([ends[:, 0], one, ends[:, 1]], 1)


def draw_places(draw: Draw, *, length, width, three):
    """Centres (B, 4) mm along the window: C, T, second test line, a stray one."""
    apart = torch.minimum(
        width * draw.uniform(1.4, 2.6), length * draw.uniform(0.3, 0.6)
    )
    middle = length * draw.uniform(-0.12, 0.12)
    gap = torch.minimum(
        width * draw.uniform(1.25, 1.7), length * draw.uniform(0.24, 0.3)
    )
    control = torch.where(three, middle + gap, middle + apart / 2)
    test = torch.where(three, middle, middle - apart / 2)
    second = middle - gap
    stray = length * draw.uniform(-0.42, 0.42)
    free = draw.chance(0.12)
    control = torch.where(free, length * draw.uniform(-0.44, 0.44), control)
    test = torch.where(free, length * draw.uniform(-0.44, 0.44), test)
    return torch.stack([control, test, second, stray], 1)


def draw_densities(draw: Draw, *, three):
    """OD (B, WINDOWS, 4); 0 where there is no line."""
    shape = (WINDOWS,)
    strong = draw.spread(0.08, 0.9, *shape)
    strong = torch.where(
        draw.chance(DENSE, *shape), draw.spread(0.7, 1.7, *shape), strong
    )
    weak = draw.spread(0.01, 0.08, *shape)
    control = torch.where(draw.chance(0.12, *shape), weak, strong)
    control = control * draw.chance(0.92, *shape)
    tests = torch.where(
        draw.chance(0.35, *shape, 3),
        draw.spread(0.004, 0.06, *shape, 3),
        draw.spread(FAINTEST, 0.7, *shape, 3),
    )
    third = three[:, None].float() * 0.45
    here = torch.stack(
        [
            draw.chance(0.52, *shape).float(),
            (draw.uniform(0, 1, *shape) < third).float(),
            draw.chance(0.05, *shape).float(),
        ],
        -1,
    )
    return torch.cat([control[..., None], tests * here], -1)


def draw_lines(draw: Draw, *, length, width, three, grey_share=0.08):
    """Everything about the lines of one batch."""
    line_width = torch.where(
        draw.chance(0.25), draw.uniform(0.10, 0.2), draw.uniform(0.18, 0.34)
    )
    line_width = torch.where(draw.chance(0.08), draw.uniform(0.34, 0.5), line_width)
    each = width[:, None] * line_width[:, None] * draw.uniform(0.8, 1.25, SLOTS)
    each = torch.minimum(each, length[:, None] * 0.16)
    grey = draw.chance(grey_share)
    never = torch.zeros_like(grey)
    control, test = draw_colour(draw, grey=never), draw_colour(draw, grey=grey)
    same = (draw.chance(0.85) & ~grey)[:, None]
    test = torch.where(same, control * draw.uniform(0.93, 1.07, 3), test)
    test = test / test[:, 1:2]
    return {
        "places": draw_places(draw, length=length, width=width, three=three),
        "od": draw_densities(draw, three=three),
        "line_width": each,
        "soft": each * torch.where(draw.chance(0.3, SLOTS), draw.uniform(0.2, 0.4, SLOTS), draw.uniform(0.06, 0.2, SLOTS)),
        "tail": draw.uniform(0, 0.25, SLOTS) * draw.chance(0.5, SLOTS),
        "hollow": draw.uniform(0.1, 0.6, SLOTS) * draw.chance(0.12, SLOTS),
        "slant": draw.normal(SLOTS) * 0.02 + draw.normal(1) * 0.03,
        "bow": draw.normal(SLOTS) * 0.012,
        "ragged": torch.where(draw.chance(0.15, SLOTS), draw.uniform(0.1, 0.5, SLOTS), draw.uniform(0.02, 0.12, SLOTS)),
        "across": draw.noise(SLOTS, 9, 1),
        "grey": grey,
        "colour": torch.stack([control, test, test, test], 1),
    }  # fmt: skip


def _ground_colour(draw: Draw, calm):
    """(B, 3) light of the bare membrane: near white, or deep, dim and pinkish."""
    dim = draw.chance(0.45) & ~calm
    light = torch.where(dim, draw.uniform(0.28, 0.75), draw.uniform(0.65, 0.96))
    warm = draw.uniform(0, 0.3) * torch.where(dim, 1.0, 0.3)
    warm = torch.stack([torch.zeros_like(warm), warm, warm * draw.uniform(0.6, 1.3)], 1)
    return light[:, None] * (1 - warm) * (1 + 0.03 * draw.normal(3))


def draw_membrane(draw: Draw, *, level, calm_share=CALM):
    """Ground of the membrane; `level` holds one value a scene of each level column."""
    haze = level["haze"]
    calm = draw.chance(calm_share)
    blemished = ~calm
    streaky = draw.chance(level["streaky"]) & blemished
    patchy = draw.chance(level["patchy"]) & blemished
    reach = torch.where(patchy, draw.uniform(1.0, 5.0), torch.ones_like(haze))
    front = draw.chance(0.5 * level["patchy"]) & blemished
    faint_front = draw.chance(0.3) & calm
    return {
        "calm": calm,
        "base": _ground_colour(draw, calm),
        "haze": haze * draw.uniform(0, 1) * 0.6,
        "haze_slope": haze * draw.normal() * 0.5,
        "haze_bump": (haze * torch.where(patchy, 0.7, 0.15))[:, None] * draw.normal(2),
        "bump_at": draw.uniform(-0.5, 0.5, 2),
        "bump_wide": draw.uniform(0.15, 0.5, 2),
        "uneven": draw.uniform(level["uneven_low"], level["uneven_high"]) * reach,
        "uneven_noise": draw.noise(1, 8, 26),
        "broad_noise": draw.noise(1, 3, 5),
        "tint": draw.spread(0.0006, 0.003) * reach,
        "tint_noise": draw.noise(3, 3, 6),
        "grain": draw.spread(0.001, 0.012),
        "grain_noise": draw.noise(1, 40, 170),
        "streak": torch.where(streaky, draw.spread(0.006, 0.09), draw.spread(0.0005, 0.006)),
        "streak_noise": draw.noise(1, 22, 4),
        "front_od": (front * draw.spread(0.006, 0.12) + faint_front * draw.spread(0.001, 0.01)) * (2 * draw.chance(0.7).float() - 1),
        "front_at": draw.uniform(-0.5, 0.5),
        "front_soft": draw.spread(0.02, 0.2),
        "front_bow": draw.normal() * 0.05,
        "blood": (draw.chance(0.05) & blemished) * draw.spread(0.01, 0.4),
        "blood_at": draw.uniform(-0.8, 0.1),
        "blood_noise": draw.noise(1, 4, 8),
        "spots": (draw.chance(0.4 * level["patchy"]) & blemished) * draw.spread(0.02, 0.5),
        "spot_at": draw.uniform(-0.48, 0.48, 3, 2),
        "spot_wide": draw.spread(0.06, 0.3, 3),
        "end_step": (draw.chance(0.15, 2) & blemished[:, None]) * draw.normal(2) * 0.12,
        "end_at": draw.uniform(0.42, 0.5, 2),
        "end_dark": (draw.chance(0.15, 2) & blemished[:, None]) * draw.uniform(0, 0.25, 2),
    }  # fmt: skip


def line_density(scene, u, v, foot, window):
    """(B, 3, H, W) OD of all lines; `window` (B, H, W) says whose lines a pixel sees."""
    half = flat(scene["window_width"]) / 2
    across_at = torch.stack([torch.zeros_like(v), v / half], -1)
    ragged = torch.nn.functional.grid_sample(
        scene["across"], across_at, padding_mode="border", align_corners=False
    )
    total = u.new_zeros(u.shape[0], 3, *u.shape[1:])
    for k in range(SLOTS):
        od = sum(
            flat(scene["od"][:, w, k]) * (window == w).float() for w in range(WINDOWS)
        )
        wide, soft = flat(scene["line_width"][:, k]), flat(scene["soft"][:, k])
        soft = torch.sqrt(soft**2 + (0.25 * foot) ** 2)
        bend = flat(scene["slant"][:, k]) * v + flat(scene["bow"][:, k]) * (
            v * v - half**2 / 3
        )
        du = u - flat(scene["places"][:, k]) - bend
        shape = torch.sigmoid((wide / 2 - du.abs()) / soft) / torch.sigmoid(
            wide / 2 / soft
        )
        tail = (
            flat(scene["tail"][:, k])
            * (du > 0)
            * torch.exp(-du.clamp_min(0) / (0.8 * wide))
        )
        shape = torch.maximum(shape, tail)
        shape = shape * (
            1 - flat(scene["hollow"][:, k]) * torch.exp(-((du / (0.3 * wide)) ** 2))
        )
        uneven = (1 + flat(scene["ragged"][:, k]) * ragged[:, k]).clamp_min(0)
        total = (
            total
            + scene["colour"][:, k, :, None, None] * (od * shape * uneven)[:, None]
        )
    return total


def ground_density(scene, u, v):
    """(B, 3, H, W) OD of the membrane itself: haze, unevenness, streaks, blood, spots."""
    length, width = flat(scene["window_length"]), flat(scene["window_width"])
    x, y = u / length, v / width  # -.5 to .5 inside the window
    pink = flat(scene["haze"]) + flat(scene["haze_slope"]) * x
    for i in range(2):
        away = (x - flat(scene["bump_at"][:, i])) / flat(scene["bump_wide"][:, i])
        pink = pink + flat(scene["haze_bump"][:, i]) * torch.exp(-away * away)
    edge = (
        x - flat(scene["front_at"]) - flat(scene["front_bow"]) * (4 * y * y)
    ) / flat(scene["front_soft"])
    pink = pink + flat(scene["front_od"]) * torch.sigmoid(4 * edge)
    grey = flat(scene["uneven"]) * lookup(scene["uneven_noise"], 2 * x, 2 * y)[:, 0]
    grey = (
        grey + flat(scene["uneven"]) * lookup(scene["broad_noise"], 2 * x, 2 * y)[:, 0]
    )
    grey = (
        grey
        + flat(scene["grain"])
        * lookup(scene["grain_noise"], 2 * x, 2 * y, smooth=False)[:, 0]
    )
    streak = lookup(scene["streak_noise"], 1.6 * x, 2 * y)[:, 0].clamp_min(-0.4)
    pink = pink + flat(scene["streak"]) * streak
    stain = torch.sigmoid(
        6
        * (
            flat(scene["blood_at"])
            - 2 * x
            + 0.25 * lookup(scene["blood_noise"], 2 * x, 2 * y)[:, 0]
        )
    )
    blood = flat(scene["blood"]) * stain
    spots = torch.zeros_like(x)
    for i in range(3):
        gone = (u / width - flat(scene["spot_at"][:, i, 0]) * length / width) ** 2 + (
            y - flat(scene["spot_at"][:, i, 1])
        ) ** 2
        spots = spots + torch.exp(-gone / flat(scene["spot_wide"][:, i]) ** 2 * 8)
    grey = grey + flat(scene["spots"]) * spots
    colour = scene["colour"][:, 0, :, None, None]
    red = torch.tensor([0.12, 1.0, 1.15], device=u.device)[None, :, None, None]
    tint = lookup(scene["tint_noise"], 2 * x, 2 * y)
    tint = tint * scene["tint"][:, None, None, None]
    return pink[:, None] * colour + grey[:, None] + blood[:, None] * red + tint


def render_membrane(scene, u, v, foot, window):
    """(B, 3, H, W) linear light of membrane and of what shows beside the strip."""
    length, width = flat(scene["window_length"]), flat(scene["window_width"])
    od = ground_density(scene, u, v) + line_density(scene, u, v, foot, window)
    picture = scene["base"][:, :, None, None] * torch.pow(10.0, -od.clamp(-0.3, 2.5))
    for i, side in enumerate((-1, 1)):  # pads over the membrane's ends
        beyond = side * u / length - flat(scene["end_at"][:, i])
        share = cover(-beyond * length, foot)
        picture = picture * (1 + flat(scene["end_step"][:, i]) * share)[:, None]
        seam = torch.exp(-((beyond * length / 0.25) ** 2))
        picture = picture * (1 - flat(scene["end_dark"][:, i]) * seam)[:, None]
    aside = v - flat(scene["strip_shift"])
    strip = cover(aside.abs() - flat(scene["strip_half"]), foot)
    dark = flat(scene["gap_shade"]) * torch.exp(
        -(aside.abs() - flat(scene["strip_half"])).clamp_min(0) / (0.5 * width)
    )
    beside = scene["gap_colour"][:, :, None, None] * (1 - dark)[:, None]
    return beside + (picture - beside) * strip[:, None]
