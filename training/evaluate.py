"""Figures on simulated strips nobody trained on, end to end from rough corners.

    python -m training.evaluate CHECKPOINTS --out FILE.npz [--count 4000]

Pictures around a window are drawn anew (own seeds; `unseen`: held-out housings and the
held-out camera), corners come from the refiner started from a rough box, strips are
straightened with those corners, `lines` runs on the strip and its three mirror images.
Outputs and truth are kept, so that thresholds can be set without torch.
"""

import argparse
from dataclasses import replace

import numpy as np
import torch

from training.draw import Draw
from training.families import FAMILIES, HELD_OUT_CAMERAS, HELD_OUT_FAMILIES, LEVELS
from training.losses import band_half, paint_over, peaks, stands_alone
from training.products import (
    CROP,
    Source,
    crop_from,
    straighten,
    strips,
    surfaces,
    wrong_start,
)
from training.scene import project
from training.train import load

SEED = 77_000_000  # far from the training seeds
SOURCES = {
    "seen": Source(),
    "unseen": Source(families=HELD_OUT_FAMILIES, cameras=HELD_OUT_CAMERAS),
    "calm": Source(families=HELD_OUT_FAMILIES, cameras=HELD_OUT_CAMERAS, calm=1.0),
}


def four_ways(lines, strip):
    """Mean of `lines` over the strip and its mirror images (B, 4, 64)."""
    out = lines(strip) + lines(strip.flip(2))
    back = lines(strip.flip(3)) + lines(strip.flip((2, 3)))
    back = back.flip(2)
    back[:, 1] = -back[:, 1]
    return (out + back) / 4


def own_corners(refiner, picture, start):
    """Corners (B, 4, 2) after two passes of the refiner from `start` crop maps."""
    for _ in range(2):
        crop = crop_from(picture, start, CROP, supersample=2)
        corners, log_sd, logit = refiner(crop)
        quad = project(start, corners.reshape(-1, 4, 2))
        start = wrong_start(None, quad)
    return quad, log_sd, logit


def read_batch(nets, *, seed, size, source, test_lines, device):
    """Everything the networks say about one batch, with its truth."""
    draw = Draw(batch=(256, 128, 48, 128)[size], device=device, seed=seed)
    got = strips(draw, size=size, source=source, test_lines=test_lines, true_pose=True)
    rough = Draw(batch=draw.batch, device=device, seed=seed + 1)
    start = wrong_start(rough, got["quad"])
    quad, log_sd, logit = own_corners(nets["refiner"], got["picture"], start)
    strip = straighten(got["picture"], quad)
    line = four_ways(nets["lines"], strip)
    bins, _ = peaks(line[:, 0], 0.0, 2)
    over = paint_over(
        strip, bins * 4 + 2.0, band_half(got["aspect"]), torch.ones_like(bins).bool()
    )
    error = (quad - got["quad"]).norm(dim=-1).square().mean(1).sqrt() / got["length"]
    kept = {"line": line.half(), "lod": nets["quality"](over), "x": got["true_x"](quad), "od": got["od"], "grey": got["grey"], "level": got["level"], "family": got["family"], "aspect": got["aspect"], "length": got["length"], "corner_error": error, "log_sd": log_sd, "logit": logit}  # fmt: skip
    return {
        key: value.float()
        .cpu()
        .numpy()
        .astype(np.float16 if key == "line" else np.float32)
        for key, value in kept.items()
    }


def collect(nets, *, source, level, count, test_lines, device, seed):
    mix = tuple(float(name == level) for name in LEVELS)
    source = replace(source, mix=mix)
    rows, have, step = [], 0, 0
    while have < count:
        one = read_batch(
            nets,
            seed=seed + 2 * step,
            size=(0, 1, 3, 1, 2)[step % 5],
            source=source,
            test_lines=test_lines,
            device=device,
        )
        rows.append(one)
        have += len(one["od"])
        step += 1
    return {key: np.concatenate([row[key] for row in rows]) for key in rows[0]}


def strongest_false(data):
    """Highest logit away from every true line (N)."""
    bins = np.arange(64) * 4 + 2
    far = np.ones((len(data["od"]), 64), bool)
    for k in range(4):
        there = (data["od"][:, k] > 0)[:, None]
        far &= ~(there & (np.abs(bins[None] - data["x"][:, k : k + 1]) < 16))
    return np.where(far, data["line"][:, 0].astype(np.float32), -30).max(1)


def logit_at_test(data):
    """Logit within 6 px of T, and its OD; only where T lies inside the strip."""
    x, od = data["x"][:, 1], data["od"][:, 1]
    bins = np.arange(64) * 4 + 2
    near = np.abs(bins[None] - x[:, None]) <= 6
    value = np.where(near, data["line"][:, 0].astype(np.float32), -30).max(1)
    use = stands_alone(torch.from_numpy(data["x"]), torch.from_numpy(data["od"]))
    use = (od > 0) & use[:, 1].numpy()
    return value[use], od[use], use


