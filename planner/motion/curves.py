"""Timing charts as curves: the share of the way on every frame, all charts at once.

Conventions: a curve is (frames, shares) of its marks in time order, on whole frames. Between marks
it runs on a monotone cubic (Fritsch & Carlson 1980, SIAM J. Numer. Anal. 17:238-246), level at both
ends, so nothing passes a mark and nothing jumps in speed. Results are flat arrays, curve after
curve; `start` says where each begins.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray

IntArray = NDArray[np.int64]

Marks = tuple[Sequence[int], Sequence[float]]


@dataclass(frozen=True, slots=True, eq=False)
class Curves:
    """Every curve on every frame of its own.

    start, length, first, last : shape (curves,); frame, share, step, in_step, aside, early : shape
    (all frames,). `step` is what a frame adds to the share, `in_step` the same while it has not
    been farther (0 on the way back), `aside` what it adds to the bulge of its path (0 at keys, 1 at
    most), `early` what it adds to the preparation (1 at the first key between start and extreme).
    """

    start: IntArray
    length: IntArray
    first: IntArray
    last: IntArray
    frame: IntArray
    share: FloatArray
    step: FloatArray
    in_step: FloatArray
    aside: FloatArray
    early: FloatArray


def draw_curves(marks: Sequence[Marks], keys: Sequence[Marks]) -> Curves:
    """Curves through marks; `keys` are those marks that are keys, for bulges and preparations."""
    x, y, owner = _flat(marks)
    count = len(marks)
    sizes = np.bincount(owner, minlength=count)
    begin = np.cumsum(sizes) - sizes
    first, last = x[begin], x[begin + sizes - 1]
    length = last - first + 1
    start = np.cumsum(length) - length
    of = np.repeat(np.arange(count), length)
    frame = np.arange(int(length.sum())) - start[of] + first[of]
    share = _through(x, y, owner, frame, of)
    before = np.concatenate([[0.0], share[:-1]])
    before[start] = 0.0
    highest = np.maximum.accumulate(share + 4.0 * of) - 4.0 * of
    highest = np.maximum(highest, 0.0)
    top_before = np.concatenate([[0.0], highest[:-1]])
    top_before[start] = 0.0
    aside, early = _bulges(keys, share, frame, of, count)
    return Curves(
        start, length, first, last, frame, share, share - before, highest - top_before,
        _steps(aside, start), _steps(early, start),
    )  # fmt: skip


def _flat(marks: Sequence[Marks]) -> tuple[IntArray, FloatArray, IntArray]:
    frames = [f for fs, _ in marks for f in fs]
    shares = [a for _, at in marks for a in at]
    sizes = [len(fs) for fs, _ in marks]
    return (
        np.array(frames, dtype=np.int64), np.array(shares, dtype=np.float64),
        np.repeat(np.arange(len(marks)), sizes),
    )  # fmt: skip


def _steps(values: FloatArray, start: IntArray) -> FloatArray:
    before = np.concatenate([[0.0], values[:-1]])
    before[start] = 0.0
    found: FloatArray = values - before
    return found


def _place(x: IntArray, owner: IntArray, frame: IntArray, of: IntArray) -> IntArray:
    """For each asked frame the mark at or before it, within its own curve."""
    far = int(max(x.max(initial=0), frame.max(initial=0)) - min(x.min(initial=0), 0)) + 2
    found: IntArray = np.searchsorted(x + far * owner, frame + far * of, side="right") - 1
    return found


def _through(
    x: IntArray, y: FloatArray, owner: IntArray, frame: IntArray, of: IntArray
) -> FloatArray:
    """The monotone cubic at the asked frames."""
    if len(x) < 2:
        return np.repeat(y, 1)[:1] if len(x) else np.zeros(0)
    gap = np.diff(x).astype(np.float64)
    joined = owner[1:] == owner[:-1]
    slope = np.where(joined & (gap > 0), np.diff(y) / np.where(gap > 0, gap, 1.0), 0.0)
    gap = np.where(joined, gap, 1.0)
    left, right = slope[:-1], slope[1:]
    wide, narrow = 2 * gap[1:] + gap[:-1], gap[1:] + 2 * gap[:-1]
    same = (left * right > 0) & joined[:-1] & joined[1:]
    safe_left, safe_right = np.where(same, left, 1.0), np.where(same, right, 1.0)
    inner = np.where(same, (wide + narrow) / (wide / safe_left + narrow / safe_right), 0.0)
    tangent = np.concatenate([[0.0], inner, [0.0]])
    at = np.minimum(_place(x, owner, frame, of), len(x) - 2)
    at = np.where(owner[at + 1] == owner[at], at, np.maximum(at - 1, 0))
    inside = (owner[at + 1] == of) & (owner[at] == of)
    h = np.where(inside, gap[at], 1.0)
    u = np.clip((frame - x[at]) / h, 0.0, 1.0)
    y0, y1, m0, m1 = y[at], y[at + 1], tangent[at] * h, tangent[at + 1] * h
    cubic = y0 + u * (m0 + u * (3 * (y1 - y0) - 2 * m0 - m1 + u * (2 * (y0 - y1) + m0 + m1)))
    alone = y[np.clip(_place(x, owner, frame, of), 0, len(y) - 1)]
    found: FloatArray = np.where(inside, cubic, alone)
    return found


def _bulges(
    keys: Sequence[Marks], share: FloatArray, frame: IntArray, of: IntArray, count: int
) -> tuple[FloatArray, FloatArray]:
    """How far aside each frame is, and how much of the preparation it shows.

    Aside: 4 w (1 - w) of the share w between two keys, times their way, one side going out and the
    other coming back. Preparation: up to the first key between start and extreme, down to it.
    """
    x, y, owner = _flat(keys)
    if len(x) < 2:
        return np.zeros(len(share)), np.zeros(len(share))
    at = np.clip(_place(x, owner, frame, of), 0, len(x) - 2)
    inside = owner[at + 1] == of
    low, way = y[at], y[at + 1] - y[at]
    w = np.clip(np.where(way != 0, (share - low) / np.where(way != 0, way, 1.0), 0.0), 0.0, 1.0)
    aside = np.where(inside, 4 * w * (1 - w) * way, 0.0)
    sizes = np.bincount(owner, minlength=count)
    begin = np.cumsum(sizes) - sizes
    first = at == begin[of]
    second = at == begin[of] + 1
    early = np.where(first & inside, w, 0.0) + np.where(second & inside & (way > 0), 1 - w, 0.0)
    rises = np.zeros(count, dtype=bool)
    many = sizes >= 3
    rises[many] = y[begin[many] + 2] > y[begin[many] + 1]
    return aside, np.where(rises[of], early, 0.0)
