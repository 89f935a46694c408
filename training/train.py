"""Train one network for a given time on scenes made as it goes.

    python -m training.train lines --minutes 9 --out $OUT [--start FOLDER]

Each step draws a fresh batch from its own seed, so no scene is ever seen twice; the
kept weights are a running average. A checkpoint is written every minute and at the end.
"""

import argparse
import json
import math
import time
from pathlib import Path

import torch

from training import losses
from training.draw import Draw
from training.nets import NETS
from training.products import (
    SIZES,
    Source,
    crops,
    flows,
    photos,
    speed_up,
    strips,
    surfaces,
)
from training.replay import Pool

BATCH = {
    "finder": 96,
    "refiner": 256,
    "lines": 768,
    "quality": 384,
    "flow": 256,
    "surface": 256,
}
RATE = {
    "finder": 2e-3,
    "refiner": 2e-3,
    "lines": 2e-3,
    "quality": 1e-3,
    "flow": 1.5e-3,
    "surface": 2e-3,
}
SHARES = {
    "lines": (0.38, 0.37, 0.04, 0.21),
    "quality": (0.25, 0.43, 0.04, 0.28),
}  # of batches, by size
TYPICAL = Source(mix=(0.5, 0.4, 0.1))  # the photos that quality is about
SHRINK = (1, 2, 6, 2)  # the batch shrinks as the canvas grows
KEPT = {  # what a pool of strips keeps for each network
    "lines": ("strip", "x", "od", "level"),
    "quality": ("strip", "twin", "x", "od", "wide", "aspect", "level"),
}
AT_ONCE = {"lines": 1024, "quality": 512}  # strips of a step on the pool
POOLED = 200_000  # strips; 40 GB of float16 with their twins


