"""The pitch contour as a line that can be measured: ragged ends trimmed, ripples out.

A consonant pulls the pitch of the first and last 10 ms of a voiced stretch about; those are left
out. Inside a stretch the pitch is median-filtered and smoothed over 25 ms. Semitones; NaN where
unvoiced. It joins nothing across silence: that is for who asks.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.sound.loudness import smooth
from audio.voice.pitch_repair import stretches

FloatArray = NDArray[np.float64]

RAGGED_STEPS = 2  # 10 ms at either end of a voiced stretch: consonant perturbation
SHORTEST_STEPS = 8  # a stretch shorter than this is left whole
SMOOTH_S = 0.025
MEDIAN_STEPS = 5
TURN_ST = 1.0  # a turn smaller than this is a ripple (under the 1.5 st that is heard as different)
TAIL_STEPS = 8  # a last leg shorter than 40 ms is no movement
FLAT_ST = 0.3  # what moves less than this at either end of a leg is not part of the movement
FLAT_SHARE = 0.1
FLAT_STEPS = 10  # level ends shorter than 50 ms stay with the leg: a curve slows down at its ends


def clean_contour(hz: FloatArray, *, reference_hz: float) -> FloatArray:
    """Smoothed semitones over `reference_hz`. hz : shape (n,), NaN unvoiced; same shape back."""
    result = np.full(len(hz), np.nan)
    for first, last in stretches(np.asarray(hz, dtype=np.float64)):
        cut = RAGGED_STEPS if last - first >= SHORTEST_STEPS + 2 * RAGGED_STEPS else 0
        low, high = first + cut, last - cut
        values = 12.0 * np.log2(hz[low:high] / reference_hz)
        result[low:high] = smooth(_median(values), SMOOTH_S)
    return result


def _median(values: FloatArray) -> FloatArray:
    """A running median over MEDIAN_STEPS values, the ends repeated."""
    padded = np.pad(values, MEDIAN_STEPS // 2, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, MEDIAN_STEPS)
    median: FloatArray = np.median(windows, axis=1)
    return median


def turning_points(contour: FloatArray, turn_st: float = TURN_ST) -> list[int]:
    """Indexes where a contour turns by `turn_st` or more, its first and last value included.

    contour : shape (n,), n >= 1, no NaN. Between two of them the contour goes one way, but for
    ripples. Returns two indexes at least, (0, n - 1) where nothing turns.
    """
    turns = [0]
    low = high = 0
    way = 0
    for n, value in enumerate(contour):
        low = n if value < contour[low] else low
        high = n if value > contour[high] else high
        if way >= 0 and contour[high] - value >= turn_st:
            if high > turns[-1]:
                turns.append(high)
            way, low, high = -1, n, n
        elif way <= 0 and value - contour[low] >= turn_st:
            if low > turns[-1]:
                turns.append(low)
            way, low, high = 1, n, n
    return _with_end(contour, turns, high if way > 0 else low if way < 0 else 0, turn_st)


def _with_end(contour: FloatArray, turns: list[int], extreme: int, turn_st: float) -> list[int]:
    """The turns with the last extreme, or the last value where it lies off by a ripple only."""
    last = len(contour) - 1
    if extreme > turns[-1] and abs(contour[last] - contour[extreme]) > 0.5 * turn_st:
        turns.append(extreme)
    if last > turns[-1]:
        turns.append(last)
    return turns if len(turns) > 1 else [0, last]


def last_movement(contour: FloatArray) -> float:
    """Semitones of the last leg of a contour without NaN; a tail too short to hear is left out."""
    turns = turning_points(contour)
    while len(turns) > 2:
        start, end = turns[-2], turns[-1]
        moved = abs(float(contour[end] - contour[start]))
        if moved >= TURN_ST and end - start >= TAIL_STEPS:
            break
        turns.pop()
    return float(contour[turns[-1]] - contour[turns[-2]])


def moving_part(contour: FloatArray, first: int, last: int) -> tuple[int, int]:
    """The part of a leg (inclusive indexes) in which it moves, long level ends left out."""
    total = float(contour[last] - contour[first])
    if total == 0.0:
        return first, last
    slack = min(FLAT_ST, FLAT_SHARE * abs(total))
    progress = np.sign(total) * (contour[first : last + 1] - contour[first])
    started = int(np.flatnonzero(progress <= slack)[-1])
    done = int(np.flatnonzero(progress >= abs(total) - slack)[0])
    if done <= started:
        return first, last
    low = first + started if started >= FLAT_STEPS else first
    high = first + done if last - first - done >= FLAT_STEPS else last
    return low, high
