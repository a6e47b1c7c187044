"""Where a move starts and stops, as a fraction of a frame.

Near its ends an eased move's speed grows with the square of time, so the root of the speed is
carried on in a straight line to zero. What the hold beyond creeps is taken off first. Measured on
eases of 4 to 24 frames: minimum jerk within 0.5 frames, even speed within 1.3, quadratic within
0.8; with noise of a thousandth of the move all within two.

Source: minimum jerk, Flash & Hogan 1985.
"""

from __future__ import annotations

import numpy as np

from audio.reading import FloatArray
from planner.paths.signals import SPEED_NOISE, IntArray, Signal

EDGE_SHARE = 0.02  # of the peak step: where the ends are looked for...
EDGE_RATIO = 9.0  # ...and this many times more, for the straight line through both
NOISY_EDGE_RATIO = 4.0  # nearer together where noise hides the slowest part
EDGE_NOISE = 3.0  # times the noise of a coordinate of the speed
EDGE_STEP_BIAS = 0.4  # frames; steps lie between frames (measured on eases of 6 to 48 frames)
EDGE_SPEED_BIAS = 1.0  # frames; the speed filter widens a move
DROWNED_SHARE = 0.15  # of the peak: noise that hides the ends of any move
BEYOND = 16  # frames looked at outside a move's core
LONG_SIDE = 9  # frames from peak to the core's end
EDGE_FRAMES = 96  # frames looked at from a peak outward, at most


def edges(
    signal: Signal, first: IntArray, last: IntArray, peak: IntArray
) -> tuple[FloatArray, FloatArray]:
    """Start and end of every move, as fractions of a frame."""
    if not len(first):
        return np.zeros(0), np.zeros(0)
    count = len(signal.steps)
    low = np.concatenate([[0], np.maximum(peak[:-1], 0)])
    high = np.concatenate([peak[1:], [count - 1]])
    same_before = np.concatenate([[False], first[1:] - last[:-1] <= 1])
    same_after = np.concatenate([first[1:] - last[:-1] <= 1, [False]])
    back = _outward(signal, peak, first, forward=False)
    ahead = _outward(signal, peak, last, forward=True)
    start = np.where(same_before, first, np.clip(back, low, peak))
    end = np.where(same_after, last, np.clip(ahead, peak, high))
    tidy = 0.5 * (start[1:] + end[:-1])  # neighbours never overlap
    crossed = start[1:] < end[:-1]
    start[1:] = np.where(crossed, tidy, start[1:])
    end[:-1] = np.where(crossed, tidy, end[:-1])
    return np.clip(start, 0, count - 1), np.clip(end, 0, count - 1)


def _outward(signal: Signal, peak: IntArray, core: IntArray, *, forward: bool) -> FloatArray:
    """The end of each move on one side of its peak, as a fraction of a frame.

    Read from the steps between frames, which blur least; where noise would hide the slow end of a
    long move, from the smoothed speed.
    """
    long = np.abs(core - peak) >= LONG_SIDE
    top = signal.speed[peak]
    hidden = EDGE_NOISE * signal.noise > EDGE_SHARE * top
    noise_steps = signal.noise * np.sqrt(2.0)
    by_steps = _carried_on(
        signal, signal.steps, peak, core, forward=forward, noise=noise_steps, between=True
    )
    drowned = np.sqrt(2.0) * EDGE_NOISE * signal.noise > DROWNED_SHARE * top
    smooth = (long & hidden) | drowned
    if not smooth.any():
        return by_steps
    by_speed = _carried_on(
        signal, signal.speed, peak, core, forward=forward, noise=signal.noise * SPEED_NOISE,
        between=False,
    )  # fmt: skip
    return np.where(smooth, by_speed, by_steps)


def _carried_on(
    signal: Signal, speed: FloatArray, peak: IntArray, core: IntArray, *, forward: bool,
    noise: float, between: bool,
) -> FloatArray:  # fmt: skip
    """The root of the speed carried on to zero, in a straight line through two of its values.

    noise : of each coordinate of the speed; between : True where value i lies half a frame after i.
    What the hold beyond creeps is taken off first.
    """
    count, sign = len(speed) - int(between), 1 if forward else -1
    window = peak[:, None] + sign * np.arange(_columns(peak, core, len(speed)))[None, :]
    window = window - int(between and forward)
    inside = (window >= 0) & (window < count)
    values = np.where(inside, speed[np.clip(window, 0, count - 1)], 0.0)
    beyond = core[:, None] + sign * np.arange(1, 7)[None, :]
    creep = signal.speed[np.clip(beyond, 0, len(speed) - 1)].min(axis=1)
    values = np.maximum(values - creep[:, None], 0.0)
    bias = signal.flow.shape[1] * noise**2
    values = np.sqrt(np.maximum(values**2 - bias, 0.0))
    top = np.maximum(values[:, :3].max(axis=1), 1e-300)
    lower = np.maximum(EDGE_SHARE * top, np.minimum(EDGE_NOISE * noise, 0.2 * top))
    ratio = np.where(lower > 1.5 * EDGE_SHARE * top, NOISY_EDGE_RATIO, EDGE_RATIO)
    upper = np.minimum(ratio * lower, 0.6 * top)
    near, far = _falls_under(values, upper), _falls_under(values, lower)
    root = np.sqrt(lower / upper)
    out = far + (far - near) * root / (1.0 - root)
    half = 0.5 * float(between)
    blur = EDGE_STEP_BIAS if between else EDGE_SPEED_BIAS
    found: FloatArray = peak + sign * (out - half - blur)
    return found


def _columns(peak: IntArray, core: IntArray, count: int) -> int:
    """How far outward must be looked: the longest side and a little more."""
    return min(int(np.abs(core - peak).max()) + BEYOND, EDGE_FRAMES, count)


def _falls_under(values: FloatArray, level: FloatArray) -> FloatArray:
    """First place (fraction of a column) at which each row falls under its level."""
    below = values < level[:, None]
    below[:, -1] = True
    below[:, 0] = False
    at = np.argmax(below, axis=1)
    rows = np.arange(len(values))
    above, under = values[rows, at - 1], values[rows, at]
    part = np.clip((above - level) / np.maximum(above - under, 1e-300), 0.0, 1.0)
    found: FloatArray = at - 1 + part
    return found
