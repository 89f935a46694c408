"""The table of `training.compare` as one picture (SVG), drawn with nothing but text.

A row a measure, each on its own scale from the least to the largest of both: a pale bar
for the simulated ones from 1 to 99 of 100, a darker one from 5 to 95, and above them a
thin line for the real ones from 5 to 95 with a dot at their median.
"""

from collections.abc import Sequence

import numpy as np

WIDE, ROW, LEFT, RIGHT = 760, 34, 240, 110
PALE, DARK, REAL = "#cfdbe6", "#8fa9c2", "#9a3412"


def figure(real: np.ndarray, made: np.ndarray, names: Sequence[str]) -> str:
    """The SVG's text."""
    tall = ROW * len(names) + 60
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {tall}" '
        f'font-family="sans-serif" font-size="13"><rect width="{WIDE}" height="{tall}" '
        f'fill="#fff"/><text x="10" y="22">{len(real)} real pictures (line 5 to 95 of 100, '
        f"dot at the median) over {len(made)} simulated (bars 1 to 99, 5 to 95)</text>"
        f'<text x="{WIDE - RIGHT + 10}" y="42">real inside</text>'
    )
    rows = [
        _row(name, real[:, k], made[:, k], 48 + ROW * k) for k, name in enumerate(names)
    ]
    return "\n".join([head, *rows, "</svg>\n"])


def _row(name: str, real: np.ndarray, made: np.ndarray, top: int) -> str:
    ours = np.log(np.maximum(np.nanpercentile(made, [1, 5, 95, 99]), 1e-6))
    theirs = np.log(np.maximum(np.nanpercentile(real, [5, 50, 95]), 1e-6))
    low, high = min(ours[0], theirs[0]), max(ours[-1], theirs[-1])
    room = WIDE - LEFT - RIGHT

    def at(value: float) -> float:
        return LEFT + room * float((value - low) / max(high - low, 1e-9))

    def bar(start: float, end: float, down: int, thick: int, colour: str) -> str:
        return (
            f'<rect x="{at(start):.1f}" y="{top + down}" height="{thick}" '
            f'width="{at(end) - at(start):.1f}" fill="{colour}"/>'
        )

    edges = np.nanpercentile(made, [1, 99])
    share = 100 * np.mean((real >= edges[0]) & (real <= edges[1]))
    return (
        f'<text x="10" y="{top + 17}">{name}</text>'
        + bar(ours[0], ours[3], 4, 18, PALE)
        + bar(ours[1], ours[2], 4, 18, DARK)
        + bar(theirs[0], theirs[2], 11, 4, REAL)
        + f'<circle cx="{at(theirs[1]):.1f}" cy="{top + 13}" r="5" fill="{REAL}"/>'
        + f'<text x="{WIDE - RIGHT + 10}" y="{top + 17}">{share:.0f} %</text>'
    )
