"""From four corners to a straight strip in linear light."""

import numpy as np
from numpy.typing import NDArray

Corners = NDArray[np.float64]  # (4, 2) x, y; round the window, two first at sample end
Linear = NDArray[np.float32]  # (rows, columns, 3) linear light, 0 to 1


def _linear_of_srgb() -> NDArray[np.float32]:
    """The 256 levels of sRGB in linear light. Source: IEC 61966-2-1."""
    level = np.arange(256) / 255
    linear = np.where(level <= 0.04045, level / 12.92, ((level + 0.055) / 1.055) ** 2.4)
    return linear.astype(np.float32)


SRGB_TO_LINEAR = _linear_of_srgb()


def straighten(
    pixels: NDArray[np.uint8],
    corners: Corners,
    *,
    length: int,
    width: int,
    around: tuple[float, float] = (0.0, 0.0),
    is_soft: bool = True,
) -> Linear:
    """The quadrilateral as a rectangle, sample end at column 0.

    `around` adds that share of the length at both ends and of the width at both sides.
    `is_soft`: shrinking averages, so that fine noise does not fold into lines.
    """
    import cv2

    pad_x, pad_y = around[0] * length, around[1] * width
    upright = [[0, width], [0, 0], [length, 0], [length, width]]
    target = np.array(upright, np.float64) + (pad_x, pad_y)
    size = (round(length + 2 * pad_x), round(width + 2 * pad_y))
    to_photo = cv2.getPerspectiveTransform(
        target.astype(np.float32), corners.astype(np.float32)
    )
    outline = np.array([[[0, 0], [size[0], 0], [size[0], size[1]], [0, size[1]]]])
    seen = cv2.perspectiveTransform(outline.astype(np.float32), to_photo)[0]
    rows, columns = pixels.shape[:2]
    low = np.floor(np.clip(seen.min(axis=0), 0, (columns - 1, rows - 1))).astype(int)
    high = np.ceil(np.clip(seen.max(axis=0), low + 1, (columns, rows))).astype(int)
    piece = SRGB_TO_LINEAR[pixels[low[1] : high[1] + 1, low[0] : high[0] + 1]]
    step = max(
        np.linalg.norm(corners[2] - corners[1]) / length,
        np.linalg.norm(corners[1] - corners[0]) / width,
    )
    if is_soft and step > 1.3:
        piece = cv2.GaussianBlur(piece, (0, 0), 0.4 * float(step))
    # corners count from a picture's edge; OpenCV counts from its first pixel's centre
    shift = np.array([[1, 0, -low[0] - 0.5], [0, 1, -low[1] - 0.5], [0, 0, 1]])
    centre = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    straight = cv2.warpPerspective(
        piece,
        shift @ to_photo @ centre,
        size,
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    return np.asarray(straight, np.float32)


def corners_of_box(box: NDArray[np.float64]) -> Corners:
    """Corners of a box (x, y, length, width, turn in radians), sample end first.

    The sample end is the one the turn points away from.
    """
    x, y, length, width, turn = box
    along = np.array((np.cos(turn), np.sin(turn))) * length / 2
    down = np.array((-np.sin(turn), np.cos(turn))) * width / 2
    centre = np.array((x, y))
    return np.array(
        [
            centre - along + down,
            centre - along - down,
            centre + along - down,
            centre + along + down,
        ]
    )


def turned_round(corners: Corners) -> Corners:
    """The same window with the other end as sample end."""
    return np.roll(corners, 2, axis=0)
