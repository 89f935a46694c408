"""What the networks train on: whole photos, crops around a window, straight strips."""

import math
from dataclasses import dataclass

import torch
import torch.nn.functional as F

from training.camera import draw_camera, photograph, sensor_noise, to_linear
from training.copies import copied
from training.draw import Draw
from training.families import CALM, TRAINED_CAMERAS, TRAINED_FAMILIES
from training.housing import (
    draw_housing,
    draw_level,
    draw_light,
    draw_pose,
    window_centres,
)
from training.scene import draw_ground, project, render_card, window_corners

STRIP = (48, 256)
CROP = (96, 192)
VALID_BELOW = 0.955  # linear; sRGB .98 and brighter counts as clipped
MIX = (0.34, 0.46, 0.20)  # good, ordinary, bad
# canvas (rows, columns) and window length px: the sizes a window comes in
SIZES = (
    ((64, 144), (44, 120)),
    ((112, 304), (120, 260)),
    ((208, 560), (260, 500)),
    ((112, 304), (130, 270)),  # windows twice as long, drawn at half the size
)
HALVED = 3


class Engine:
    """The two costly steps; `speed_up` has them compiled for the GPU."""

    render = staticmethod(render_card)
    photograph = staticmethod(photograph)


def speed_up():
    """Compile the renderer and the camera; one graph for each shape of batch."""
    torch._dynamo.config.cache_size_limit = 64
    Engine.render = staticmethod(torch.compile(render_card, dynamic=False))
    Engine.photograph = staticmethod(torch.compile(photograph, dynamic=False))


LARGEST_COMPILED = 130_000  # pixels of a canvas; compiling the rarest size does not pay


def _paint(scene, pose, slide, size, ground):
    large = size[0] * size[1] > LARGEST_COMPILED or size == SIZES[2][0]
    render = render_card if large else Engine.render
    return render(scene, pose, slide, size, ground)


def _shoot(draw, light, camera, *, small=False):
    size = tuple(light.shape[2:])
    noise = sensor_noise(draw, size, small=small)
    large = size[0] * size[1] > LARGEST_COMPILED or size == SIZES[2][0]
    take = photograph if large else Engine.photograph
    return take(light, camera, noise, small)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Which housings and cameras scenes are drawn from."""

    families: tuple = TRAINED_FAMILIES
    cameras: tuple = TRAINED_CAMERAS
    mix: tuple = MIX
    calm: float = CALM


def halved(camera):
    """The camera of a photo drawn at half its size: what is lost to a pixel is less."""
    camera["electrons"] = camera["electrons"] * 4
    camera["quality"] = 100 - (100 - camera["quality"]) * 0.5
    camera["again"] = 100 - (100 - camera["again"]) * 0.5
    for key in ("blur_x", "blur_y", "softness", "sharpen_wide"):
        camera[key] = camera[key] * 0.5
    return camera


def _scene(draw, source, *, size, length_px, angle, offset, width_cap=1e6):
    level = draw_level(draw, source.mix)
    scene = draw_housing(
        draw, families=source.families, level=level, calm_share=source.calm
    )
    scene |= draw_light(draw, level=level, scene=scene)
    length_px = torch.minimum(length_px, width_cap * scene["aspect"])
    scale = length_px / scene["window_length"]
    pose, slide = draw_pose(
        draw, level=level, size=size, offset=offset, scale=scale, angle=angle
    )
    return level, scene, pose, slide


def crop_from(picture, crop_to_canvas, size, *, supersample=1, box=None):
    """Pixels (B, C, h, w) of a canvas seen through (B, 3, 3); border repeated.

    `box` (B, 4) x0 y0 x1 y1: the canvas is cut there first and its border repeated.
    """
    rows, columns = size
    step = 1 / supersample
    ys = torch.arange(rows * supersample, device=picture.device) * step + step / 2 - 0.5
    xs = (
        torch.arange(columns * supersample, device=picture.device) * step
        + step / 2
        - 0.5
    )
    gy, gx = torch.meshgrid(ys, xs, indexing="ij")
    points = torch.stack([gx, gy], -1).expand(picture.shape[0], -1, -1, -1)
    at = project(crop_to_canvas, points)
    if box is not None:
        low, high = box[:, None, None, :2], box[:, None, None, 2:]
        at = torch.maximum(torch.minimum(at, high), low)
    height, width = picture.shape[2:]
    scale = at.new_tensor([2 / width, 2 / height])
    shift = at.new_tensor([1 / width - 1, 1 / height - 1])
    out = F.grid_sample(
        picture, at * scale + shift, padding_mode="border", align_corners=False
    )
    return F.avg_pool2d(out, supersample) if supersample > 1 else out


def quad_map(corners, size):
    """(B, 3, 3) from pixels of a (rows, columns) picture to the quad `corners`."""
    rows, columns = size
    source = corners.new_tensor(
        [
            [-0.5, -0.5],
            [columns - 0.5, -0.5],
            [columns - 0.5, rows - 0.5],
            [-0.5, rows - 0.5],
        ]
    )
    x, y = source[:, 0], source[:, 1]
    batch = corners.shape[0]
    a = corners.new_zeros(batch, 8, 8)
    for k in range(4):
        u, v = corners[:, k, 0], corners[:, k, 1]
        a[:, 2 * k, 0], a[:, 2 * k, 1], a[:, 2 * k, 2] = x[k], y[k], 1
        a[:, 2 * k, 6], a[:, 2 * k, 7] = -x[k] * u, -y[k] * u
        a[:, 2 * k + 1, 3], a[:, 2 * k + 1, 4], a[:, 2 * k + 1, 5] = x[k], y[k], 1
        a[:, 2 * k + 1, 6], a[:, 2 * k + 1, 7] = -x[k] * v, -y[k] * v
    solved = torch.linalg.solve(a.double(), corners.reshape(batch, 8).double()).float()
    return torch.cat([solved, torch.ones_like(solved[:, :1])], 1).reshape(batch, 3, 3)


def straighten(picture, corners):
    """Strip (B, 4, 48, 256) of sRGB `picture` inside `corners` (B, 4, 2) px."""
    length = (corners[:, 1] - corners[:, 0]).norm(dim=-1).mean()
    supersample = int(max(1, min(4, math.ceil(float(length) / STRIP[1]))))
    light = crop_from(
        to_linear(picture), quad_map(corners, STRIP), STRIP, supersample=supersample
    )
    return normalise(light)


def normalise(light):
    """Linear strip to the networks' input: own white, and the valid plane."""
    valid = light.amax(1, keepdim=True) < VALID_BELOW
    values = torch.where(valid, light, torch.nan).flatten(2)
    white = torch.nanquantile(values[:, :, ::5], 0.8, dim=2)
    white = torch.nan_to_num(white, nan=1.0).clamp_min(0.01)[:, :, None, None]
    return torch.cat([(light / white).clamp(0, 4), valid.float()], 1)


