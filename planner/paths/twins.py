"""Twins: two hands that do the same, mirrored or repeated, at the same time.

The velocities of both hands are compared in windows of a fixed time: across the picture turned
round (mirrored) or as they are (repeated), with one scale. People's hands are alike when both are
raised; in a mirrored or copied move hardly anything is left over.

Conventions: as in `blocks`.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from audio.reading import FloatArray
from planner.paths.figure import Figure, Track
from planner.paths.findings import OPEN, Finding, frozen_map, on_frames
from planner.paths.lags import speaker_of_part
from planner.paths.ranges import runs
from planner.paths.signals import SPEED_KERNEL, SPEED_NOISE, filtered

WINDOW_S = 0.45
LEFT_LOOK = 0.01  # of the movement that the other hand does not explain
LEFT_SURE = 0.001
GOES_BY = 0.05  # of the figure, that both must travel in a window
SHORTEST_S, SURE_S = 0.5, 0.6
PAIRS = (("left hand", "right hand"), ("left arm", "right arm"))


def twin_findings(figure: Figure) -> Iterator[Finding]:
    """Stretches in which both hands are twins, mirrored or repeated."""
    for one, other in PAIRS:
        first, second = speaker_of_part(figure, one), speaker_of_part(figure, other)
        if first is not None and second is not None:
            yield from _twins(figure, first, second)
            return


def _twins(figure: Figure, first: Track, second: Track) -> Iterator[Finding]:
    width = max(5, round(WINDOW_S * figure.frames_per_s))
    if len(first.signal.flow) <= width + 1:
        return
    mirror = np.ones(first.signal.flow.shape[1])
    mirror[0] = -1.0
    for name, turn in (("mirrored", mirror), ("repeated", np.ones(len(mirror)))):
        left, error, small = _left(first, second, turn, width)
        alike = (left + error < LEFT_LOOK) & (small > GOES_BY * figure.extent)
        for begin, end in zip(*runs(alike), strict=True):
            if end - begin + width < SHORTEST_S * figure.frames_per_s:
                continue
            best = int(begin + np.argmin((left + error)[begin : end + 1]))
            yield _finding(figure, first, second, (int(begin), int(end) + width), name,
                           float(left[best]), float(error[best]))  # fmt: skip


def _left(
    first: Track, second: Track, turn: FloatArray, width: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """What one hand leaves of the other's velocity, its error, and the way of the lazier hand."""
    one = filtered(first.signal.flow, SPEED_KERNEL)[:-1] * turn
    two = filtered(second.signal.flow, SPEED_KERNEL)[:-1]

    def windows(values: FloatArray) -> FloatArray:
        sums = np.concatenate([[0.0], np.cumsum(values)])
        return np.asarray(sums[width:] - sums[:-width])

    power = np.maximum(windows(np.einsum("fd,fd->f", one, one)), 1e-300)
    other = np.maximum(windows(np.einsum("fd,fd->f", two, two)), 1e-300)
    along = windows(np.einsum("fd,fd->f", one, two))
    gain = along / power
    noise = one.shape[1] * SPEED_NOISE**2 * width
    noise_both = noise * (second.signal.noise**2 + gain**2 * first.signal.noise**2)
    left = np.maximum(other - along * gain - noise_both, 0.0) / other
    ways = [windows(np.linalg.norm(v, axis=1)) for v in (one, two)]
    return np.where(gain > 0, left, 1.0), noise_both / other, np.minimum(ways[0], ways[1])


def _finding(
    figure: Figure, first: Track, second: Track, span: tuple[int, int], name: str, left: float,
    error: float,
) -> Finding:  # fmt: skip
    frames = figure.frames(*span)
    sure = left + error < LEFT_SURE and span[1] - span[0] >= SURE_S * figure.frames_per_s
    return Finding(
        "twins", figure.who, frames, (first.point.part, second.point.part),
        frozen_map({"left": left, "twins": name, "error": error}),
        frozen_map({"left": (LEFT_LOOK, OPEN)}), sure,
        f"{first.name} and {second.name} are twins {on_frames(frames)}: {name}, and {left:.1%} of "
        f"the movement is a hand's own (usual: {LEFT_LOOK:.0%} or more); a gesture of both hands "
        "may be meant",
        (first.name, second.name), weight=float(span[1] - span[0]),
    )  # fmt: skip
