"""`kennelward read` with thousands of pictures in one process."""

import io
import json
import os
import subprocess
import sys

import pytest
from PIL import Image

from kennelward.demo.scenes import draw_strip
from kennelward.terms import stream

MANY = 2_200
EVERY = 11  # the last of so many is broken
GROWN_MB = 60  # nothing of a picture stays: 2,000 kept ones would be 500 MB

# What the process holds is looked at as answers come out, without stopping it.
CHILD = """
import sys
from kennelward.cli import main
main(sys.argv[1:], prog_name="kennelward")
"""

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not os.path.exists("/proc/self/status"), reason="needs /proc"),
]


def cut(i: int) -> bytes:
    """A small picture cut to about the window; every second has a test line."""
    drawn = draw_strip(
        test_od=0.25 * (i % 2),
        control_od=0.5,
        rng=stream(43, "test.many", replicate=i),
        size=(800, 600),
    )
    xs, ys = zip(*drawn.corners, strict=True)
    box = (int(min(xs)) - 12, int(min(ys)) - 12, int(max(xs)) + 12, int(max(ys)) + 12)
    out = io.BytesIO()
    image = Image.open(io.BytesIO(drawn.photo)).convert("RGB").crop(box)
    image.save(out, "JPEG", quality=90)
    return out.getvalue()


def held_mb(pid: int) -> float:
    with open(f"/proc/{pid}/status", encoding="ascii") as status:
        line = next(one for one in status if one.startswith("VmRSS"))
    return int(line.split()[1]) / 1024


def test_thousands_of_pictures_are_answered_one_a_line_in_bounded_memory(tmp_path):
    whole = [cut(i) for i in range(20)]
    broken = [b"", b"no picture", whole[0][: len(whole[0]) // 2], b"\xff\xd8\xff\xe0"]
    names, is_broken = [], []
    for i in range(MANY):
        is_broken.append(i % EVERY == EVERY - 1)
        data = broken[i // EVERY % 4] if is_broken[-1] else whole[i % 20]
        names.append(f"{i:04}.jpg")
        (tmp_path / names[-1]).write_bytes(data)
    command = [sys.executable, "-c", CHILD, "read", *names]
    command += ["--kit", "giardia-antigen", "--window-only", "--json"]
    told, held = [], []
    with subprocess.Popen(
        command, cwd=tmp_path, stdout=subprocess.PIPE, text=True
    ) as child:
        for line in child.stdout:
            told.append(json.loads(line))
            if len(told) % 200 == 0 and child.poll() is None and len(told) < MANY:
                held.append(held_mb(child.pid))
    assert child.returncode == 1  # some could not be read
    assert [one["file"] for one in told] == names
    for one, is_bad in zip(told, is_broken, strict=True):
        if is_bad:
            assert one["reason"] in ("empty", "not-an-image", "broken")
    read = [one for one, is_bad in zip(told, is_broken, strict=True) if not is_bad]
    assert sum(one["call"] in ("positive", "negative") for one in read) > len(read) / 2
    # the same picture gets the same answer, early and late
    answers = {}
    for i, one in enumerate(told):
        if not is_broken[i]:
            answers.setdefault(i % 20, set()).add((one["call"], one["could_see"]))
    assert all(len(each) == 1 for each in answers.values())
    assert max(held) - held[0] < GROWN_MB, held