def strips(draw: Draw, *, source=Source(), size=0, test_lines=True, true_pose=False):
    """Straight strips with the truth about their lines.

    Returns a dictionary: `strip` (B, 4, 48, 256), `x` (B, 4) px, `od` (B, 4),
    `grey` (B), `level` (B), `aspect` (B). `test_lines=False` gives the twin of the same
    seed whose only line is the control line.
    """
    canvas, lengths = SIZES[size]
    angle = draw.chance(0.5) * math.pi + draw.normal().clamp(-2.2, 2.2) * 0.055
    offset = draw.uniform(-4, 4, 2)
    level, scene, pose, slide = _scene(
        draw,
        source,
        size=canvas,
        length_px=draw.spread(*lengths),
        angle=angle,
        offset=offset,
        width_cap=0.6 * canvas[0],
    )
    if not test_lines:
        scene["od"][:, :, 1:] = 0
    ground = draw_ground(draw, (32, 32), detail=0)
    ground = F.interpolate(ground, size=canvas)
    light, _ = _paint(scene, pose, slide, canvas, ground)
    camera = draw_camera(draw, level=level, names=source.cameras)
    if size == HALVED:
        camera = halved(camera)
    picture = _shoot(draw, light, camera)
    corners = window_corners(scene, pose)[:, 0]
    flip = angle.cos() < 0
    corners = torch.where(flip[:, None, None], corners.roll(2, 1), corners)
    true = corners
    picture, scene["od"] = _cut_end(draw, picture, corners, scene, pose)
    corners = _wrong_corners(draw, corners)
    strip = straighten(picture, corners)
    got = _strip_truth(scene, pose, corners, level)
    got |= {"strip": strip, "picture": picture}
    if true_pose:
        got |= {"quad": true, "true_x": lambda quad: line_places(scene, pose, quad)}
    return got


