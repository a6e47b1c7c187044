"""Looking for a patch in a wide part of a picture: after a loss, or in another version.

Method: normalised correlation at whole pixels (Lewis 1995), coarse to fine by halving where the
part is wide, then laid to a fraction of a pixel. A find counts only if it is clearly better than
the second best place, so that one of two alike things is never taken for the other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray
from planner.picture.patches import IDENTITY, Laid, Patch, lay

LIKE_LEAST = 0.7  # correlation at whole pixels
CLEARER_BY = 0.06  # than the second best
ROUND = 1.6  # of the reach: a twin is looked for as far
WIDE_PX = 160  # parts wider than this are searched at half size


@dataclass(frozen=True, slots=True)
class Peak:
    """The best place of a correlation, its height, and by how much it beats the second."""

    place: tuple[float, float]
    height: float
    clearer_by: float


def find_patch(
    patch: Patch, picture: NDArray[np.uint8], near: tuple[float, float], reach: float,
    form: FloatArray = IDENTITY, *, noise: float = 2.0,
) -> Laid | None:  # fmt: skip
    """The patch within `reach` pixels of a place, or None if it is not, or not clearly, there."""
    template = turned(patch, form)
    peak = best_peak(template, picture, near, reach)
    if peak is None or peak.height < LIKE_LEAST or peak.clearer_by < CLEARER_BY:
        return None
    return lay(patch, picture, peak.place, form, noise=noise)


def turned(patch: Patch, form: FloatArray) -> NDArray[np.uint8]:
    """The patch as it looks in the picture with that turn and size."""
    import cv2

    r = patch.radius
    inner = form @ np.array([r, r], dtype=np.float64)
    matrix = np.column_stack([form, np.array([r, r]) - inner])
    side = 2 * r + 1
    values = cv2.warpAffine(patch.values, matrix, (side, side), borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(np.clip(np.round(values), 0, 255), dtype=np.uint8)


def best_peak(
    template: NDArray[np.uint8], picture: NDArray[np.uint8], near: tuple[float, float], reach: float
) -> Peak | None:
    """The best match of a template near a place.

    Looked for farther than `reach`, so that a twin just outside is noticed; a best one that lies
    there is none.
    """
    import cv2

    half = template.shape[0] // 2
    x, y = round(near[0]), round(near[1])
    reach_px = int(np.ceil(reach * ROUND))
    height, width = picture.shape
    x0, x1 = max(x - reach_px - half, 0), min(x + reach_px + half + 1, width)
    y0, y1 = max(y - reach_px - half, 0), min(y + reach_px + half + 1, height)
    part = picture[y0:y1, x0:x1] if x1 > x0 and y1 > y0 else picture[:0]
    small = 2 if 2 * reach > WIDE_PX and template.shape[0] > 16 else 1
    if small == 2 and part.size:
        part = cv2.resize(part, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
        template = cv2.resize(template, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    side = template.shape[0]
    if not part.size or part.shape[0] < side or part.shape[1] < side or not template.std():
        return None
    scores = cv2.matchTemplate(part, template, cv2.TM_CCOEFF_NORMED)
    scores = np.nan_to_num(scores, nan=-1.0, posinf=-1.0, neginf=-1.0)
    j, i = np.unravel_index(int(np.argmax(scores)), scores.shape)
    top = float(scores[j, i])
    around = max(2, side // 3)
    rest = scores.copy()
    rest[max(j - around, 0) : j + around + 1, max(i - around, 0) : i + around + 1] = -1.0
    second = float(rest.max()) if rest.size else -1.0
    middle = (side - 1) / 2.0
    shift = (small - 1) / 2.0
    place = x0 + small * (i + middle) + shift, y0 + small * (j + middle) + shift
    if np.hypot(place[0] - near[0], place[1] - near[1]) > reach + 1.0:
        return None
    return Peak(place, top, top - second)
