"""Held drawings: where a picture shows the drawing of the one before.

On twos and threes a point stands still on the held pictures, but a measured place trembles by a
fraction of a pixel (grain, compression). Where the pattern shows in what moves (big steps onto new
drawings, next to none onto held ones), all pictures of a drawing get one place: the mean of what
was measured on them. Mixed exposures are found picture by picture, where the steps beside are
large.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray
from planner.picture.seen import SeenPoints

STEPS = (4, 3, 2)
MOVED_PX = 1.5  # a step onto a new drawing that counts
STILL_PX = 0.5  # a step onto a held one is smaller
STILL_SHARE = 0.15  # and smaller than this share of the steps beside it
FEWEST = 5  # moved drawings that show a pattern
KEEPING = 0.9  # share of them that keep to it


@dataclass(frozen=True, slots=True)
class Exposure:
    """On how many pictures a drawing stands, and on which (mod step) it changes; 1, 0: on ones.

    held : numbers of single pictures that repeat the one before, where there is no such pattern.
    """

    step: int = 1
    phase: int = 0
    held: tuple[int, ...] = ()


def find_exposure(places: FloatArray) -> Exposure:
    """The exposure of points; places : shape (points, pictures, 2), NaN where unseen."""
    steps, middle = _steps(places)
    for step in STEPS:
        phase = _phase(steps, middle, step)
        if phase is not None:
            return Exposure(step, phase)
    return Exposure(held=tuple(int(n) for n in _single_holds(steps)))


def _steps(places: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The largest and the middle step of the points onto each picture; NaN where none is known."""
    lengths = np.linalg.norm(np.diff(places, axis=1), axis=2)
    largest, middle = np.full((2, places.shape[1]), np.nan)
    known = np.isfinite(lengths).any(axis=0)
    largest[1:][known] = np.nanmax(lengths[:, known], axis=0)
    middle[1:][known] = np.nanmedian(lengths[:, known], axis=0)
    return largest, middle


def _phase(steps: FloatArray, middle: FloatArray, step: int) -> int | None:
    """The remainder on which drawings change, if they keep to one."""
    numbers = np.arange(len(steps))
    moved = numbers[np.nan_to_num(steps) > MOVED_PX]
    if len(moved) < FEWEST:
        return None
    for phase in range(step):
        on = moved[moved % step == phase]
        off = moved[moved % step != phase]
        if len(on) < FEWEST or len(off) > (1.0 - KEEPING) * len(moved):
            continue
        still = [_stands(steps, middle, int(n), step) for n in on]
        if np.mean(still) >= KEEPING:
            return phase
    return None


def _stands(steps: FloatArray, middle: FloatArray, number: int, step: int) -> bool:
    """True if the pictures after a new drawing repeat it."""
    after = np.nan_to_num(middle[number + 1 : number + step])
    return bool(np.all(after < max(STILL_PX, STILL_SHARE * steps[number])))


def _single_holds(steps: FloatArray) -> NDArray[np.int64]:
    """Pictures whose step is next to nothing between two clear ones."""
    known = np.nan_to_num(steps)
    beside = np.minimum(np.roll(known, 1), np.roll(known, -1))
    held = (known < np.minimum(STILL_PX, STILL_SHARE * beside)) & (beside > 2 * MOVED_PX)
    held &= np.isfinite(steps)
    held[[0, -1]] = False
    return np.flatnonzero(held)


def hold_drawings(seen: SeenPoints, exposure: Exposure) -> SeenPoints:
    """The points with one place on all pictures of a drawing."""
    places = seen.places.copy()
    for group in _groups(exposure, places.shape[1]):
        if len(group) < 2:
            continue
        for point in range(len(places)):
            there = group[np.isfinite(places[point, group, 0])]
            if len(there) > 1:
                weight = np.maximum(seen.confidence[point, there], 0.05)
                places[point, there] = np.average(places[point, there], axis=0, weights=weight)
    return replace(seen, places=places)


def _groups(exposure: Exposure, count: int) -> list[NDArray[np.int64]]:
    """Numbers of the pictures of each drawing."""
    if exposure.step > 1:
        begin = range(exposure.phase - exposure.step, count, exposure.step)
        return [np.arange(max(s, 0), min(s + exposure.step, count)) for s in begin]
    held = np.zeros(count, dtype=bool)
    held[list(exposure.held)] = True
    starts = np.flatnonzero(~held)
    return np.split(np.arange(count), starts[1:]) if len(starts) else []