def _wrong_corners(draw, corners):
    """Corners as the refiner leaves them: 1.2 % of length, 4.5 % of width, some worse."""
    along = corners[:, 1] - corners[:, 0]
    across = corners[:, 3] - corners[:, 0]
    worse = draw.spread(0.25, 2.2)[:, None, None]
    shared = draw.normal(1, 2) * 0.6
    error = (draw.normal(4, 2) + shared) * worse
    return (
        corners
        + error[..., :1] * 0.011 * along[:, None]
        + error[..., 1:] * 0.04 * across[:, None]
    )


def _cut_end(draw, picture, corners, scene, pose):
    """One picture in twelve ends inside the window: its border repeats, lines are lost."""
    cut = draw.chance(0.08)
    right = draw.chance(0.5)
    length = (corners[:, 1] - corners[:, 0]).norm(dim=-1)
    inward = draw.uniform(0, 0.22) * length
    far = picture.shape[3] - 1.0
    low = torch.where(cut & ~right, corners[:, [0, 3], 0].amax(1) + inward, 0.0)
    high = torch.where(cut & right, corners[:, [1, 2], 0].amin(1) - inward, far)
    columns = torch.arange(picture.shape[3], device=picture.device)[None]
    at = torch.maximum(torch.minimum(columns, high[:, None]), low[:, None]).long()
    picture = torch.gather(picture, 3, at[:, None, None].expand_as(picture))
    shift = scene["strip_shift"][:, None].expand(-1, 4)
    x = project(pose, torch.stack([scene["places"], shift], -1))[..., 0]
    seen = (x > low[:, None] + 1) & (x < high[:, None] - 1)
    return picture, scene["od"] * seen[:, None]


def line_places(scene, pose, corners):
    """Where the lines' centres lie along the strip of `corners` (B, 4): 0 to 256 px."""
    shift = scene["strip_shift"][:, None].expand(-1, 4)
    places = torch.stack([scene["places"], shift], -1)
    to_strip = torch.linalg.inv(quad_map(corners, STRIP).double()).float()
    return project(to_strip, project(pose, places))[..., 0] + 0.5


def wrong_start(draw, corners):
    """Crop map of a guess: of the quad itself, or with `draw` a rough one (4 % taps)."""
    if draw is not None:
        length = (corners[:, 1] - corners[:, 0]).norm(dim=-1)
        corners = corners + draw.normal(4, 2) * 0.04 * length[:, None, None]
    along = (corners[:, 1] + corners[:, 2] - corners[:, 0] - corners[:, 3]) / 2
    turn = torch.atan2(along[:, 1], along[:, 0])
    return _crop_map(corners.mean(1), turn, along.norm(dim=-1) / 96)


def _strip_truth(scene, pose, corners, level):
    return {
        "x": line_places(scene, pose, corners),
        "od": scene["od"][:, 0],
        "grey": scene["grey"],
        "colour": scene["colour"],
        "level": level["which"],
        "aspect": scene["aspect"],
        "wide": scene["line_width"] / scene["window_width"][:, None],
        "family": scene["family"],
        "length": (corners[:, 1] - corners[:, 0]).norm(dim=-1),
    }


def photos(draw: Draw, *, source=Source(), size=(288, 384), detail=7):
    """Whole photos at the finder's scale, and their windows.

    Returns `photo` (B, 3, H, W), `corners` (B, 6, 4, 2) px, `here` (B, 6).
    """
    height, width = size
    length_px = draw.spread(13, 0.42 * max(size))
    reach = torch.tensor([width, height], device=draw.device) / 2
    offset = draw.uniform(-1, 1, 2) * (
        reach - 0.3 * torch.minimum(length_px[:, None], reach)
    )
    angle = draw.uniform(0, 2 * math.pi)
    level, scene, pose, slide = _scene(
        draw, source, size=size, length_px=length_px, angle=angle, offset=offset
    )
    empty = draw.chance(0.08)
    scene["windows"] = torch.where(empty, 0, scene["windows"])
    ground = _ground(draw, size, detail)
    light, body = _paint(scene, pose, slide, size, ground)
    bare = draw.chance(0.06)
    light = torch.where(bare[:, None, None, None], ground.roll(3, 0), light)
    body = torch.where(bare[:, None, None], 0, body)
    corners = window_corners(scene, pose)
    here = window_centres(scene)[1] & ~bare[:, None]
    # a quarter of the photos show a second card, lying over the first
    second = draw.chance(0.25)
    over = body.roll(1, 0) * second[:, None, None]
    light = light + (light.roll(1, 0) - light) * over[:, None]
    here = here & ~_covered(over, corners)
    there = here.roll(1, 0) & second[:, None]
    here, corners = (
        torch.cat([here, there], 1),
        torch.cat([corners, corners.roll(1, 0)], 1),
    )
    camera = draw_camera(draw, level=level, names=source.cameras)
    for axis in ("blur_x", "blur_y"):
        camera[axis] = 0.3 + 0.3 * camera[axis]
    photo = _shoot(draw, light, camera, small=True)
    middle = corners.mean(2)
    inside = (
        (middle > 1).all(-1)
        & (middle[..., 0] < width - 2)
        & (middle[..., 1] < height - 2)
    )
    photo, corners, here = _turned(draw, photo, corners, here & inside)
    return {"photo": photo, "corners": corners, "here": here, "level": level["which"], "family": scene["family"]}  # fmt: skip


