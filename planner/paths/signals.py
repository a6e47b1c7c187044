"""From positions to signals: gaps bridged, jumps taken out, noise and speed measured, a track each.

Conventions: arrays run over frames, shape (frames,) or (frames, dims); speeds are a frame, in the
file's unit; `noise` is the standard deviation of a coordinate.

Noise is read from third differences: white noise of deviation s gives them a variance of 20 s^2
(1 + 9 + 9 + 1), while an eased move leaves little there. The quietest fifth of the track counts, so
that moves and a shaking hold do not pass for tracking noise.

What it does not do: tell a tracker's noise from a shake that is in the whole track.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.reading import FloatArray

IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

THIRD_DIFFERENCE_GAIN = 20.0  # variance of a third difference of white noise: 1 + 9 + 9 + 1
NOISE_BLOCK = 12  # frames
NOISY_TURNS = 0.35  # of the block's power; white noise has 0.69 in a block of 12
QUIET_BIAS = 1.2  # the quietest fifth of blocks of white noise reads 0.83 of it (simulated)
NOISY_FEWEST = 2  # blocks
NOISY_SHARE = 0.15  # of all blocks: fewer than that are quick accents, no noise
SHAKE_WINDOW = 17  # frames; more than half must shake, so that a quick accent does not count
SPEED_NOISE = 0.395  # deviation of SPEED_KERNEL's output for unit noise: sqrt(10) / 8
SMOOTH_NOISE = 0.697  # the same for SMOOTH_KERNEL: sqrt(17 / 35)
RAYLEIGH_MEDIAN = 0.833  # median over root mean square of a plane vector of white noise
SPEED_KERNEL = np.array([1.0, 2.0, 0.0, -2.0, -1.0]) / 8.0  # central difference of (1 2 1)/4
SMOOTH_KERNEL = np.array([-3.0, 12.0, 17.0, 12.0, -3.0]) / 35.0  # Savitzky & Golay 1964, cubic, 5
POP_FACTOR = 2.2  # a three-frame minimum-jerk move reaches 1.8 times its neighbours' steps
POP_NOISE = 8.0  # times the noise
TINY = 1e-30  # what is smaller is nothing; its squares would leave the numbers
END_FRAMES = 2  # frames at both ends that the filters guess in part
GAP_REACH = 2  # frames beside a gap that the filters touch
QUANTUM_DECIMALS = 3  # a file written with no more decimals than this has a coarse grain


@dataclass(frozen=True, slots=True)
class Jump:
    """A position that jumps at an index: it stays there (`spike` False) or comes back at once."""

    index: int
    size: float
    spike: bool


@dataclass(frozen=True, slots=True, eq=False)
class Signal:
    """One track, measured. All arrays over frames.

    raw : gaps bridged; flow : jumps taken out too; smooth : flow, smoothed; steps : distance to the
    next frame; speed : smoothed; shake : local noise; ripple : third difference as noise, frame by
    frame; known : False in and beside gaps; grain : the step in which positions were written, or 0.
    """

    raw: FloatArray
    flow: FloatArray
    smooth: FloatArray
    steps: FloatArray
    speed: FloatArray
    shake: FloatArray
    ripple: FloatArray
    known: BoolArray
    noise: float
    grain: float
    jumps: tuple[Jump, ...]


def measure_signal(
    points: FloatArray, *, grain: float = 0.0, noise: float | None = None,
    known: BoolArray | None = None,
) -> Signal:  # fmt: skip
    """Signals of one track.

    points : shape (frames, dims), NaN in gaps. noise, known : given where the positions were made
    from a track that has been measured, free of jumps. Raises ValueError if no position is known.
    """
    raw, recorded = bridge_gaps(np.where(np.abs(points) < TINY, 0.0, points))
    ripple = third_difference(raw)
    shake = local_level(ripple)
    jumps: list[Jump] = []
    flow = raw
    if noise is None:
        jumps, flow = take_out_jumps(raw, shake)
        if jumps:
            ripple = third_difference(flow)
            shake = local_level(ripple)
        third = np.diff(flow, n=3, axis=0) if len(flow) >= 4 else np.zeros((0, flow.shape[1]))
        noise = max(quiet_level(third), grain / np.sqrt(12.0))
    velocity = filtered(flow, SPEED_KERNEL)
    if len(flow) > 2 * END_FRAMES:  # what the filter makes of the ends is noisier than the rest
        velocity[:END_FRAMES] = velocity[END_FRAMES]
        velocity[-END_FRAMES:] = velocity[-END_FRAMES - 1]
    steps = np.zeros(len(flow))
    steps[:-1] = np.linalg.norm(np.diff(flow, axis=0), axis=1)
    return Signal(
        raw=raw, flow=flow, smooth=filtered(flow, SMOOTH_KERNEL), steps=steps,
        speed=np.linalg.norm(velocity, axis=1), shake=np.maximum(shake, noise),
        ripple=ripple, known=away_from_gaps(recorded) if known is None else known,
        noise=float(noise), grain=grain,
        jumps=tuple(jumps),
    )  # fmt: skip


def bridge_gaps(points: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Straight lines across what is missing, and where something was recorded."""
    recorded = np.all(np.isfinite(points), axis=1)
    if recorded.all():
        return points, recorded
    if not recorded.any():
        raise ValueError("a track without a single position")
    index = np.arange(len(points))
    filled = np.empty_like(points)
    for axis in range(points.shape[1]):
        filled[:, axis] = np.interp(index, index[recorded], points[recorded, axis])
    return filled, recorded


