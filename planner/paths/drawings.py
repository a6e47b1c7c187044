"""Held drawings: on which frames a track has a new drawing, and its places on an even time base.

Animation is often exposed on twos or threes, or changes between ones and twos within a shot. While
a point moves, a held drawing shows as a step that is far smaller than its neighbours': half of the
steps on twos, two of three on threes, hardly any on ones, whatever the noise of a tracker. The
share of such dips says whether a track is held at all; the frames of the large steps say on which
drawings. Where nothing moves the exposure cannot be seen and the track's own habit is carried on.

`even` gives positions 24 to 30 times a second (the file's own rate where it is lower), so that
every measure means the same at 24 and at 60: high rates are thinned with a (1 2 1)/4 filter, held
drawings are joined by a smooth curve (Catmull-Rom, four neighbouring drawings).

Conventions: indexes count from 0 over the file's frames; `at` is the first frame of each drawing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from audio.reading import FloatArray
from planner.paths.signals import BoolArray, IntArray

EVEN_RATE = 27.0  # looked at so many times a second, or the nearest whole part of the rate
LONGEST = 4  # frames a drawing is held, at most; longer stands are holds
DIP = 0.25  # of the largest step around: smaller while moving is a held frame
MOVING = 0.4  # of the track's fast steps (their nine tenths): faster is moving
HELD_SHARE = 0.12  # of the moving frames; ones have few dips, twos half
FEWEST_MOVING = 6  # frames: fewer tell nothing
ONE_PHASE = 0.9  # of the large steps on one grid: the exposure is even
SAME_GRID = 0.7  # held against new steps: less than that fits the figure's own exposure


@dataclass(frozen=True, slots=True, eq=False)
class Drawings:
    """When the drawings of a track begin. `step` is 1 on ones, 0 where exposures change."""

    at: IntArray
    step: int
    phase: int = 0


def find_drawings(points: FloatArray) -> Drawings:
    """The drawings of one track.

    points : shape (frames, dims), without gaps.
    """
    count = len(points)
    ones = Drawings(np.arange(count), 1)
    if count < 4 * LONGEST:
        return ones
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    moving, held = _dips(steps)
    if moving.sum() < FEWEST_MOVING or held.sum() < HELD_SHARE * moving.sum():
        return ones
    new = np.flatnonzero(moving & ~held) + 1
    gaps = np.diff(new)
    gaps = gaps[gaps <= LONGEST]
    if len(gaps) < 2:
        return ones
    for step in (int(np.bincount(gaps).argmax()), *range(2, LONGEST + 1)):
        phases = np.bincount(new % step, minlength=step)
        if step > 1 and phases.max() >= ONE_PHASE * len(new):
            phase = int(phases.argmax())
            return Drawings(np.arange(phase, count, step), step, phase)
    return Drawings(_changing(new, count, max(int(np.median(gaps)), 1)), 0)


def find_exposures(tracks: Sequence[FloatArray]) -> list[Drawings]:
    """The drawings of each track of a figure.

    A track that moves too little to tell takes the exposure of most others if it fits.
    """
    found = [find_drawings(points) for points in tracks]
    held = [(d.step, d.phase) for d in found if d.step > 1]
    if not held:
        return found
    step, phase = max(set(held), key=held.count)
    for k, points in enumerate(tracks):
        if (found[k].step, found[k].phase) != (step, phase) and _fits(points, step, phase):
            found[k] = Drawings(np.arange(phase, len(points), step), step, phase)
    return found


def _fits(points: FloatArray, step: int, phase: int) -> bool:
    """True if the large steps of a track lie on a grid rather than beside it."""
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    on_grid = (np.arange(len(steps)) + 1) % step == phase
    if not on_grid.any() or on_grid.all():
        return False
    beside, new = np.quantile(steps[~on_grid], 0.9), np.quantile(steps[on_grid], 0.9)
    return bool(beside < SAME_GRID * new)


def _dips(steps: FloatArray) -> tuple[BoolArray, BoolArray]:
    """Steps taken while the point moves, and those of them that hold a drawing."""
    padded = np.pad(steps, LONGEST - 1)
    windows = np.lib.stride_tricks.sliding_window_view(padded, LONGEST)
    greatest = windows.max(axis=1)
    before, after = greatest[: len(steps)], greatest[LONGEST - 1 :][: len(steps)]
    beside = np.minimum(before, after)  # large steps on both sides: in the midst of a move
    large = steps[steps > 0]
    if not len(large):
        return steps > 0, steps > 0
    moving: BoolArray = beside > MOVING * np.quantile(large, 0.9)
    held: BoolArray = moving & (steps < DIP * beside)
    return moving, held


def _changing(new: IntArray, count: int, usual: int) -> IntArray:
    """Drawings on the frames seen to change, and every `usual` frames where nothing tells."""
    bounds = np.concatenate([[0], new, [count]])
    filled = [
        np.arange(a, b, usual) if b - a > LONGEST else np.array([a]) for a, b in pairwise(bounds)
    ]
    return np.unique(np.concatenate(filled))


def positions(points: FloatArray, drawings: Drawings) -> FloatArray:
    """The place of each drawing: the mean of the frames that show it, shape (drawings, dims)."""
    if drawings.step == 1:
        return points
    ends = np.append(drawings.at[1:], len(points))
    # a long stand is no held drawing: its own first frames tell its place
    lengths = np.minimum(ends - drawings.at, LONGEST)
    sums = np.concatenate([np.zeros((1, points.shape[1])), np.cumsum(points, axis=0)])
    found: FloatArray = (sums[drawings.at + lengths] - sums[drawings.at]) / lengths[:, None]
    exact = points[drawings.at]  # sums lose digits; a still drawing stays exactly still
    same = np.all(points[drawings.at + lengths - 1] == exact, axis=1)
    return np.where(same[:, None], exact, found)


def even_step(frames_per_s: float) -> int:
    """Every how many frames a track is looked at."""
    return max(1, round(frames_per_s / EVEN_RATE))


def even(points: FloatArray, drawings: Drawings, step: int) -> FloatArray:
    """Positions on every `step`-th frame, held drawings joined by a curve.

    points : shape (frames, dims), without gaps. Returns shape (ceil(frames / step), dims).
    """
    if drawings.step == 1:
        return thinned(points, step)
    places = positions(points, drawings)
    # a drawing counts for the frame it begins on; before the first there is nothing to join
    times = np.clip(np.arange(0, len(points), step), drawings.at[0], drawings.at[-1])
    return joined(drawings.at.astype(np.float64), places, times.astype(np.float64))


def thinned(points: FloatArray, step: int) -> FloatArray:
    """Every `step`-th frame after smoothing by its neighbours."""
    if step == 1 or len(points) < 3:
        return points[::step]
    inner = 0.25 * (points[:-2] + 2.0 * points[1:-1] + points[2:])
    smooth = np.concatenate([points[:1], inner, points[-1:]])
    return np.asarray(smooth[::step])


def joined(at: FloatArray, places: FloatArray, times: FloatArray) -> FloatArray:
    """Places at other times along a curve through all drawings.

    at : times of the drawings, rising. Source: Catmull-Rom for uneven times (Hermite curve with
    the slopes of the neighbours' chords).
    """
    if len(at) < 2:
        return np.repeat(places[:1], len(times), axis=0)
    slope = np.gradient(places, at, axis=0) if len(at) > 2 else np.zeros_like(places)
    k = np.clip(np.searchsorted(at, times, side="right") - 1, 0, len(at) - 2)
    width = (at[k + 1] - at[k])[:, None]
    u = (times - at[k])[:, None] / width
    found: FloatArray = (
        (1 + 2 * u) * (1 - u) ** 2 * places[k]
        + u * (1 - u) ** 2 * width * slope[k]
        + u**2 * (3 - 2 * u) * places[k + 1]
        + u**2 * (u - 1) * width * slope[k + 1]
    )
    return found
