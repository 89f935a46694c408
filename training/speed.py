"""How many scenes a second this machine makes: python -m training.speed"""

import sys
import time

import torch

from training.draw import Draw
from training.products import SIZES, speed_up, strips
from training.train import BATCH, SHRINK, make_batch


def main() -> None:
    device = "cuda" if torch.cuda.is_available() else "cpu"
    wait = torch.cuda.synchronize if device == "cuda" else lambda: None
    print(
        torch.cuda.get_device_name() if device == "cuda" else device, torch.__version__
    )
    if "compile" in sys.argv:
        speed_up()
    with torch.no_grad():
        for size in range(len(SIZES)):
            batch = 512 // SHRINK[size]
            for seed in range(12):
                if seed == 2:
                    wait()
                    begun = time.perf_counter()
                strips(Draw(batch=batch, device=device, seed=seed), size=size)
            wait()
            print(
                f"strips size {size}: {10 * batch / (time.perf_counter() - begun):.0f}/s"
            )
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
