"""Draw frozen test scenes with the scene simulator of training/ (needs torch).

    python -m benchmarks.reading.draw_scenes FOLDER [--each 60] [--side 1280]

For each of good, ordinary, bad, and for trained and held-out housings and camera: whole
photos of one cassette, each in arms that share every other draw: with a test line,
without one, without any line, and with the test line alone. `scenes.json` keeps the truth.
Seeds lie beyond those that any training run used.
"""

import argparse
import json
import math
from pathlib import Path

import numpy as np
import torch
from PIL import Image

from training.camera import draw_camera
from training.draw import Draw
from training.families import (
    HELD_OUT_CAMERAS,
    HELD_OUT_FAMILIES,
    TRAINED_CAMERAS,
    TRAINED_FAMILIES,
)
from training.housing import draw_housing, draw_level, draw_light, draw_pose
from training.products import _shoot
from training.scene import draw_ground, render_card, window_corners

FIRST_SEED = 77_000_000
LEVELS = ("good", "ordinary", "bad")
ONE_WINDOW = tuple(
    name for name in TRAINED_FAMILIES if name not in ("twin", "triple", "dipstick")
)
ODS = (0.005, 0.008, 0.012, 0.016, 0.02, 0.03, 0.04, 0.06, 0.1, 0.2, 0.4)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--each", type=int, default=60)
    parser.add_argument("--side", type=int, default=1280)
    asked = parser.parse_args()
    asked.folder.mkdir(parents=True, exist_ok=True)
    rows = []
    for unseen in (False, True):
        for level in range(3):
            for i in range(asked.each):
                seed = FIRST_SEED + 100_000 * (3 * unseen + level) + i
                rows += scene(
                    asked.folder, seed, level, i, unseen=unseen, side=asked.side
                )
    (asked.folder / "scenes.json").write_text(json.dumps(rows), encoding="utf-8")
    print(f"{len(rows)} photos in {asked.folder}")


def arms(i: int) -> dict[str, tuple[float, float]]:
    """Factors of the drawn control and test OD in each arm of scene `i`."""
    every = {"line": (1.0, 1.0), "blank": (1.0, 0.0)}
    if i % 3 == 0:
        every |= {"none": (0.0, 0.0), "alone": (0.0, 1.0)}
    return every


def scene(
    folder: Path, seed: int, level: int, i: int, *, unseen: bool, side: int
) -> list[dict[str, object]]:
    device = "cuda" if torch.cuda.is_available() else "cpu"
    families = HELD_OUT_FAMILIES if unseen else ONE_WINDOW
    cameras = HELD_OUT_CAMERAS if unseen else TRAINED_CAMERAS
    size = (side * 3 // 4, side)
    rows = []
    for arm, (control, test) in arms(i).items():
        draw = Draw(batch=1, device=device, seed=seed)
        mix = tuple(float(k == level) for k in range(3))
        how = draw_level(draw, mix)
        card = draw_housing(draw, families=families, level=how)
        card |= draw_light(draw, level=how, scene=card)
        card["od"][:, :, 0] = card["od"][:, :, 0].clamp_min(0.1) * control
        card["od"][:, :, 1] = ODS[i % len(ODS)] * test
        card["od"][:, :, 2:] = 0
        _as_the_kit_has_them(card)
        card["windows"][:] = 1
        length = draw.spread(70 * side / 1280, 480 * side / 1280)
        pose, slide = draw_pose(
            draw,
            level=how,
            size=size,
            offset=draw.normal(2) * side / 16,
            scale=length / card["window_length"],
            angle=draw.uniform(0, 2 * math.pi),
        )
        corners = window_corners(card, pose)[0, 0]
        if not _inside(corners, size):
            return []
        light, _ = render_card(
            card, pose, slide, size, draw_ground(draw, size, detail=5)
        )
        camera = draw_camera(draw, level=how, names=cameras)
        picture = _shoot(draw, light, camera)[0]
        name = f"{'unseen' if unseen else 'seen'}-{LEVELS[level]}-{i:04}-{arm}.jpg"
        pixels = (picture.permute(1, 2, 0).cpu().numpy() * 255 + 0.5).astype(np.uint8)
        Image.fromarray(pixels).save(folder / name, quality=96, subsampling=0)
        rows.append(
            {
                "file": name,
                "scene": seed,
                "arm": arm,
                "level": LEVELS[level],
                "unseen": unseen,
                "family": families[int(card["family"])],
                "has_well": bool(card["wells"] > 0),
                "grey": bool(card["grey"]),
                "red": round(float(card["colour"][0, 1, 0]), 3),
                "control": round(float(card["od"][0, 0, 0]), 4),
                "test": round(float(card["od"][0, 0, 1]), 4),
                # the two at the sample end first, from the picture's edge
                "corners": (corners.cpu().numpy()[[3, 0, 1, 2]] + 0.5)
                .round(2)
                .tolist(),
            }
        )
    return rows


def _as_the_kit_has_them(card: dict[str, torch.Tensor]) -> None:
    """Move lines that lie where no kit has them: at each other, or the wrong way round."""
    length = card["window_length"]
    apart = (card["places"][:, 0] - card["places"][:, 1]) / length
    away = card["places"][:, :2].abs().amax(1) / length
    odd = (apart < 0.12) | (apart > 0.6) | (away > 0.4)
    for line, place in enumerate((0.16, -0.14)):
        card["places"][:, line] = torch.where(
            odd, place * length, card["places"][:, line]
        )


def _inside(corners: torch.Tensor, size: tuple[int, int]) -> bool:
    low, high = corners.min(0).values, corners.max(0).values
    return bool((low > 4).all() and high[0] < size[1] - 4 and high[1] < size[0] - 4)


if __name__ == "__main__":
    main()
