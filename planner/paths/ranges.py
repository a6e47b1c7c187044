"""Stretches of frames: finding them, and taking values from many at once without a loop.

Conventions: ranges are inclusive at both ends and given as two arrays, first and last.
"""

from __future__ import annotations

import numpy as np

from audio.reading import FloatArray
from planner.paths.signals import BoolArray, IntArray


def runs(mask: BoolArray) -> tuple[IntArray, IntArray]:
    """First and last index (inclusive) of every stretch of True."""
    edge = np.diff(np.concatenate([[0], mask.astype(np.int8), [0]]))
    return np.flatnonzero(edge == 1), np.flatnonzero(edge == -1) - 1


def running_max(values: FloatArray, reach: int) -> FloatArray:
    """Greatest value within `reach` to both sides; doubling windows, linear in time."""
    width = 2 * reach + 1
    padded = np.pad(values, reach, mode="edge")
    size = 1
    while 2 * size <= width:
        padded = np.maximum(padded[:-size], padded[size:])
        size *= 2
    rest = width - size
    return np.maximum(padded[: len(values)], padded[rest : rest + len(values)])


def range_indexes(first: IntArray, last: IntArray) -> tuple[IntArray, IntArray]:
    """All indexes of the ranges in one row, and where each range begins in it."""
    lengths = last - first + 1
    offsets = np.concatenate([[0], np.cumsum(lengths)[:-1]]).astype(np.int64)
    index = np.arange(int(lengths.sum())) - np.repeat(offsets - first, lengths)
    return index, offsets


def peak_within(values: FloatArray, first: IntArray, last: IntArray) -> IntArray:
    """Index of the greatest value of each range."""
    if not len(first):
        return np.zeros(0, dtype=np.int64)
    index, offsets = range_indexes(first, last)
    inside = values[index]
    best = np.repeat(np.maximum.reduceat(inside, offsets), last - first + 1)
    hits = np.flatnonzero(inside == best)
    which = np.searchsorted(offsets, hits, side="right") - 1
    return index[hits[np.searchsorted(which, np.arange(len(first)))]]


def resample(points: FloatArray, first: IntArray, last: IntArray, count: int) -> FloatArray:
    """Positions at `count` even times, first to last, shape (moves, count, dims)."""
    times = first[:, None] + (last - first)[:, None] * np.linspace(0.0, 1.0, count)[None, :]
    whole = np.minimum(times.astype(np.int64), len(points) - 2)
    part = (times - whole)[:, :, None]
    found: FloatArray = points[whole] * (1.0 - part) + points[whole + 1] * part
    return found


def time_at_share(
    travelled: FloatArray, first: IntArray, last: IntArray, share: float
) -> FloatArray:
    """The index (fraction) at which a share of each move's way is done."""
    if not len(travelled):
        return np.zeros(0)
    goal = share * travelled[:, -1]
    at = np.argmax(travelled >= goal[:, None], axis=1)
    at = np.maximum(at, 1)
    rows = np.arange(len(travelled))
    before, after = travelled[rows, at - 1], travelled[rows, at]
    part = np.clip((goal - before) / np.maximum(after - before, 1e-300), 0.0, 1.0)
    found: FloatArray = first + (last - first) * (at - 1 + part) / (travelled.shape[1] - 1)
    return found