def make_batch(name, *, seed, step, device, scale=1.0, size=None):
    """One batch of training data; deterministic in seed and step."""
    root = (seed * 1_000_003 + step) % (2**62)
    pick = torch.Generator().manual_seed(root)
    batch = max(4, int(BATCH[name] * scale))
    if name in ("lines", "quality"):
        shares = torch.tensor(SHARES[name])
        drawn = int(torch.multinomial(shares, 1, generator=pick))
        size = drawn if size is None else size
        batch = max(4, batch // SHRINK[size])
        draw = Draw(batch=batch, device=device, seed=root)
        source = TYPICAL if name == "quality" else Source()
        got = strips(draw, size=size, source=source)
        if name == "quality":
            again = Draw(batch=batch, device=device, seed=root)
            twin = strips(again, size=size, source=source, test_lines=False)
            got["twin"] = twin["strip"]
        return got, draw
    draw = Draw(batch=batch, device=device, seed=root)
    if name == "finder":
        return photos(draw), draw
    makers = {"refiner": crops, "flow": flows, "surface": surfaces}
    return makers[name](draw), draw


def rate_at(share, *, top):
    """Short warm-up, then a cosine to a hundredth."""
    if share < 0.02:
        return top * (0.05 + share / 0.02)
    return top * (0.01 + 0.99 * 0.5 * (1 + math.cos(math.pi * min(share, 1))))


class Average:
    """Running average of the weights, and of the norms' statistics."""

    def __init__(self, net, keep=0.998):
        self.net, self.keep, self.steps = net, keep, 0
        self.kept = {k: v.detach().clone().float() for k, v in net.state_dict().items()}

    def update(self):
        self.steps += 1
        keep = min(self.keep, self.steps / (self.steps + 10))
        for key, value in self.net.state_dict().items():
            if value.dtype.is_floating_point:
                self.kept[key].lerp_(value.detach().float(), 1 - keep)
            else:
                self.kept[key].copy_(value)


def load(name, folder, device):
    net = NETS[name]().to(device)
    net.load_state_dict(
        torch.load(Path(folder) / f"{name}.pt", map_location=device)["net"]
    )
    return net.eval()


def loss_of(name, net, got, draw, extra):
    if name == "quality":
        return losses.quality_loss(net, got, draw=draw, **extra)
    return getattr(losses, f"{name}_loss")(net, got)


def train(said) -> None:
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    torch.backends.cudnn.benchmark = True
    if device.type == "cuda" and not said.plain:
        speed_up()
    torch.manual_seed(said.seed)
    name, net = said.net, NETS[said.net]().to(device)
    before = {"step": 0, "samples": 0}
    if said.start and (Path(said.start) / f"{name}.pt").exists():
        before = torch.load(Path(said.start) / f"{name}.pt", map_location=device)
        net.load_state_dict(before["net"])
    extra = {}
    if name == "quality":
        extra = {
            "reader": load("lines", said.lines, device),
            "threshold": said.threshold,
        }
    net = net.to(memory_format=torch.channels_last)
    average = Average(net)
    adam = torch.optim.AdamW(net.parameters(), lr=1e-3, weight_decay=1e-4)
    started = time.monotonic()
    warm_up(name, said, device)
    begun = told = saved = time.monotonic()
    allowed = said.minutes * 60 - (begun - started)
    print(f"{name}: ready after {begun - started:.0f} s", flush=True)
    step, samples = before["step"], before["samples"]
    first, views = samples, 0
    pool = None
    if said.again:
        pool = Pool(
            capacity=int(POOLED * said.scale),
            keys=KEPT[name],
            device=device,
            seed=said.seed,
        )
    while (spent := time.monotonic() - begun) < allowed:
        step += 1
        share = spent / allowed
        for group in adam.param_groups:
            group["lr"] = rate_at(share, top=RATE[name] * said.rate)
        with torch.no_grad():
            got, draw = make_batch(
                name, seed=said.seed, step=step, device=device, scale=said.scale
            )
        net.train()
        loss, parts = learn(name, net, adam, got, draw, extra)
        average.update()
        samples += got["level"].shape[0]
        if pool is not None:
            pool.add(got)
        for again in range(said.again):
            got = pool.some(min(pool.filled, int(AT_ONCE[name] * said.scale)))
            seed = (said.seed + 7 + step * 64 + again) % 2**62
            draw = Draw(batch=len(got["x"]), device=device, seed=seed)
            loss, parts = learn(name, net, adam, got, draw, extra)
            average.update()
            views += len(got["x"])
        now = time.monotonic()
        if now - told > said.tell:
            told = now
            row = {
                "net": name,
                "step": step,
                "samples": samples,
                "again": views,
                "per_second": round((samples - first) / (now - begun)),
                "loss": round(float(loss), 4),
            }
            print(
                json.dumps(row | {k: round(float(v), 4) for k, v in parts.items()}),
                flush=True,
            )
        if now - saved > 60:
            saved = now
            save(said, average, step=step, samples=samples)
    save(said, average, step=step, samples=samples)


def learn(name, net, adam, got, draw, extra):
    """One step of the optimiser on one batch."""
    device = next(net.parameters()).device
    with torch.autocast(device.type, torch.bfloat16, enabled=device.type == "cuda"):
        loss, parts = loss_of(name, net, got, draw, extra)
    adam.zero_grad(set_to_none=True)
    loss.backward()
    torch.nn.utils.clip_grad_norm_(net.parameters(), 2.0)
    adam.step()
    return loss, parts


def warm_up(name, said, device):
    """Make each shape of batch once, so that compiling does not eat into the schedule."""
    sizes = range(len(SIZES)) if name in ("lines", "quality") else (None,)
    for size in sizes:
        with torch.no_grad():
            make_batch(
                name,
                seed=said.seed + 1,
                step=0,
                device=device,
                scale=said.scale,
                size=size,
            )


def save(said, average, **counts) -> None:
    folder = Path(said.out)
    folder.mkdir(parents=True, exist_ok=True)
    state = {"net": average.kept, "seed": said.seed, **counts}
    torch.save(state, folder / f"{said.net}.pt.part")
    (folder / f"{said.net}.pt.part").rename(folder / f"{said.net}.pt")


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("net", choices=tuple(NETS))
    asked.add_argument("--minutes", type=float, default=9)
    asked.add_argument("--out", required=True)
    asked.add_argument("--start")
    asked.add_argument("--seed", type=int, default=20261126)
    asked.add_argument("--rate", type=float, default=1.0)
    asked.add_argument("--scale", type=float, default=1.0)
    asked.add_argument("--again", type=int, default=0, help="steps on the pool a batch")
    asked.add_argument("--tell", type=float, default=15)
    asked.add_argument("--plain", action="store_true", help="compile nothing")
    asked.add_argument("--lines", help="folder of the trained lines net, for quality")
    asked.add_argument("--threshold", type=float, default=0.0)
    assert len(SHARES["lines"]) == len(SIZES) == len(SHRINK)
    train(asked.parse_args())


if __name__ == "__main__":
    main()
