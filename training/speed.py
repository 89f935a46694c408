"""How many scenes a second this machine makes.

    python -m training.speed [--compile] [--batch 512]

Strips of each size of window, then all in the shares that training draws.
"""

import argparse
import time

import torch

from training.draw import Draw
from training.products import SIZES, speed_up, strips
from training.train import BATCH, SHARES, SHRINK, make_batch

WARM_UP, TIMED = 2, 10  # batches


def strips_a_second(size, *, batch, device, wait):
    for seed in range(WARM_UP + TIMED):
        if seed == WARM_UP:
            wait()
            begun = time.perf_counter()
        strips(Draw(batch=batch, device=device, seed=seed), size=size)
    wait()
    return TIMED * batch / (time.perf_counter() - begun)


def together(rates, shares):
    """Strips a second where `shares` of the strips are of each size."""
    return sum(shares) / sum(
        share / rate for share, rate in zip(shares, rates, strict=True)
    )


def strips_of(shares):
    """Shares of strips from `shares` of batches, which shrink as windows grow."""
    return [share / shrink for share, shrink in zip(shares, SHRINK, strict=True)]


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--compile", action="store_true")
    asked.add_argument("--batch", type=int, default=512)
    said = asked.parse_args()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    wait = torch.cuda.synchronize if device == "cuda" else lambda: None
    print(
        torch.cuda.get_device_name() if device == "cuda" else device, torch.__version__
    )
    if said.compile:
        speed_up()
    with torch.no_grad():
        rates = []
        for size in range(len(SIZES)):
            batch = said.batch // SHRINK[size]
            rate = strips_a_second(size, batch=batch, device=device, wait=wait)
            rates.append(rate)
            print(f"strips size {size}: {rate:.0f}/s", flush=True)
        shares = strips_of(SHARES["lines"])
        print(f"strips in the shares of training: {together(rates, shares):.0f}/s")
        for name in ("finder", "refiner", "flow"):
            for step in range(8):
                if step == 3:
                    wait()
                    begun = time.perf_counter()
                make_batch(name, seed=1, step=step, device=device)
            wait()
            print(f"{name}: {5 * BATCH[name] / (time.perf_counter() - begun):.0f}/s")
    if device == "cuda":
        print(f"{torch.cuda.max_memory_allocated() / 1e9:.1f} GB at most")


if __name__ == "__main__":
    main()
