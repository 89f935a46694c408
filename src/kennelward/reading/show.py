"""The evidence as one picture: photo, straightened strip, profile with its limit."""

import numpy as np
from numpy.typing import NDArray

from kennelward.reading.photo import Photo
from kennelward.reading.signals import StripSignals
from kennelward.reading.straighten import straighten

_WIDTH = 760  # px of the picture made
_STRIP_ROWS, _PROFILE_ROWS = 110, 200
_INK = (34, 40, 49)
_FOUND = (0, 110, 190)  # line seen: solid blue; also a filled mark
_NONE = (150, 150, 150)


def overlay_png(photo: Photo, signals: StripSignals) -> bytes:
    """PNG: the window outlined on the photo, the strip, and its profile.

    The sample end is to the left in strip and profile. A seen line has a filled mark,
    an empty place a hollow one; the dashed line is the detection limit.
    """
    import cv2

    parts = [_photo_part(photo, signals), _strip_part(photo, signals)]
    parts.append(_profile_part(signals))
    sheet = np.vstack(parts)
    done, png = cv2.imencode(".png", cv2.cvtColor(sheet, cv2.COLOR_RGB2BGR))
    if not done:  # pragma: no cover  OpenCV always can for uint8
        raise RuntimeError("the overlay could not be written as PNG")
    return bytes(png.tobytes())


def _photo_part(photo: Photo, signals: StripSignals) -> NDArray[np.uint8]:
    """The photo around the window, window outlined, arrow from the sample end."""
    import cv2

    corners = np.asarray(signals.corners) / photo.shrink
    centre = corners.mean(axis=0)
    reach = 2.1 * float(np.linalg.norm(corners[2] - corners[1]))
    rows, columns = photo.pixels.shape[:2]
    left, top = np.clip(centre - (reach, 0.62 * reach), 0, None).astype(int)
    right, bottom = np.minimum(centre + (reach, 0.62 * reach), (columns, rows)).astype(
        int
    )
    piece = photo.pixels[top : max(bottom, top + 2), left : max(right, left + 2)]
    scale = _WIDTH / piece.shape[1]
    if piece.shape[0] * scale > 700:
        scale = 700 / piece.shape[0]
    method = cv2.INTER_AREA if scale < 1 else cv2.INTER_LINEAR
    piece = cv2.resize(piece, None, fx=scale, fy=scale, interpolation=method)
    canvas = np.full((piece.shape[0], _WIDTH, 3), 235, np.uint8)
    shown = min(piece.shape[1], _WIDTH)
    canvas[:, :shown] = piece[:, :shown]
    drawn = ((corners - (left, top)) * scale).astype(np.int32)
    for colour, thick in (((255, 255, 255), 5), (_FOUND, 2)):
        cv2.polylines(canvas, [drawn], True, colour, thick, cv2.LINE_AA)
        start = drawn[:2].mean(axis=0).astype(int)
        tip = (drawn[:2].mean(axis=0) * 0.75 + drawn[2:].mean(axis=0) * 0.25).astype(
            int
        )
        back = (2 * start - tip).astype(int)
        cv2.arrowedLine(
            canvas, back.tolist(), start.tolist(), colour, thick, cv2.LINE_AA
        )
    return canvas


def _strip_part(photo: Photo, signals: StripSignals) -> NDArray[np.uint8]:
    corners = np.asarray(signals.corners) / photo.shrink
    linear = straighten(photo.pixels, corners, length=_WIDTH, width=_STRIP_ROWS)
    encoded = np.where(
        linear <= 0.0031308, 12.92 * linear, 1.055 * np.power(linear, 1 / 2.4) - 0.055
    )
    strip: NDArray[np.uint8] = np.clip(encoded * 255 + 0.5, 0, 255).astype(np.uint8)
    return strip


def _profile_part(signals: StripSignals) -> NDArray[np.uint8]:
    import cv2

    canvas = np.full((_PROFILE_ROWS, _WIDTH, 3), 255, np.uint8)
    profile = np.asarray(signals.profile)
    top = max(0.06, 1.2 * float(profile[10:-10].max()))
    low = -0.15 * top

    def row(density: float) -> int:
        return int(np.clip((top - density) / (top - low), 0, 1) * (_PROFILE_ROWS - 1))

    columns = (np.arange(profile.size) + 0.5) / profile.size * _WIDTH
    curve = np.array([(x, row(y)) for x, y in zip(columns, profile, strict=True)])
    cv2.line(canvas, (0, row(0)), (_WIDTH, row(0)), _NONE, 1)
    limit = row(signals.detection_limit)
    for x in range(0, _WIDTH, 16):
        cv2.line(canvas, (x, limit), (x + 8, limit), (190, 60, 30), 1)
    cv2.polylines(canvas, [curve.astype(np.int32)], False, _INK, 2, cv2.LINE_AA)
    for line in signals.lines:
        x = int(line.position * _WIDTH)
        thick = cv2.FILLED if line.is_seen else 2
        colour = _FOUND if line.is_seen else _NONE
        cv2.circle(
            canvas, (x, row(max(line.contrast, 0))), 7, colour, thick, cv2.LINE_AA
        )
    return canvas
