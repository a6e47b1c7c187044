"""Cuts: where a picture shows nothing of the one before.

Judged on small copies: first by how alike the two are as they stand (most pictures of a shot are),
then, where they differ much, by whether corners of the one are found again in the other by their
flow. A flash, a fast pan and a large figure that moves keep their corners; a cut does not.

It does not find dissolves: points fade out in those and are told as covered.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]

ALIKE = 0.85  # correlation of two small copies that needs no second look
CORNERS = 60
KEPT_LEAST = 0.25  # share of corners that come back to their place; a cut keeps 0-10 % (bench)
BACK_PX = 1.0  # in the small copy
FEWEST = 8  # corners that allow a judgement
UNLIKE = 0.3  # without corners: correlation under which it is a cut


def is_cut(before: Picture, after: Picture) -> bool:
    """True if `after` begins another shot. Both are small copies of the same size."""
    import cv2

    alike = likeness(before, after)
    if alike > ALIKE:
        return False
    corners = cv2.goodFeaturesToTrack(before, CORNERS, 0.02, 6)
    if corners is None or len(corners) < FEWEST:
        return alike < UNLIKE
    there, status, _ = cv2.calcOpticalFlowPyrLK(before, after, corners, None, winSize=(15, 15))
    back, again, _ = cv2.calcOpticalFlowPyrLK(after, before, there, None, winSize=(15, 15))
    near = np.linalg.norm(back - corners, axis=2).ravel() < BACK_PX
    kept = near & (status.ravel() == 1) & (again.ravel() == 1)
    kept &= _look_alike(before, after, corners.reshape(-1, 2), there.reshape(-1, 2))
    return bool(kept.mean() < KEPT_LEAST)


def likeness(one: Picture, other: Picture) -> float:
    """Correlation of two pictures, -1..1; 1 where neither shows anything."""
    a = one[::2, ::2].astype(np.float64).ravel()
    b = other[::2, ::2].astype(np.float64).ravel()
    a, b = a - a.mean(), b - b.mean()
    size = float(np.sqrt((a @ a) * (b @ b)))
    return float(a @ b) / size if size > 1e-6 else float(a @ a + b @ b < 1e-6)


def _look_alike(
    one: Picture, other: Picture, points: NDArray[np.float32], there: NDArray[np.float32]
) -> NDArray[np.bool_]:
    """Which small windows of the one picture look like those of the other."""
    import cv2

    alike = np.zeros(len(points), dtype=bool)
    for row, (a, b) in enumerate(zip(points, there, strict=True)):
        if not np.isfinite(b).all():
            continue
        first = cv2.getRectSubPix(one, (11, 11), (float(a[0]), float(a[1])))
        second = cv2.getRectSubPix(other, (11, 11), (float(b[0]), float(b[1])))
        score = cv2.matchTemplate(first, second, cv2.TM_CCOEFF_NORMED)
        alike[row] = score[0, 0] > 0.7
    return alike