def od95(od, found):
    """OD found 95 and 50 % of the time: best logistic in ln OD, by a fine grid."""
    x = np.log(od)
    best = (-np.inf, np.nan, np.nan)
    for middle in np.log(np.geomspace(0.002, 0.6, 120)):
        for slope in np.geomspace(0.7, 12, 30):
            p = 0.002 + 0.996 / (1 + np.exp(-np.clip(slope * (x - middle), -30, 30)))
            likely = np.where(found > 0, np.log(p), np.log1p(-p)).sum()
            if likely > best[0]:
                best = (likely, np.exp(middle + np.log(19) / slope), np.exp(middle))
    return float(best[1]), float(best[2])


COPY_LOGIT = 3.0  # as in reading/tuning.py


def copies_told(net, *, source, level, device, batches=8) -> str:
    """Displays and prints told as such, and strips taken for one, at `COPY_LOGIT`."""
    mix = tuple(float(name == level) for name in LEVELS)
    found, copies, wrong, strips_seen = 0, 0, 0, 0
    for step in range(batches):
        draw = Draw(batch=256, device=device, seed=SEED + 9_000_000 + step)
        got = surfaces(draw, source=replace(source, mix=mix))
        told = net(got["patch"]) > COPY_LOGIT
        found += int((told & got["copy"]).sum())
        wrong += int((told & ~got["copy"]).sum())
        copies += int(got["copy"].sum())
        strips_seen += int((~got["copy"]).sum())
    return f"copies told {found} of {copies}, strips taken for one {wrong} of {strips_seen}"


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("checkpoints")
    asked.add_argument("--out", required=True)
    asked.add_argument("--count", type=int, default=4000)
    said = asked.parse_args()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    nets = {
        n: load(n, said.checkpoints, device)
        for n in ("refiner", "lines", "quality", "surface")
    }
    with torch.no_grad():
        for name in ("seen", "unseen"):
            for level in LEVELS:
                told = copies_told(
                    nets["surface"], source=SOURCES[name], level=level, device=device
                )
                print(f"{name} {level}: {told}", flush=True)
    kept, threshold = {}, None
    with torch.no_grad():
        for name, source in SOURCES.items():
            for i, level in enumerate(LEVELS):
                seed = SEED + 100_000 * i + 1_000_000 * (name != "seen")
                pair = {}
                for arm, lines in (("line", True), ("none", False)):
                    pair[arm] = collect(
                        nets,
                        source=source,
                        level=level,
                        count=said.count,
                        test_lines=lines,
                        device=device,
                        seed=seed,
                    )
                    for key, value in pair[arm].items():
                        kept[f"{name}.{level}.{arm}.{key}"] = value
        false = np.concatenate(
            [
                strongest_false(
                    {k: kept[f"seen.{lv}.none.{k}"] for k in ("line", "od", "x")}
                )
                for lv in ("good", "ordinary")
            ]
        )
        threshold = float(np.quantile(false, 0.99))
    print(f"threshold {threshold:.3f} (99 % of seen good + ordinary negatives)")
    for name in SOURCES:
        for level in LEVELS:
            report(kept, name, level, threshold)
    kept["threshold"] = np.float32(threshold)
    np.savez_compressed(said.out, **kept)


def report(kept, name, level, threshold) -> None:
    """One line of figures: all strips, then the strips quality keeps at lod95 <= .02."""
    arm = {
        a: {
            k.split(".")[-1]: v
            for k, v in kept.items()
            if k.startswith(f"{name}.{level}.{a}.")
        }
        for a in ("line", "none")
    }
    false = strongest_false(arm["none"])
    value, od, use = logit_at_test(arm["line"])
    every = od95(od, (value > threshold).astype(float))
    keep_line, keep_none = (np.exp(arm[a]["lod"]) <= 0.02 for a in ("line", "none"))
    k = keep_line[use]
    kept95 = (
        od95(od[k], (value[k] > threshold).astype(float))
        if k.sum() > 50
        else (np.nan, np.nan)
    )
    false_kept = (false[keep_none] > threshold).mean() if keep_none.any() else np.nan
    print(
        f"{name} {level}: n {len(false)}, false alarms {(false > threshold).mean():.4f} (kept {false_kept:.4f}), "
        f"OD95 {every[0]:.4f} OD50 {every[1]:.4f}; kept {keep_none.mean():.3f} without / {keep_line.mean():.3f} with a line, OD95 kept {kept95[0]:.4f}; "
        f"corner error median {np.median(arm['none']['corner_error']):.4f} p95 {np.quantile(arm['none']['corner_error'], 0.95):.4f}",
        flush=True,
    )


if __name__ == "__main__":
    assert set(HELD_OUT_FAMILIES) <= set(FAMILIES)
    main()
