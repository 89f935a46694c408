"""What fills a window is a membrane, or too coloured or too dark for one."""

import numpy as np
import pytest

from kennelward.reading.membrane import window_light
from kennelward.reading.straighten import SRGB_TO_LINEAR

CORNERS = np.array([[100.0, 140], [100, 90], [320, 90], [320, 140]])


def picture(inside: tuple[int, int, int], rim: int = 235) -> np.ndarray:
    pixels = np.full((240, 420, 3), rim, np.uint8)
    pixels[90:140, 100:320] = inside
    return pixels


def test_light_is_measured_inside_and_around():
    found = window_light(picture((200, 180, 160)), CORNERS)
    red, green, blue = (float(SRGB_TO_LINEAR[level]) for level in (200, 180, 160))
    assert found.red_to_green == pytest.approx(red / green, rel=0.01)
    assert found.blue_to_green == pytest.approx(blue / green, rel=0.01)
    assert found.to_rim == pytest.approx(green / float(SRGB_TO_LINEAR[235]), rel=0.02)


@pytest.mark.parametrize(
    ("inside", "coloured", "dark"),
    [
        ((215, 210, 200), False, False),
        ((190, 150, 150), False, False),  # pink haze
        ((215, 135, 140), True, False),  # a glove
        ((60, 140, 200), True, False),
        ((40, 42, 44), False, True),  # the inside of an empty housing
    ],
)
def test_what_can_be_a_membrane(inside, coloured, dark):
    found = window_light(picture(inside), CORNERS)
    assert (found.is_coloured, found.is_dark) == (coloured, dark)


def test_at_the_edge_of_a_picture_and_in_the_dark_there_is_an_answer():
    black = window_light(np.zeros((60, 60, 3), np.uint8), CORNERS - 90)
    assert not black.is_dark
    assert np.isfinite([black.red_to_green, black.blue_to_green]).all()
