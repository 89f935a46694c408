"""Names and shapes of the networks' files, and inputs that are the same everywhere.

No torch here: the tests compare the files with what torch gave on these inputs.
"""

import numpy as np

NAMES = {
    "finder": ("photo", ["cells"]),
    "refiner": ("crop", ["corners", "log_sd", "logit"]),
    "lines": ("strip", ["line"]),
    "quality": ("strip", ["log_lod95"]),
    "flow": ("crop", ["logit"]),
    "surface": ("patch", ["logit"]),
}
SHAPES = {
    "finder": (1, 3, 288, 384),
    "refiner": (2, 3, 96, 192),
    "lines": (2, 4, 48, 256),
    "quality": (2, 4, 48, 256),
    "flow": (2, 3, 96, 192),
    "surface": (2, 3, 96, 96),
}


def fixed_input(name: str) -> np.ndarray:
    """Smooth made-up input of the right shape, the same on every machine."""
    shape = SHAPES[name]
    grids = np.meshgrid(*[np.linspace(0, 1, n) for n in shape], indexing="ij")
    wave = sum(np.sin((3 + 5 * i) * g + i) for i, g in enumerate(grids))
    picture = 0.5 + 0.12 * wave
    if name in ("lines", "quality"):
        line = np.exp(-(((grids[3] - 0.35 - 0.3 * grids[0]) / 0.02) ** 2))
        picture = 0.95 + 0.02 * wave - 0.3 * line
        picture[:, 3] = 1.0
    return np.clip(picture, 0, 1).astype(np.float32)