def away_from_gaps(recorded: BoolArray) -> BoolArray:
    """False in gaps and as far beside them as the filters reach."""
    if recorded.all():
        return recorded
    missing = np.convolve(~recorded, np.ones(2 * GAP_REACH + 1), mode="same") > 0.5
    return ~missing


def filtered(points: FloatArray, kernel: FloatArray) -> FloatArray:
    """A five-point filter over frames; beyond the ends the track goes on as it came. Shape kept."""
    reach = min(len(kernel) // 2, len(points) - 1)
    if reach < len(kernel) // 2:
        return points.copy() if kernel.sum() > 0.5 else np.zeros_like(points)
    before = 2.0 * points[:1] - points[reach:0:-1]
    after = 2.0 * points[-1:] - points[-2 : -2 - reach : -1]
    padded = np.concatenate([before, points, after])
    count = len(points)
    result: FloatArray = np.zeros_like(points)
    for offset, weight in enumerate(kernel[::-1]):
        if weight:
            result += weight * padded[offset : offset + count]
    return result


def third_difference(points: FloatArray) -> FloatArray:
    """Third difference as the noise it would come from, shape (frames,), centred, ends 0."""
    result = np.zeros(len(points))
    if len(points) >= 4:
        third = np.diff(points, n=3, axis=0)
        scale = np.sqrt(THIRD_DIFFERENCE_GAIN * points.shape[1])
        result[1:-2] = np.linalg.norm(third, axis=1) / scale
    return result


def quiet_level(third: FloatArray) -> float:
    """Noise of the quietest fifth of the blocks that look like noise.

    third : third differences, shape (frames, dims). White noise makes neighbours of opposite sign
    (their correlation is -15/20); a move does not. Where hardly any block does, there is no noise.
    """
    blocks = len(third) // NOISE_BLOCK
    if blocks == 0:
        return 0.0
    cut = third[: blocks * NOISE_BLOCK].reshape(blocks, NOISE_BLOCK, -1)
    power = np.einsum("bkd,bkd->b", cut, cut)
    turns = -np.einsum("bkd,bkd->b", cut[:, :-1], cut[:, 1:])
    noisy = (turns > NOISY_TURNS * power) & (power > 0)
    still = np.count_nonzero(power == 0)
    if noisy.sum() < max(NOISY_FEWEST, NOISY_SHARE * blocks) or still > 0.5 * blocks:
        return 0.0
    scale = THIRD_DIFFERENCE_GAIN * NOISE_BLOCK * cut.shape[2]
    return float(QUIET_BIAS * np.sqrt(np.quantile(power[noisy], 0.2) / scale))


def local_level(ripple: FloatArray) -> FloatArray:
    """Noise around each frame: the running median over SHAKE_WINDOW, every fourth frame."""
    reach = SHAKE_WINDOW // 2
    padded = np.pad(ripple, reach)
    windows = np.lib.stride_tricks.sliding_window_view(padded, SHAKE_WINDOW)[::4]
    medians = np.median(windows, axis=1) / RAYLEIGH_MEDIAN
    return np.repeat(medians, 4)[: len(ripple)]


def take_out_jumps(points: FloatArray, shake: FloatArray) -> tuple[list[Jump], FloatArray]:
    """Jumps of one frame, and the positions without them.

    A step is a jump when it departs from the mean of its neighbours by more than POP_FACTOR times
    the greatest of the four steps around it, and by more than POP_NOISE times the noise there.

    shake : local noise, shape (frames,).
    """
    if len(points) < 6:
        return [], points
    difference = np.diff(points, axis=0)
    size = np.linalg.norm(difference, axis=1)
    floor = POP_NOISE * shake + 1e-12 * (1.0 + size.max())
    spikes = _spikes(points, size, floor)
    flow = points
    if len(spikes):
        flow = points.copy()
        flow[spikes] = 0.5 * (points[spikes - 1] + points[spikes + 1])
        difference = np.diff(flow, axis=0)
        size = np.linalg.norm(difference, axis=1)
    stays, moved = _stays(difference, size, floor)
    jumps = [Jump(int(i), float(np.linalg.norm(points[i] - flow[i])), True) for i in spikes] + [
        Jump(int(i) + 1, float(np.linalg.norm(m)), False) for i, m in zip(stays, moved, strict=True)
    ]
    if len(stays):
        shift = np.zeros_like(points)
        shift[stays + 1] = moved
        flow = flow - np.cumsum(shift, axis=0)
    return sorted(jumps, key=lambda jump: jump.index), flow


def _spikes(points: FloatArray, size: FloatArray, floor: FloatArray) -> IntArray:
    """Indexes whose position leaves the line of its neighbours and comes back at once."""
    middle = points[2:-2]
    away = np.linalg.norm(middle - 0.5 * (points[1:-3] + points[3:-1]), axis=1)
    across = 0.5 * np.linalg.norm(points[3:-1] - points[1:-3], axis=1)
    around = np.maximum(np.maximum(size[:-3], size[3:]), across)
    found = np.flatnonzero(away > POP_FACTOR * around + floor[2:-2]) + 2
    return _strongest(found, away, offset=2)


def _strongest(found: IntArray, strength: FloatArray, *, offset: int) -> IntArray:
    """Of indexes side by side, the strongest."""
    kept: list[int] = []
    for index in found:
        if kept and index - kept[-1] <= 1:
            if strength[index - offset] > strength[kept[-1] - offset]:
                kept[-1] = int(index)
        else:
            kept.append(int(index))
    return np.array(kept, dtype=np.int64)


def _stays(
    difference: FloatArray, size: FloatArray, floor: FloatArray
) -> tuple[IntArray, FloatArray]:
    """Steps that jump and stay, and by how much each departs from its neighbours' mean."""
    usual = 0.5 * (difference[1:-3] + difference[3:-1])
    departs = difference[2:-2] - usual
    amount = np.linalg.norm(departs, axis=1)
    around = np.max(np.stack([size[:-4], size[1:-3], size[3:-1], size[4:]]), axis=0)
    found = np.flatnonzero(amount > POP_FACTOR * around + floor[2:-3]) + 2
    return found, departs[found - 2]


def grain_of(points: FloatArray) -> float:
    """The step in which positions were written (1, 0.1, 0.01, 0.001), or 0 if finer than that."""
    values = points[np.isfinite(points)].ravel()[:4000]
    if not len(values) or np.all(values == values[0]):
        return 0.0
    for decimals in range(QUANTUM_DECIMALS + 1):
        scaled = values * 10.0**decimals
        if np.all(np.abs(scaled - np.round(scaled)) < 1e-6 * np.maximum(1.0, np.abs(scaled))):
            return float(10.0**-decimals)
    return 0.0
