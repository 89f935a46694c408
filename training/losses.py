"""What each network is asked to get right."""

import math

import torch
import torch.nn.functional as F

from training.membrane import FAINTEST
from training.nets import STRIP_BINS

BIN = 4  # px of the strip
CELL = 4  # px of the photo


def line_targets(got):
    """Label and weight (B, 64) of every bin, and the bins of the lines."""
    x, od = got["x"], got["od"]
    active = (od >= FAINTEST) & (x > 3) & (x < 253)
    there = (od > 0) & (x > -12) & (x < 268)
    bins = torch.arange(STRIP_BINS, device=x.device)
    centre = (x / BIN).floor().clamp(0, STRIP_BINS - 1)
    away = (bins[None, None] - centre[..., None]).abs()
    near = ((away <= 2) & there[..., None]).any(1)
    label = ((away == 0) & active[..., None]).any(1)
    return label.float(), (~near | label).float(), centre.long(), active


def lines_loss(net, got):
    label, weight, centre, active = line_targets(got)
    out = net(got["strip"]).float()
    wrong = F.binary_cross_entropy_with_logits(out[:, 0], label, reduction="none")
    hit = (wrong * weight).sum(1).mean()
    here = active.float()
    at = centre[:, None].expand(-1, 3, -1)
    offset, log_od, log_sd = torch.gather(out[:, 1:], 2, at).unbind(1)
    od = got["od"].clamp_min(1e-4)
    clear = here * (od / 0.03).clamp(0.05, 1)
    miss = F.smooth_l1_loss(
        offset, got["x"] - (centre * BIN + BIN / 2), reduction="none"
    )
    error = (log_od - od.log()) / log_sd.exp()
    density = log_sd + 0.5 * error.clamp(-8, 8) ** 2
    count = here.sum().clamp_min(1)
    loss = (
        hit
        + 0.15 * (miss * clear).sum() / count
        + 0.15 * (density * here).sum() / count
    )
    return loss, {"hit": hit, "offset": (miss * clear).sum() / clear.sum(), "density": (density * here).sum() / count}  # fmt: skip


def finder_targets(got, shape):
    """Heat (B, h, w) and, per cell, the window it may speak for (B, 6, h, w) masks."""
    rows, columns = shape
    corners, here = got["corners"], got["here"]
    along = (
        corners[:, :, 1] + corners[:, :, 2] - corners[:, :, 0] - corners[:, :, 3]
    ) / 2
    across = (
        corners[:, :, 3] + corners[:, :, 2] - corners[:, :, 0] - corners[:, :, 1]
    ) / 2
    middle = corners.mean(2)
    ys, xs = torch.meshgrid(
        torch.arange(rows, device=corners.device),
        torch.arange(columns, device=corners.device),
        indexing="ij",
    )
    cx, cy = (middle[..., 0] + 0.5) / CELL - 0.5, (middle[..., 1] + 0.5) / CELL - 0.5
    dx = xs - cx[..., None, None]
    dy = ys - cy[..., None, None]
    wide = (across.norm(dim=-1) / CELL / 3).clamp(0.7, 3)[..., None, None]
    heat = torch.exp(-0.5 * (dx**2 + dy**2) / wide**2) * here[..., None, None]
    peak = (dx.round() == 0) & (dy.round() == 0) & here[..., None, None]
    heat = torch.where(peak, 1.0, heat)
    near = (dx.abs() < 1.6) & (dy.abs() < 1.6) & here[..., None, None]
    angle = torch.atan2(along[..., 1], along[..., 0])
    values = torch.stack(
        [
            torch.cos(2 * angle),
            torch.sin(2 * angle),
            (along.norm(dim=-1) / 32).clamp_min(0.01).log(),
            (across.norm(dim=-1) / 8).clamp_min(0.01).log(),
        ],
        -1,
    )
    return heat.amax(1), near, dx, dy, values


def finder_loss(net, got):
    out = net(got["photo"]).float()
    heat, near, dx, dy, values = finder_targets(got, out.shape[-2:])
    logit = out[:, 0]
    share = logit.sigmoid()
    peak = heat >= 0.999
    up = F.softplus(-logit) * (1 - share) ** 2 * peak
    down = F.softplus(logit) * share**2 * (1 - heat) ** 4 * ~peak
    count = peak.sum().clamp_min(1)
    focal = (up.sum() + down.sum()) / count
    near = near.float()
    total = near.sum().clamp_min(1)
    place = ((out[:, None, 1] + dx).abs() + (out[:, None, 2] + dy).abs()) * near
    want = values[..., None, None]
    spin = ((out[:, None, 3:5] - want[:, :, :2]).abs().sum(2) * near).sum() / total
    size = ((out[:, None, 5:7] - want[:, :, 2:]).abs().sum(2) * near).sum() / total
    shift = place.sum() / total
    return focal + 0.3 * shift + 0.5 * spin + 0.7 * size, {"focal": focal, "shift": shift, "spin": spin, "size": size}  # fmt: skip


