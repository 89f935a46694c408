"""Can what fills the window be a membrane at all? By its light, never by its lines."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kennelward.reading import tuning
from kennelward.reading.straighten import Corners, straighten

_LENGTH, _WIDTH = 64, 16  # px of the small copy that is looked at
_AROUND = (0.15, 0.8)  # of length and width, the housing around the window
_WITHIN = (4, 3)  # px left out inside the window's ends and walls
_BEYOND = (2, 3)  # px left out outside them
_LIGHT_SHARE = 0.6  # quantile that counts as the membrane's own light: lines lie below
_LEAST_LIGHT = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowLight:
    """Linear light of what fills the window."""

    red_to_green: float
    blue_to_green: float
    to_rim: float  # its green light over that of the housing around it

    @property
    def is_coloured(self) -> bool:
        """More of one colour than a membrane has under any light a camera leaves in."""
        low, high = tuning.MEMBRANE_COLOUR
        return not all(
            low < ratio < high for ratio in (self.red_to_green, self.blue_to_green)
        )

    @property
    def is_dark(self) -> bool:
        """Darker beside its housing than a membrane: an empty window shows its inside."""
        return self.to_rim < tuning.EMPTY_TO_RIM


def window_light(pixels: NDArray[np.uint8], corners: Corners) -> WindowLight:
    """Light inside the window of `corners` (4, 2) and around it, in `pixels`."""
    light = straighten(pixels, corners, length=_LENGTH, width=_WIDTH, around=_AROUND)
    left, top = round(_AROUND[0] * _LENGTH), round(_AROUND[1] * _WIDTH)
    rows, columns = light.shape[:2]
    inside = light[
        top + _WITHIN[1] : rows - top - _WITHIN[1],
        left + _WITHIN[0] : columns - left - _WITHIN[0],
    ].reshape(-1, 3)
    is_rim = np.ones((rows, columns), bool)
    is_rim[
        top - _BEYOND[1] : rows - top + _BEYOND[1],
        left - _BEYOND[0] : columns - left + _BEYOND[0],
    ] = False
    red, green, blue = (
        max(float(level), _LEAST_LIGHT)
        for level in np.quantile(inside, _LIGHT_SHARE, axis=0)
    )
    rim = max(float(np.median(light[is_rim][:, 1])), _LEAST_LIGHT)
    return WindowLight(
        red_to_green=red / green, blue_to_green=blue / green, to_rim=green / rim
    )
