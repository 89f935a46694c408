"""The six small networks: loaded once, lazily, and run on one core.

What each takes and gives is described in docs/methods/reader-model.md.
"""

import json
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

    from onnxruntime import InferenceSession

Floats = NDArray[np.float32]

WINDOW = (192, 96)  # px of a crop around a window: width, height
WINDOW_LENGTH = 96  # px of the candidate's length in that crop
AROUND_LENGTH = 48  # px of the window's length in the crop that shows the housing
STRIP = (256, 48)  # px of the straightened strip: length, width
BINS = 64  # places along the strip where a line's centre may be
PATCH = 96  # px of a side of what `surface` looks at, unscaled
FINDER_SIDE = 384  # px of the long side of the copy that is searched
CELL = 4  # px of that copy to a cell


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Networks:
    """The six networks, ready to run."""

    finder: "InferenceSession"
    refiner: "InferenceSession"
    lines: "InferenceSession"
    quality: "InferenceSession"
    flow: "InferenceSession"
    surface: "InferenceSession"
    version: str


@cache
def reader_version() -> str:
    """Name and version of the reader: that of the networks in this package."""
    manifest = files("kennelward.reading") / "weights" / "manifest.json"
    return str(json.loads(manifest.read_text(encoding="utf-8"))["version"])


@cache
def networks() -> Networks:
    """The networks that lie in this package."""
    folder = files("kennelward.reading") / "weights"
    return load_networks(folder, version=reader_version())


def load_networks(folder: "Traversable", *, version: str) -> Networks:
    """The networks in `folder`, whatever is said of them."""
    from onnxruntime import InferenceSession, SessionOptions

    options = SessionOptions()
    options.intra_op_num_threads = 1  # the same sums in the same order everywhere
    options.inter_op_num_threads = 1
    options.log_severity_level = 3
    loaded = {
        name: InferenceSession(
            (folder / f"{name}.onnx").read_bytes(),
            options,
            providers=["CPUExecutionProvider"],
        )
        for name in ("finder", "refiner", "lines", "quality", "flow", "surface")
    }
    return Networks(version=version, **loaded)


def run(session: "InferenceSession", batch: Floats) -> tuple[Floats, ...]:
    """Outputs of one network for one batch, in the order of its file."""
    name = session.get_inputs()[0].name
    given = np.ascontiguousarray(batch, np.float32)
    return tuple(
        np.asarray(out, np.float32) for out in session.run(None, {name: given})
    )
