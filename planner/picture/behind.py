"""What of a patch does not go with its point: the backdrop behind it.

A patch round a fingertip is half wall. Each of its pixels is asked, from one picture to the next,
whether it is explained better by the move of the point or by the move of the backdrop (the middle
move of corners all over the picture, so that a camera may drift); what stays behind loses its say,
what goes along regains it. Flat places explain nothing and keep the say they have.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray
from planner.picture.flow import COARSE, Scaled
from planner.picture.patches import Laid, Patch, grid, sample, window_at

CORNERS = 80
APART_PX = 2.0  # point and backdrop must part by this much to be told from each other
CLEARLY = 2.0  # noises by which one explanation must beat the other
QUICKLY = 0.25  # how fast the say follows
SAY_LEAST = 0.03


def backdrop_move(before: Scaled, after: Scaled) -> FloatArray:
    """How the backdrop moved from one picture to the next, pixels (x, y)."""
    import cv2

    corners = cv2.goodFeaturesToTrack(before.small, CORNERS, 0.03, 12)
    if corners is None or len(corners) < 6:
        return np.zeros(2)
    there, status, _ = cv2.calcOpticalFlowPyrLK(
        before.small, after.small, corners, corners.copy(), winSize=(11, 11), maxLevel=2
    )
    moves = (there - corners).reshape(-1, 2)[status.ravel() == 1]
    return COARSE * np.median(moves, axis=0).astype(np.float64) if len(moves) > 5 else np.zeros(2)


def say_after(
    patch: Patch, before: NDArray[np.uint8], after: NDArray[np.uint8],
    was: tuple[FloatArray, FloatArray], now: Laid, backdrop: FloatArray, noise: float,
) -> FloatArray | None:  # fmt: skip
    """The say of a patch's pixels after one more picture; None if nothing can be learned.

    was : the point's place and form on the picture before; now : on this one; backdrop : its move.
    """
    place, form = was
    if np.hypot(*(np.array(now.place) - place - backdrop)) < APART_PX:
        return None
    here = sample(window_at(after, now.place, patch.radius), now.place, now.form, patch.radius)
    went = sample(window_at(before, _pair(place), patch.radius), _pair(place), form, patch.radius)
    old = _pair(np.array(now.place) - backdrop)
    stayed = sample(window_at(before, old, patch.radius), old, now.form, patch.radius)
    as_point = np.abs(here - went).ravel()
    as_backdrop = np.abs(here - stayed).ravel()
    margin = CLEARLY * noise
    goal = patch.say.copy()
    goal[as_backdrop + margin < as_point] = SAY_LEAST
    goal[as_point + margin < as_backdrop] = 1.0
    say = patch.say + QUICKLY * (goal - patch.say)
    _, gauss = grid(patch.radius)
    return say if float(gauss @ say) > 0.15 else None


def _pair(place: FloatArray) -> tuple[float, float]:
    return float(place[0]), float(place[1])
