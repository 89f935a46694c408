"""How long one reading takes, warm, in processor time, and what the process holds.

A 12 MP photo of a drawn strip, one core; and pictures cut to about the window.
"""

import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

os.environ.setdefault("OMP_NUM_THREADS", "1")

from benchmarks.reading.real_pictures import KIT
from kennelward.demo.scenes import draw_strip, draw_strip_photo
from kennelward.handbook import load_handbook
from kennelward.reading import read_strip_photo
from kennelward.terms import stream

PHOTOS = 4 if os.environ.get("KENNELWARD_BENCH_QUICK") else 20
FULL = (4000, 3000)


def main() -> None:
    """Draw, then read in a process of its own, which does nothing else."""
    with tempfile.TemporaryDirectory() as where:
        for name, draw in (("photo", _photo), ("cut", _cut)):
            for i in range(PHOTOS):
                (Path(where) / f"{name}-{i:02}.jpg").write_bytes(draw(i))
        child = [sys.executable, "-m", "benchmarks.reading.bench_speed", where]
        subprocess.run(child, check=True)


def measure(where: Path) -> None:
    """Read every photo twice; the first turn warms up."""
    import cv2

    cv2.setNumThreads(1)
    kit = load_handbook().kits[KIT]
    for name, words in (("cut", "cut to the window"), ("photo", "12 MP photo")):
        photos = [path.read_bytes() for path in sorted(where.glob(f"{name}-*.jpg"))]
        times = []
        for turn in range(2):
            for data in photos:
                began = time.process_time()  # of one thread: what one core does
                read_strip_photo(
                    data,
                    layout=kit.layout,
                    cutoffs=kit.cutoffs,
                    is_window_only=name == "cut",
                )
                if turn:
                    times.append((time.process_time() - began) * 1000)
        times.sort()
        print(
            f"  {words:<28} median {statistics.median(times):7.1f} ms, "
            f"95 % {times[int(0.95 * (len(times) - 1))]:7.1f} ms, n {len(times)}"
        )
        print(f"  largest memory of the process so far: {largest_memory():.0f} MB")


def largest_memory() -> float:
    """MB. `ru_maxrss` would be the parent's, which drew the photos."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    found = re.search(r"VmHWM:\s+(\d+) kB", status)
    return int(found.group(1)) / 1024 if found else float("nan")


def _photo(i: int) -> bytes:
    return draw_strip_photo(
        test_od=0.2 * (i % 2),
        control_od=0.5,
        rng=stream(31, "bench.speed", replicate=i),
        size=FULL,
    )


def _cut(i: int) -> bytes:
    import io

    import numpy as np
    from PIL import Image

    drawn = draw_strip(
        test_od=0.2 * (i % 2),
        control_od=0.5,
        rng=stream(31, "bench.cut", replicate=i),
        size=(1200, 900),
    )
    corners = np.asarray(drawn.corners, float)
    margin = 0.15 * float(np.ptp(corners, axis=0).max())
    left, top = corners.min(axis=0) - margin
    right, bottom = corners.max(axis=0) + margin
    out = io.BytesIO()
    image = Image.open(io.BytesIO(drawn.photo)).convert("RGB")
    image.crop((int(left), int(top), int(right), int(bottom))).save(
        out, "JPEG", quality=92
    )
    return out.getvalue()


if __name__ == "__main__":
    if len(sys.argv) > 1:
        measure(Path(sys.argv[1]))
    else:
        main()
