"""CIE Lab of linear light, and how different two colours look (CIEDE2000).

Used to say how a line looks beside its membrane. A call is never made from it: a grey
line is seen at a difference of 0.4 and a gold one only at 1.2.
"""

import math

import numpy as np
from numpy.typing import NDArray

Lab = tuple[float, float, float]

# linear sRGB to XYZ under D65. Source: IEC 61966-2-1, annex on the inverse.
_TO_XYZ = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)
_WHITE = _TO_XYZ.sum(axis=1)
_EPSILON, _KAPPA = 216 / 24389, 24389 / 27  # CIE 15:2004


def lab_of_linear(light: NDArray[np.floating]) -> Lab:
    """L*, a*, b* of one linear sRGB colour (3,), 0 to 1, as seen under D65.

    Source: CIE 15:2004, section 8.2.1.
    """
    x, y, z = (_f(float(v)) for v in (_TO_XYZ @ np.asarray(light, float)) / _WHITE)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _f(share: float) -> float:
    if share > _EPSILON:
        return share ** (1 / 3)
    return (_KAPPA * share + 16) / 116


def delta_e_2000(one: Lab, other: Lab) -> float:
    """CIEDE2000 difference of two Lab colours, all three weights 1.

    Source: Sharma, Wu, Dalal 2005, Color Research and Application 30(1):21-30.
    """
    l1, a1, b1 = one
    l2, a2, b2 = other
    mean_c = (math.hypot(a1, b1) + math.hypot(a2, b2)) / 2
    g = 0.5 * (1 - math.sqrt(mean_c**7 / (mean_c**7 + 25.0**7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)
    h1, h2 = _hue(a1, b1), _hue(a2, b2)
    d_h, mean_h = _hues(h1, h2, is_grey=c1 * c2 == 0)
    d_l, d_c = l2 - l1, c2 - c1
    d_hue = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(d_h / 2))
    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2
    t = (
        1
        - 0.17 * math.cos(math.radians(mean_h - 30))
        + 0.24 * math.cos(math.radians(2 * mean_h))
        + 0.32 * math.cos(math.radians(3 * mean_h + 6))
        - 0.20 * math.cos(math.radians(4 * mean_h - 63))
    )
    s_l = 1 + 0.015 * (mean_l - 50) ** 2 / math.sqrt(20 + (mean_l - 50) ** 2)
    s_c, s_h = 1 + 0.045 * mean_c, 1 + 0.015 * mean_c * t
    turn = 30 * math.exp(-(((mean_h - 275) / 25) ** 2))
    r_t = (
        -2
        * math.sqrt(mean_c**7 / (mean_c**7 + 25.0**7))
        * math.sin(math.radians(2 * turn))
    )
    by_l, by_c, by_h = d_l / s_l, d_c / s_c, d_hue / s_h
    return math.sqrt(by_l**2 + by_c**2 + by_h**2 + r_t * by_c * by_h)


def _hue(a: float, b: float) -> float:
    return math.degrees(math.atan2(b, a)) % 360 if a or b else 0.0


def _hues(h1: float, h2: float, *, is_grey: bool) -> tuple[float, float]:
    """Difference and mean of two hues, degrees, the short way round."""
    if is_grey:
        return 0.0, h1 + h2
    difference = h2 - h1
    if abs(difference) <= 180:
        return difference, (h1 + h2) / 2
    difference -= math.copysign(360, difference)
    total = h1 + h2
    return difference, (total + 360) / 2 if total < 360 else (total - 360) / 2
