"""From a straight strip to optical density along the flow."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kennelward.reading import tuning
from kennelward.reading.straighten import Linear

Row = NDArray[np.float64]
_DARKEST = 2e-3  # linear light; below it sRGB has fewer than one step


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """Optical density along the flow, column 0 at the sample end; all (n,)."""

    green: Row
    red: Row
    bands: NDArray[np.float64]  # (3, n) green, by thirds of the width used
    clipped: float  # share of the membrane that is white-out
    dark: float  # share of the membrane that is black
    membrane: tuple[
        float, float, float
    ]  # natural log of linear R, G, B, lines left out
    edge_px: float  # width of the rim's step in straightened pixels: a blur gauge

    @property
    def size(self) -> int:
        """Columns."""
        return self.green.size

    def reversed(self) -> "Profile":
        """The same strip from its other end."""
        return Profile(
            green=self.green[::-1],
            red=self.red[::-1],
            bands=self.bands[:, ::-1],
            clipped=self.clipped,
            dark=self.dark,
            membrane=self.membrane,
            edge_px=self.edge_px,
        )


def profile_of(wide: Linear, *, rim: int) -> Profile:
    """Profile of a straightened window with `rim` rows and columns around it.

    Rows are first slid against one another so that slanting lines stand upright, then
    averaged without their extremes, so that a speck does not make a line.
    """
    rows = wide.shape[0] - 2 * rim
    low, high = (rim + round(share * rows) for share in tuning.ROWS_USED)
    inside = wide[low:high, rim : wide.shape[1] - rim]
    density = -np.log10(np.maximum(inside[..., :2], _DARKEST)).astype(np.float64)
    slant = _slant(density[..., 1])
    density = np.stack([_slide(density[..., c], slant) for c in (0, 1)], axis=-1)
    green = density[..., 1]
    thirds = np.array_split(green, 3, axis=0)
    return Profile(
        green=_middle_mean(green),
        red=_middle_mean(density[..., 0]),
        bands=np.stack([_middle_mean(third) for third in thirds]),
        clipped=float((inside.max(axis=2) > 0.97).mean()),
        dark=float((inside[..., 1] < 0.006).mean()),
        membrane=_colour(inside),
        edge_px=_edge_width(wide, rim),
    )


def _colour(inside: Linear) -> tuple[float, float, float]:
    """Colour of the membrane: lines take up less than half of its length."""
    columns = np.median(inside, axis=0)
    red, green, blue = (
        float(np.log(max(float(value), _DARKEST)))
        for value in np.quantile(columns, 0.6, axis=0)
    )
    return red, green, blue


def _middle_mean(density: NDArray[np.float64]) -> Row:
    """Mean over rows without the lowest and highest fifth."""
    ordered = np.sort(density, axis=0)
    cut = len(ordered) // 5
    mean: Row = ordered[cut : len(ordered) - cut].mean(axis=0)
    return mean


def _slide(density: NDArray[np.float64], slant: float) -> NDArray[np.float64]:
    """Shift each row by `slant` columns a row, about the middle row."""
    if slant == 0:
        return density
    columns = np.arange(density.shape[1], dtype=float)
    middle = (len(density) - 1) / 2
    return np.stack(
        [
            np.interp(columns + slant * (i - middle), columns, row)
            for i, row in enumerate(density)
        ]
    )


def _slant(green: NDArray[np.float64]) -> float:
    """Columns a row that make what lies across the strip sharpest."""
    part = green[:, 12:-12]
    best, sharpest = 0.0, -1.0
    for slant in np.linspace(-0.4, 0.4, 17):
        mean = _slide(part, float(slant)).mean(axis=0)[10:-10]
        sharp = float(np.square(mean[6:] - mean[:-6]).sum()) * (1 - 0.05 * abs(slant))
        if sharp > sharpest:
            best, sharpest = float(slant), sharp
    return best


def _edge_width(wide: Linear, rim: int) -> float:
    """Step over steepest slope of the rim's long sides, in straightened pixels."""
    middle = wide[:, rim + 10 : wide.shape[1] - rim - 10, 1]
    across = np.median(np.log(np.maximum(middle, _DARKEST)), axis=1)
    widths = []
    for centre in (rim, wide.shape[0] - rim):
        part = across[max(0, centre - rim) : centre + rim]
        slope = np.abs(np.diff(part))
        if slope.size and slope.max() > 1e-3:
            widths.append(float(np.ptp(part)) / float(slope.max()))
    return min(widths) if widths else 99.0
