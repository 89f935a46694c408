"""Do real pictures lie inside what the simulator makes? A table of both.

    python -m training.compare CHECKPOINTS REAL_FOLDER [--count 80] [--figure FILE.svg]

REAL_FOLDER holds pictures cut to about the window. Both kinds are straightened with the
refiner and measured alike. Looking only: nothing is trained or set from it.
"""

import argparse
from pathlib import Path

import numpy as np
import torch
from PIL import Image

from training.compare_figure import figure
from training.draw import Draw
from training.evaluate import own_corners
from training.products import crop_from, quad_map, strips, wrong_start
from training.train import load

MEASURES = (
    "window length, px",
    "length : width",
    "red : green of the membrane",
    "blue : green of the membrane",
    "membrane : rim, green light",
    "unevenness along, OD sd",
    "streaks across, OD sd",
    "fine noise, OD sd",
    "strongest line : window width",
    "strongest line, OD",
)


def measure(picture, quad) -> list[float]:
    """The ten measures of one picture (1, 3, H, W) with corners (1, 4, 2)."""
    length = float((quad[:, 1] - quad[:, 0]).norm())
    width = float((quad[:, 3] - quad[:, 0]).norm())
    light = crop_from(picture, quad_map(quad, (48, 256)), (48, 256), supersample=2)
    inside = (light[0] ** 2.2).clamp_min(1e-3)[:, 8:40, 12:244].numpy()
    white = np.median(inside, axis=(1, 2))
    od = -np.log10(inside[1] / white[1])
    profile = od.mean(0)
    base = np.median(profile)
    top = profile.argmax()
    half = profile > (profile[top] + base) / 2
    left = top - np.argmin(half[: top + 1][::-1]) if not half[: top + 1].all() else 0
    right = top + np.argmin(half[top:]) if not half[top:].all() else len(half)
    fwhm = (right - left) * length / 256 / width
    quiet = np.abs(np.arange(len(profile)) - top) > 28
    fit = np.polyfit(np.flatnonzero(quiet), profile[quiet], 2)
    rest = profile[quiet] - np.polyval(fit, np.flatnonzero(quiet))
    spread = 1.4826 * np.median(np.abs(rest - np.median(rest)))
    across = np.median(od[:, quiet], axis=1)
    noise = np.median(np.abs(np.diff(od[:, quiet], axis=1))) / 0.954
    rim = crop_from(picture, quad_map(_grown(quad), (48, 256)), (48, 256))[0, 1] ** 2.2
    rim = torch.cat([rim[:2].flatten(), rim[-2:].flatten()]).median().item()
    return [length, length / width, white[0] / white[1], white[2] / white[1], white[1] / max(rim, 1e-3), spread, across.std(), noise, fwhm, profile[top] - base]  # fmt: skip


def _grown(quad):
    """The quad, 1.5 times as wide: its long edges lie on the rim."""
    middle = (quad[:, [0, 1, 2, 3]] + quad[:, [3, 2, 1, 0]]) / 2
    return middle + 1.5 * (quad - middle)


def real_rows(refiner, folder: Path, count: int) -> np.ndarray:
    files = sorted(p for p in folder.iterdir() if p.suffix in (".jpg", ".png"))
    rows = []
    for path in files[:: max(1, len(files) // count)]:
        values = np.asarray(Image.open(path).convert("RGB")).copy()
        picture = torch.from_numpy(values).permute(2, 0, 1)[None].float() / 255
        height, width = picture.shape[2:]
        long = 0.425 * max(height, width)
        middle = torch.tensor([(width - 1) / 2, (height - 1) / 2])
        along = torch.tensor([0.0, long] if height > width else [long, 0.0])
        aside = torch.tensor([-along[1], along[0]]) / 5
        guess = torch.stack([middle - along - aside, middle + along - aside, middle + along + aside, middle - along + aside])[None]  # fmt: skip
        quad, _, _ = own_corners(refiner, picture, wrong_start(None, guess))
        rows.append(measure(picture, quad))
    return np.array(rows)


def made_rows(refiner, count: int) -> np.ndarray:
    rows = []
    for seed in range(count // 20):
        draw = Draw(batch=20, device="cpu", seed=88_000_000 + seed)
        got = strips(draw, size=(0, 1, 2)[seed % 3], true_pose=True)
        for i in range(20):
            rows.append(measure(got["picture"][i : i + 1], got["quad"][i : i + 1]))
    return np.array(rows)


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("checkpoints")
    asked.add_argument("real", type=Path)
    asked.add_argument("--count", type=int, default=80)
    asked.add_argument("--figure", type=Path)
    said = asked.parse_args()
    refiner = load("refiner", said.checkpoints, "cpu")
    with torch.no_grad():
        real = real_rows(refiner, said.real, said.count)
        made = made_rows(refiner, 3 * said.count)
    if said.figure:
        said.figure.write_text(figure(real, made, MEASURES))
    print(f"{len(real)} real, {len(made)} simulated; 5 / 50 / 95 of 100")
    print("| measure | real | simulated | real within simulated 1 to 99 of 100 |")
    print("| --- | --- | --- | --- |")
    for k, name in enumerate(MEASURES):
        a, b = (np.nanpercentile(x[:, k], [5, 50, 95]) for x in (real, made))
        low, high = np.nanpercentile(made[:, k], [1, 99])
        share = np.mean((real[:, k] >= low) & (real[:, k] <= high))
        cells = (" / ".join(f"{v:.3g}" for v in x) for x in (a, b))
        print(f"| {name} | {' | '.join(cells)} | {100 * share:.0f} % |")


if __name__ == "__main__":
    main()
