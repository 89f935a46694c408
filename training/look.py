"""Contact sheets of what the simulator makes: python -m training.look FOLDER"""

import sys
from pathlib import Path

import torch
from PIL import Image, ImageDraw

from training.draw import Draw
from training.products import crops, flows, photos, strips


def sheet(pictures, columns):
    """(N, 3, H, W) 0 to 1 as one picture."""
    count, _, height, width = pictures.shape
    rows = -(-count // columns)
    out = Image.new("RGB", (columns * (width + 4), rows * (height + 4)))
    for i, one in enumerate(pictures.clamp(0, 1)):
        values = (one.permute(1, 2, 0) * 255).byte().cpu().numpy()
        place = ((i % columns) * (width + 4), (i // columns) * (height + 4))
        out.paste(Image.fromarray(values), place)
    return out


def _outline(picture, quads, columns, size):
    pen = ImageDraw.Draw(picture)
    for i, quad in enumerate(quads):
        x0 = (i % columns) * (size[1] + 4)
        y0 = (i // columns) * (size[0] + 4)
        for one in quad:
            points = [(float(x) + x0, float(y) + y0) for x, y in one]
            pen.line([*points, points[0]], fill=(0, 255, 0))
    return picture


def main() -> None:
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    with torch.no_grad():
        got = photos(Draw(batch=16, device="cpu", seed=seed))
        quads = [c[h] for c, h in zip(got["corners"], got["here"], strict=True)]
        _outline(sheet(got["photo"], 4), quads, 4, (288, 384)).save(
            folder / "photos.png"
        )
        got = crops(Draw(batch=48, device="cpu", seed=seed))
        quads = [
            c[None] if w == 1 else []
            for c, w in zip(got["corners"], got["window"], strict=True)
        ]
        _outline(sheet(got["crop"], 6), quads, 6, (96, 192)).save(folder / "crops.png")
        got = flows(Draw(batch=24, device="cpu", seed=seed))
        sheet(got["crop"], 6).save(folder / "flows.png")
        for size in range(2):
            got = strips(Draw(batch=20, device="cpu", seed=seed), size=size)
            sheet(got["picture"], 4).save(folder / f"pictures{size}.png")
            sheet(got["strip"][:, :3] ** (1 / 2.2) * 0.9, 4).save(
                folder / f"strips{size}.png"
            )
            print(got["od"][:4], got["x"][:4])


if __name__ == "__main__":
    main()
