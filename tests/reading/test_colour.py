"""Lab and CIEDE2000 against the 34 published pairs and an independent library."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.color import deltaE_ciede2000, rgb2lab

from kennelward.reading.colour import delta_e_2000, lab_of_linear
from kennelward.reading.straighten import SRGB_TO_LINEAR

# Q10. Sharma, Wu, Dalal 2005, Color Research and Application 30(1):21-30, table 1:
# L1, a1, b1, L2, a2, b2, difference as printed.
PUBLISHED = [
    (50.0, 2.6772, -79.7751, 50.0, 0.0, -82.7485, 2.0425),
    (50.0, 3.1571, -77.2803, 50.0, 0.0, -82.7485, 2.8615),
    (50.0, 2.8361, -74.02, 50.0, 0.0, -82.7485, 3.4412),
    (50.0, -1.3802, -84.2814, 50.0, 0.0, -82.7485, 1.0),
    (50.0, -1.1848, -84.8006, 50.0, 0.0, -82.7485, 1.0),
    (50.0, -0.9009, -85.5211, 50.0, 0.0, -82.7485, 1.0),
    (50.0, 0.0, 0.0, 50.0, -1.0, 2.0, 2.3669),
    (50.0, -1.0, 2.0, 50.0, 0.0, 0.0, 2.3669),
    (50.0, 2.49, -0.001, 50.0, -2.49, 0.0009, 7.1792),
    (50.0, 2.49, -0.001, 50.0, -2.49, 0.001, 7.1792),
    (50.0, 2.49, -0.001, 50.0, -2.49, 0.0011, 7.2195),
    (50.0, 2.49, -0.001, 50.0, -2.49, 0.0012, 7.2195),
    (50.0, -0.001, 2.49, 50.0, 0.0009, -2.49, 4.8045),
    (50.0, -0.001, 2.49, 50.0, 0.001, -2.49, 4.8045),
    (50.0, -0.001, 2.49, 50.0, 0.0011, -2.49, 4.7461),
    (50.0, 2.5, 0.0, 50.0, 0.0, -2.5, 4.3065),
    (50.0, 2.5, 0.0, 73.0, 25.0, -18.0, 27.1492),
    (50.0, 2.5, 0.0, 61.0, -5.0, 29.0, 22.8977),
    (50.0, 2.5, 0.0, 56.0, -27.0, -3.0, 31.903),
    (50.0, 2.5, 0.0, 58.0, 24.0, 15.0, 19.4535),
    (50.0, 2.5, 0.0, 50.0, 3.1736, 0.5854, 1.0),
    (50.0, 2.5, 0.0, 50.0, 3.2972, 0.0, 1.0),
    (50.0, 2.5, 0.0, 50.0, 1.8634, 0.5757, 1.0),
    (50.0, 2.5, 0.0, 50.0, 3.2592, 0.335, 1.0),
    (60.2574, -34.0099, 36.2677, 60.4626, -34.1751, 39.4387, 1.2644),
    (63.0109, -31.0961, -5.8663, 62.8187, -29.7946, -4.0864, 1.263),
    (61.2901, 3.7196, -5.3901, 61.4292, 2.248, -4.962, 1.8731),
    (35.0831, -44.1164, 3.7933, 35.0232, -40.0716, 1.5901, 1.8645),
    (22.7233, 20.0904, -46.694, 23.0331, 14.973, -42.5619, 2.0373),
    (36.4612, 47.858, 18.3852, 36.2715, 50.5065, 21.2231, 1.4146),
    (90.8027, -2.0831, 1.441, 91.1528, -1.6435, 0.0447, 1.4441),
    (90.9257, -0.5406, -0.9208, 88.6381, -0.8985, -0.7239, 1.5381),
    (6.7747, -0.2908, -2.4247, 5.8714, -0.0985, -2.2286, 0.6377),
    (2.0776, 0.0795, -1.135, 0.9033, -0.0636, -0.5514, 0.9082),
]

# Q12. IEC 61966-2-1, closed form.
DECODED = {0: 0.0, 1: 0.000303526983548838, 10: 0.00303526983548837,
           11: 0.00334653576389916, 128: 0.215860500113899, 188: 0.502886458032569,
           255: 1.0}  # fmt: skip


@pytest.mark.parametrize("pair", PUBLISHED)
def test_difference_is_as_published(pair):
    one, other, printed = pair[:3], pair[3:6], pair[6]
    assert delta_e_2000(one, other) == pytest.approx(printed, abs=0.00005)
    assert delta_e_2000(other, one) == pytest.approx(printed, abs=0.00005)


LAB = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


@given(LAB, LAB)
def test_difference_is_that_of_another_library(one, other):
    """scikit-image has its own code for it."""
    expected = float(deltaE_ciede2000(np.array(one), np.array(other)))
    assert delta_e_2000(one, other) == pytest.approx(expected, abs=1e-6)


@given(st.tuples(st.integers(0, 255), st.integers(0, 255), st.integers(0, 255)))
def test_lab_is_that_of_another_library(levels):
    expected = rgb2lab(np.array(levels, float).reshape(1, 1, 3) / 255)[0, 0]
    found = lab_of_linear(SRGB_TO_LINEAR[list(levels)].astype(float))
    assert found == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize("level", DECODED)
def test_srgb_is_taken_to_linear_light(level):
    assert SRGB_TO_LINEAR[level] == pytest.approx(DECODED[level], abs=1e-7)
