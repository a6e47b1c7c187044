"""Where points go from one picture to the next: pyramidal Lucas-Kanade, forth and back.

Source: Bouguet 2000 (as OpenCV has it). A point that does not come back to where it started was
not followed (Kalal, Mikolajczyk & Matas 2010).

The coarse levels are searched on a small copy of the whole picture, all points at once; the fine
ones only in windows round each point, so that the cost hardly grows with the picture.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray

Picture = NDArray[np.uint8]

COARSE = 4  # the small copy has a quarter of the sides
COARSE_LEVELS = 2  # and is halved twice more: moves of some 16 windows are within reach
FINE_LEVELS = 1
ROUNDS, ENOUGH_PX = 20, 0.02  # where an iteration ends


@dataclass(frozen=True, slots=True, eq=False)
class Scaled:
    """A picture, and its small copy."""

    picture: Picture
    small: Picture


def scaled(picture: Picture) -> Scaled:
    """The picture with its small copy."""
    import cv2

    height, width = picture.shape
    sides = (max(width // COARSE, 8), max(height // COARSE, 8))
    small = cv2.resize(picture, sides, interpolation=cv2.INTER_AREA)
    return Scaled(picture, np.asarray(small, dtype=np.uint8))


def flow(
    before: Scaled, after: Scaled, points: FloatArray, radius: int,
    *, guess: FloatArray | None = None,
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """Where points of one picture are in another, and how far off they come back.

    points : shape (n, 2); guess : where they may be, else the small copies are searched. radius :
    of the windows. Returns places (n, 2) and distances (n,), infinite where the flow was lost.
    """
    if not len(points):
        return points.copy(), np.zeros(0)
    near = _coarse(before, after, points, radius) if guess is None else guess
    there, off = points.copy(), np.full(len(points), np.inf)
    found = np.zeros(len(points), dtype=bool)
    for row in range(len(points)):
        got = _fine(before.picture, after.picture, points[row], near[row], radius)
        if got is not None:
            there[row], found[row] = got, True
    # The way back does not start where it should end, or it would always seem right.
    home = _coarse(after, before, there, radius) if guess is None else there - (guess - points)
    for row in (int(r) for r in np.flatnonzero(found)):
        back = _fine(after.picture, before.picture, there[row], home[row], radius)
        if back is not None:
            off[row] = float(np.hypot(*(back - points[row])))
    return there, off


def _coarse(before: Scaled, after: Scaled, points: FloatArray, radius: int) -> FloatArray:
    factor = np.array(before.small.shape[::-1]) / np.array(before.picture.shape[::-1])
    start = (points + 0.5) * factor - 0.5
    there, found = _lucas_kanade(
        before.small, after.small, start, start, max(5, radius // 2), COARSE_LEVELS
    )
    return np.where(found[:, None], (there + 0.5) / factor - 0.5, points)


def _fine(
    one: Picture, other: Picture, point: FloatArray, near: FloatArray, radius: int
) -> FloatArray | None:
    half = 3 * radius
    here, there = np.round(point), np.round(near)
    height, width = other.shape
    if not (np.isfinite(there).all() and -half < there[0] < width + half
            and -half < there[1] < height + half):  # fmt: skip
        return None
    got, found = _lucas_kanade(
        _crop(one, here, half), _crop(other, there, half), (point - here + half)[None],
        (near - there + half)[None], radius, FINE_LEVELS,
    )  # fmt: skip
    return got[0] + there - half if found[0] else None


def _crop(picture: Picture, middle: FloatArray, half: int) -> Picture:
    """The square round a pixel, edges repeated."""
    import cv2

    side = 2 * half + 1
    x, y = float(middle[0]), float(middle[1])
    return np.asarray(cv2.getRectSubPix(picture, (side, side), (x, y)), dtype=np.uint8)


def _lucas_kanade(
    one: Picture, other: Picture, points: FloatArray, guess: FloatArray, radius: int, levels: int
) -> tuple[FloatArray, NDArray[np.bool_]]:
    import cv2

    side = 2 * radius + 1
    there, status, _ = cv2.calcOpticalFlowPyrLK(
        one, other, points.astype(np.float32).reshape(-1, 1, 2),
        guess.astype(np.float32).reshape(-1, 1, 2), winSize=(side, side), maxLevel=levels,
        criteria=(cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, ROUNDS, ENOUGH_PX),
        flags=cv2.OPTFLOW_USE_INITIAL_FLOW,
    )  # fmt: skip
    return there.reshape(-1, 2).astype(np.float64), status.reshape(-1).astype(bool)
