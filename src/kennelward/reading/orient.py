"""At which end the sample went in, told by the housing with the membrane blanked.

The lines can never say it: control alone and test alone look alike. So the network is
shown everything but the membrane.
"""

import numpy as np

from kennelward.reading.networks import AROUND_LENGTH, WINDOW, Floats, Networks, run
from kennelward.reading.refine import Levels, crop, crop_to_photo
from kennelward.reading.straighten import Corners, turned_round

_GROWN = (0.08, 0.12)  # blanked beyond the window, share of its length and width


def well_at_start(photo: Levels, corners: Corners, nets: Networks) -> float:
    """Log odds that the sample well lies beyond the first two corners."""
    views = [_blanked(photo, turned) for turned in (corners, turned_round(corners))]
    (logit,) = run(nets.flow, np.stack(views))
    one, other = (float(value) for value in np.ravel(logit))
    return (one - other) / 2


def _blanked(photo: Levels, corners: Corners) -> Floats:
    """The crop around a window whose membrane shows one colour."""
    import cv2

    matrix = crop_to_photo(corners, length=AROUND_LENGTH)
    view = crop(photo, matrix)
    inside = (_grown(corners) - matrix[:, 2]) @ np.linalg.inv(matrix[:, :2]).T
    mask = np.zeros(WINDOW[::-1], np.uint8)
    cv2.fillConvexPoly(mask, np.round(inside - 0.5).astype(np.int32), 1)
    hidden = mask > 0
    if hidden.any():
        view[:, hidden] = np.median(view[:, hidden], axis=1, keepdims=True)
    return view


def _grown(corners: Corners) -> Corners:
    along = (corners[2:].mean(axis=0) - corners[:2].mean(axis=0)) * _GROWN[0]
    across = (corners[[1, 2]].mean(axis=0) - corners[[0, 3]].mean(axis=0)) * _GROWN[1]
    grown: Corners = corners + np.array(
        [-along - across, -along + across, along + across, along - across]
    )
    return grown