def _ground(draw, size, detail):
    """The surface below, mostly made at half the size, which is much cheaper."""
    fine = torch.rand((), generator=draw.generator, device=draw.device).item() < 0.25
    if fine:
        return draw_ground(draw, size, detail=detail)
    half = draw_ground(draw, (size[0] // 2, size[1] // 2), detail=detail)
    return F.interpolate(half, size=size, mode="bilinear", align_corners=False)


def _turned(draw, photo, corners, here):
    """Half of the batches upright: the photo turned a quarter, and cut at times."""
    turn, cut = torch.randint(
        0, 4, (2,), generator=draw.generator, device=draw.device
    ).tolist()
    if turn % 2:
        width = photo.shape[3]
        photo = photo.rot90(1, (2, 3))
        x, y = corners.unbind(-1)
        corners = torch.stack([y, width - 1 - x], -1)
    if cut == 0:
        rows = photo.shape[2] * 3 // 4 // 32 * 32
        photo = photo[:, :, :rows]
        here = here & (corners.mean(2)[..., 1] < rows - 2)
    return photo, corners, here


def _covered(over, corners):
    """Is a window's middle under the second card? (B, WINDOWS)"""
    height, width = over.shape[1:]
    middle = corners.mean(2)
    at = torch.stack(
        [
            (middle[..., 0] + 0.5) * 2 / width - 1,
            (middle[..., 1] + 0.5) * 2 / height - 1,
        ],
        -1,
    )
    seen = F.grid_sample(over[:, None], at[:, None], align_corners=False)
    return seen[:, 0, 0] > 0.05


def _candidate(draw, corners, *, wild, length_px):
    """(B, 3, 3) crop to canvas along a rough guess; the guess's length is `length_px`."""
    centre = corners.mean(1)
    along = (corners[:, 1] + corners[:, 2] - corners[:, 0] - corners[:, 3]) / 2
    length = along.norm(dim=-1)
    loose = torch.where(wild, 0.5, 0.055)
    centre = centre + draw.normal(2) * (loose * length)[:, None]
    angle = torch.atan2(along[:, 1], along[:, 0]) + draw.normal() * torch.where(
        wild, 0.6, 0.07
    )
    angle = angle + draw.chance(0.5) * math.pi
    scale = (
        length * torch.exp(draw.normal() * torch.where(wild, 0.45, 0.13)) / length_px
    )
    return _crop_map(centre, angle, scale)


def _crop_map(centre, angle, scale):
    """Crop px to canvas px: the crop's middle at `centre`, turned, `scale` px a px."""
    c, s = angle.cos() * scale, angle.sin() * scale
    middle = centre.new_tensor([(CROP[1] - 1) / 2, (CROP[0] - 1) / 2])
    x = centre[:, 0] - c * middle[0] + s * middle[1]
    y = centre[:, 1] - s * middle[0] - c * middle[1]
    zero, one = torch.zeros_like(c), torch.ones_like(c)
    return torch.stack([c, -s, x, s, c, y, zero, zero, one], 1).reshape(-1, 3, 3)


def _cut(draw, corners):
    """A picture cut to about the window: its box (B, 4) on the canvas, its crop map."""
    low, high = corners.amin(1), corners.amax(1)
    span = high - low
    tall = span[:, 1] > span[:, 0]
    long, short = span.amax(1), span.amin(1)
    long_rim = (draw.uniform(-0.03, 0.24, 2) * long[:, None]).clamp_min(-3)
    short_rim = (draw.uniform(-0.05, 1.0, 2) * short[:, None]).clamp_min(-2)
    x_rim = torch.where(tall[:, None], short_rim, long_rim)
    y_rim = torch.where(tall[:, None], long_rim, short_rim)
    box = torch.stack(
        [low[:, 0] - x_rim[:, 0], low[:, 1] - y_rim[:, 0], high[:, 0] + x_rim[:, 1], high[:, 1] + y_rim[:, 1]], 1
    )  # fmt: skip
    size = box[:, 2:] - box[:, :2]
    angle = torch.where(size[:, 1] > size[:, 0], math.pi / 2, 0.0)
    angle = angle + draw.chance(0.5) * math.pi
    long_side = size.amax(1)
    scale = 0.85 * long_side * torch.exp(draw.normal() * 0.06) / 96
    centre = (box[:, 2:] + box[:, :2]) / 2 + draw.normal(2) * 0.015 * long_side[:, None]
    return box, _crop_map(centre, angle, scale)


def _crop_scene(draw, source, *, canvas, lengths, straight, mirrored=False):
    quarter = draw.among(4) * (math.pi / 2) + draw.normal() * 0.08
    angle = torch.where(straight, quarter, draw.uniform(0, 2 * math.pi))
    level, scene, pose, slide = _scene(
        draw, source, size=canvas, length_px=draw.spread(*lengths), angle=angle,
        offset=draw.normal(2) * 4,
    )  # fmt: skip
    if mirrored:  # lines on either side tell nothing of the direction
        scene["places"] = scene["places"] * (1 - 2 * draw.chance(0.5).float())[:, None]
    scene["windows"] = torch.where(draw.chance(0.05), 0, scene["windows"])
    ground = F.interpolate(draw_ground(draw, (64, 64), detail=3), size=canvas)
    light, _ = _paint(scene, pose, slide, canvas, ground)
    camera = draw_camera(draw, level=level, names=source.cameras)
    calm = draw.chance(0.5)
    camera["electrons"] = camera["electrons"] * torch.where(calm, 6.0, 1.0)
    for axis in ("blur_x", "blur_y"):
        camera[axis] = camera[axis] * torch.where(calm, 0.6, 1.0)
    return level, scene, pose, _shoot(draw, light, camera)


def crops(draw: Draw, *, source=Source(), canvas=(256, 256)):
    """Crops for the refiner: `crop`, `corners` (B, 4, 2) px, `window` (B) 1, 0 or -1."""
    is_cut = draw.chance(0.4)
    straight = is_cut & draw.chance(0.88)
    level, scene, pose, picture = _crop_scene(
        draw, source, canvas=canvas, lengths=(34, 112), straight=straight
    )
    quads = window_corners(scene, pose)
    here = window_centres(scene)[1]
    wild = draw.chance(0.3) & ~is_cut
    guess = _candidate(draw, quads[:, 0], wild=wild, length_px=96)
    box, cut_map = _cut(draw, quads[:, 0])
    whole = torch.tensor([0.0, 0, canvas[1] - 1, canvas[0] - 1], device=draw.device)
    box = torch.where(
        is_cut[:, None],
        torch.maximum(torch.minimum(box, whole[[2, 3, 2, 3]]), whole[[0, 1, 0, 1]]),
        whole,
    )
    crop_map = torch.where(is_cut[:, None, None], cut_map, guess)
    crop = crop_from(picture, crop_map, CROP, supersample=2, box=box)
    back = torch.linalg.inv(crop_map.double()).float()
    inside = project(back, quads)  # (B, WINDOWS, 4, 2)
    middle = inside.new_tensor([(CROP[1] - 1) / 2, (CROP[0] - 1) / 2])
    away = (inside.mean(2) - middle).norm(dim=-1) + (~here) * 1e4
    nearest = away.argmin(1)
    corners = inside[torch.arange(draw.batch, device=draw.device), nearest]
    along = (corners[:, 1] + corners[:, 2] - corners[:, 0] - corners[:, 3]) / 2
    corners = torch.where((along[:, 0] < 0)[:, None, None], corners.roll(2, 1), corners)
    length = along.norm(dim=-1)
    steep = (along[:, 1] / length.clamp_min(1)).abs()
    share = away.amin(1) / length.clamp_min(1)
    ratio = length / 96
    right = (share < 0.3) & (steep < 0.5) & (ratio > 0.55) & (ratio < 1.7)
    wrong = (share > 0.55) | (steep > 0.8) | (ratio < 0.35) | (ratio > 2.6)
    window = torch.where(right, 1, torch.where(wrong, 0, -1))
    window = torch.where(is_cut & here[:, 0], 1, window)
    window = torch.where(here.any(1), window, 0)
    return {"crop": crop, "corners": corners, "window": window, "cut": is_cut, "level": level["which"], "family": scene["family"]}  # fmt: skip


def flows(draw: Draw, *, source=Source(), canvas=(256, 256)):
    """Crops with the membrane blanked: `crop`, `left` (B): the sample well is left."""
    level, scene, pose, picture = _crop_scene(
        draw,
        source,
        canvas=canvas,
        lengths=(34, 58),
        straight=draw.chance(0.3),
        mirrored=True,
    )
    quad = _wrong_corners(draw, window_corners(scene, pose)[:, 0])
    centre = quad.mean(1)
    along = (quad[:, 1] + quad[:, 2] - quad[:, 0] - quad[:, 3]) / 2
    turned = draw.chance(0.5)
    angle = torch.atan2(along[:, 1], along[:, 0]) + turned * math.pi
    crop_map = _crop_map(centre, angle, along.norm(dim=-1) / 48)
    crop = crop_from(picture, crop_map, CROP)
    corners = project(torch.linalg.inv(crop_map.double()).float(), quad)
    return {"crop": blank(crop, corners), "left": ~turned, "wells": scene["wells"], "level": level["which"], "family": scene["family"]}  # fmt: skip


PATCH = 96


def surfaces(draw: Draw, *, source=Source(), canvas=(112, 304)):
    """Pixels as the camera stored them: `patch` (B, 3, 96, 96), `copy` (B).

    `copy`: what was photographed is a display or a print of a strip.
    """
    level, scene, pose, slide = _scene(
        draw,
        source,
        size=canvas,
        length_px=draw.spread(50, 600),
        angle=draw.uniform(0, 2 * math.pi),
        offset=draw.normal(2) * 6,
    )
    ground = F.interpolate(draw_ground(draw, (64, 64), detail=3), size=canvas)
    light, _ = _paint(scene, pose, slide, canvas, ground)
    copy = draw.chance(0.4)
    light = copied(draw, light, copy.float())
    camera = draw_camera(draw, level=level, names=source.cameras)
    picture = _shoot(draw, light, camera)
    low = torch.stack(
        [
            draw.uniform(0, canvas[1] - PATCH),
            draw.uniform(0, canvas[0] - PATCH),
        ],
        1,
    ).floor()
    steps = torch.arange(PATCH, device=draw.device)
    at = low[:, :, None] + steps  # (B, 2, 96): columns, rows
    small = draw.chance(0.3)[:, None]  # a picture that ends near its window
    rim = draw.uniform(0, 0.35, 2) * PATCH
    high = torch.where(small, low + PATCH - 1 - rim, low + PATCH - 1).floor()
    first = torch.where(small, low + draw.uniform(0, 0.35, 2) * PATCH, low).floor()
    at = torch.maximum(torch.minimum(at, high[..., None]), first[..., None]).long()
    rows = at[:, 1, None, :, None].expand(-1, 3, -1, canvas[1])
    patch = torch.gather(picture, 2, rows)
    patch = torch.gather(patch, 3, at[:, 0, None, None, :].expand(-1, 3, PATCH, -1))
    return {"patch": patch, "copy": copy, "level": level["which"], "family": scene["family"]}  # fmt: skip


def blank(crop, corners):
    """The inside of `corners` (B, 4, 2) painted with its own median colour."""
    ys, xs = torch.meshgrid(
        torch.arange(CROP[0], device=crop.device),
        torch.arange(CROP[1], device=crop.device),
        indexing="ij",
    )
    inside = torch.ones(crop.shape[0], *CROP, device=crop.device, dtype=torch.bool)
    area = sum(
        corners[:, k, 0] * corners[:, (k + 1) % 4, 1]
        - corners[:, (k + 1) % 4, 0] * corners[:, k, 1]
        for k in range(4)
    ).sign()
    for k in range(4):
        a, b = corners[:, k, :, None, None], corners[:, (k + 1) % 4, :, None, None]
        side = (b[:, 0] - a[:, 0]) * (ys - a[:, 1]) - (b[:, 1] - a[:, 1]) * (
            xs - a[:, 0]
        )
        inside &= side * area[:, None, None] >= 0
    values = torch.where(inside[:, None], crop, torch.nan).flatten(2)
    middle = torch.nan_to_num(values.nanmedian(2).values, nan=0.5)
    return torch.where(inside[:, None], middle[:, :, None, None], crop)