def refiner_loss(net, got):
    corners, log_sd, logit = (part.float() for part in net(got["crop"]))
    known = got["window"] >= 0
    is_window = (got["window"] == 1).float()
    sure = F.binary_cross_entropy_with_logits(logit, is_window, reduction="none")
    sure = (sure * known).sum() / known.sum().clamp_min(1)
    want = got["corners"]
    error = corners.reshape(-1, 4, 2) - want
    scale = error.new_tensor([1.0, 2.5])  # the short side needs the finer eye
    far = F.smooth_l1_loss(
        error * scale, torch.zeros_like(error), reduction="none"
    ).clamp_max(60)
    count = is_window.sum().clamp_min(1)
    place = (far.mean((1, 2)) * is_window).sum() / count
    length = (want[:, 1] - want[:, 0]).norm(dim=-1).clamp_min(4)
    size = error.square().sum(-1).mean(-1).add(1e-4).sqrt() / length
    log_sd = log_sd.clamp(-6, 1)
    spread = ((log_sd + size.detach() / log_sd.exp()) * is_window).sum() / count
    return place + 0.5 * sure + 0.05 * spread, {"place": place, "sure": sure, "spread": spread, "error": (size * is_window).sum() / count}  # fmt: skip


def flow_loss(net, got):
    logit = net(got["crop"]).float()
    loss = F.binary_cross_entropy_with_logits(logit, got["left"].float())
    right = ((logit > 0) == got["left"]).float().mean()
    return loss, {"right": right}


def surface_loss(net, got):
    logit = net(got["patch"]).float()
    truth = got["copy"].float()
    loss = F.binary_cross_entropy_with_logits(logit, truth)
    found = ((logit > 3) & got["copy"]).sum() / truth.sum().clamp_min(1)
    wrong = ((logit > 3) & ~got["copy"]).sum() / (1 - truth).sum().clamp_min(1)
    return loss, {"found": found, "wrong": wrong}


def peaks(logit, threshold, count):
    """Bins (B, count) of the strongest local maxima and whether each is above."""
    top = F.max_pool1d(logit[:, None], 5, 1, 2)[:, 0]
    best = torch.where(logit >= top, logit, -30.0).topk(count, 1)
    return best.indices, best.values > threshold


def paint_over(strip, x, half, shown):
    """Bands of `half` (B) px around `x` (B, K) px bridged from both sides, if `shown`."""
    columns = torch.arange(strip.shape[3], device=strip.device) + 0.5
    for k in range(x.shape[1]):
        away = columns[None] - x[:, k, None]
        band = (away.abs() <= half[:, None]) & shown[:, k, None]
        sides = []
        for sign in (-1, 1):
            beyond = sign * away - half[:, None]
            mask = ((beyond > 0) & (beyond <= 4)).float()
            total = mask.sum(1)
            mean = torch.einsum("bchw,bw->bch", strip[:, :3], mask)
            mean = mean / total.clamp_min(1)[:, None, None]
            mean = F.avg_pool1d(mean, 9, 1, 4, count_include_pad=False)
            sides.append((mean, total > 0))
        (left, has_left), (right, has_right) = sides
        left_side = torch.where(has_left[:, None, None], left, right)
        right_side = torch.where(has_right[:, None, None], right, left)
        t = ((away / half[:, None] + 1) / 2).clamp(0, 1)[:, None, None]
        fill = left_side[..., None] + (right_side - left_side)[..., None] * t
        rgb = torch.where(band[:, None, None], fill, strip[:, :3])
        strip = torch.cat([rgb, strip[:, 3:]], 1)
    return strip


def band_half(aspect):
    """Half-width (px) of the band painted over a line."""
    return (0.28 * 256 / aspect).clamp(8, 40)


def stands_alone(x, od, *, apart=20, rim=10):
    """Lines (B, 4) at least `rim` px inside the strip, `apart` px from any other line."""
    away = (x[:, :, None] - x[:, None]).abs()
    away = torch.where(od[:, None] > 0, away, 999.0)
    away = away + 999 * torch.eye(x.shape[1], device=x.device)
    return (away.amin(2) >= apart) & (x > rim) & (x < 256 - rim)


def both_ways(reader, strip):
    """Logit (B, 64) of a line, mean of the strip seen from both ends, as in reading."""
    there = reader(strip).float()[:, 0]
    back = reader(strip.flip((2, 3))).float()[:, 0]
    return (there + back.flip(1)) / 2


def quality_loss(net, got, *, reader, threshold, draw):
    """`got` with lines, `got["twin"]` the same photos without test lines."""
    with torch.no_grad():
        logit = both_ways(reader, got["strip"])
        _, _, centre, active = line_targets(got)
        near = F.max_pool1d(logit[:, None], 3, 1, 1)[:, 0]
        found = torch.gather(near, 1, centre) > threshold
        judged = active & stands_alone(got["x"], got["od"], apart=36, rim=31)
        judged &= got["wide"] < 0.36
        judged[:, 0] = False
        use_twin = draw.chance(0.5)
        strip = torch.where(use_twin[:, None, None, None], got["twin"], got["strip"])
        logit = both_ways(reader, strip)
        bins, shown = peaks(logit, threshold, 4)
        shown[:, :2] = True  # always two bands, found or not
        half = band_half(got["aspect"])
        strip = paint_over(strip, bins * BIN + BIN / 2.0, half, shown)
        # the judged lines themselves, seen or not, and bands where nothing is
        always = judged & ~use_twin[:, None]
        strip = paint_over(strip, got["x"], half, always)
        extra = draw.uniform(8, 248, 2)
        strip = paint_over(strip, extra, half, draw.chance(0.35, 2))
    middle, log_spread = net.both(strip)
    z = (
        got["od"].clamp_min(1e-4).log() - middle.float()[:, None]
    ) / log_spread.float().exp()[:, None]
    chance = 0.5 * (1 + torch.erf(z / math.sqrt(2)))
    chance = 0.002 + 0.996 * chance
    wrong = -torch.where(found, chance, 1 - chance).log()
    loss = (wrong * judged).sum() / judged.sum().clamp_min(1)
    return loss, {"lod50": middle.exp().mean()}
