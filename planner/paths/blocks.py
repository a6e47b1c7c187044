"""Parts that move as one block: two joined parts whose velocities are one and the same shape.

In windows of a fixed time the second part's velocity is fitted by the first's, scaled and turned by
one amount (least squares). People's heads and chests are often less than a frame apart, so a small
lag alone is no fault; but what is carried by a spine still answers a little differently at every
moment, and in the fit some hundredths of the movement are left over. In a copied or parented move
next to nothing is.

Conventions: indexes count from 0 on the even time base, ranges inclusive.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from audio.reading import FloatArray
from planner.paths.figure import Figure, Track
from planner.paths.findings import OPEN, Finding, frozen_map, on_frames
from planner.paths.parts import CARRYING_PARTS
from planner.paths.ranges import runs
from planner.paths.signals import SPEED_KERNEL, SPEED_NOISE, filtered

WINDOW_S = 0.45
LEFT_LOOK = 0.006  # of the second part's movement that the first does not explain
LEFT_SURE = 0.003
OF_USUAL = 0.25  # of what these two parts leave over elsewhere in the shot
LEADS_BY = 0.03  # of the figure, that the first must travel in a window
GOES_BY = 0.01  # of the figure, the second
TURN_MAX_DEG = 75.0  # between their ways: what goes another way is no block


def block_findings(figure: Figure, first: Track, second: Track) -> Iterator[Finding]:
    """Stretches in which two tracks move as one block."""
    width = max(5, round(WINDOW_S * figure.frames_per_s))
    if len(first.signal.flow) <= width + 1:
        return
    left, error, turned = left_over(first, second, width)
    known = first.signal.known & second.signal.known & ~first.lost & ~second.lost
    gaps = np.concatenate([[0], np.cumsum(~known)])
    ways = [travel(track.signal.flow, width) for track in (first, second)]
    moving = (ways[0] > LEADS_BY * figure.extent) & (ways[1] > GOES_BY * figure.extent)
    alike = moving & (left < LEFT_LOOK) & (np.abs(turned) < TURN_MAX_DEG)
    alike &= gaps[width + 1 :][: len(alike)] == gaps[: -width - 1][: len(alike)]
    for begin, end in zip(*runs(alike), strict=True):
        best = int(begin + np.argmin((left + error)[begin : end + 1]))
        others = moving.copy()
        others[max(begin - width, 0) : end + width] = False
        usual = float(np.median(left[others])) if others.sum() >= width else 1.0
        yield _block(figure, first, second, (int(begin), int(end) + width), float(left[best]),
                     float(error[best]), float(turned[best]), usual)  # fmt: skip


def _moves_in(
    figure: Figure, first: Track, second: Track, span: tuple[int, int]
) -> tuple[int, int]:
    """The frames of the first's move that has most of the stretch, as far as the second goes."""
    shared = np.minimum(first.moves.last, span[1]) - np.maximum(first.moves.first, span[0])
    if not len(shared) or shared.max() < 0.4 * (span[1] - span[0]):
        return figure.frames(*span)
    move = int(np.argmax(shared))
    begin, end = int(first.moves.first[move]), int(first.moves.last[move])
    return figure.frames(max(begin, span[0] - 2), min(end, span[1] + 2))


def travel(points: FloatArray, width: int) -> FloatArray:
    """Length of the path in every window of `width` steps, shape (frames - width,)."""
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    sums = np.concatenate([[0.0], np.cumsum(steps)])
    return np.asarray(sums[width:] - sums[:-width])


def left_over(first: Track, second: Track, width: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """What is left of the second's velocity after the fit, its error, and by how far it is turned.

    Shapes (frames - width,); shares, and degrees. Noise is allowed for. In space the fit scales
    only.
    """
    one, two = (filtered(t.signal.flow, SPEED_KERNEL)[:-1] for t in (first, second))

    def windows(values: FloatArray) -> FloatArray:
        sums = np.concatenate([[0.0], np.cumsum(values)])
        return np.asarray(sums[width:] - sums[:-width])

    power = windows(np.einsum("fd,fd->f", one, one))
    other = windows(np.einsum("fd,fd->f", two, two))
    along = windows(np.einsum("fd,fd->f", one, two))
    across = np.zeros_like(along)
    if one.shape[1] == 2:
        across = windows(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    fitted = (along**2 + across**2) / np.maximum(power, 1e-300)
    gain = fitted / np.maximum(power, 1e-300)
    per_sample = one.shape[1] * SPEED_NOISE**2
    noise = per_sample * width * (second.signal.noise**2 + gain * first.signal.noise**2)
    own = np.maximum(other - per_sample * width * second.signal.noise**2, 1e-300)
    left = np.maximum(other - fitted - noise, 0.0) / own
    return left, noise / own, np.degrees(np.arctan2(across, along))


def _block(
    figure: Figure, first: Track, second: Track, span: tuple[int, int], left: float, error: float,
    turned: float, usual: float,
) -> Finding:  # fmt: skip
    frames = _moves_in(figure, first, second, span)
    seconds = (span[1] - span[0]) / figure.frames_per_s
    size = float(np.linalg.norm(np.ptp(first.signal.flow[span[0] : span[1] + 1], axis=0)))
    sure = left + error < min(LEFT_SURE, OF_USUAL * usual)
    sure = sure and second.point.part not in CARRYING_PARTS
    return Finding(
        "locked-parts", figure.who, frames, (first.point.part, second.point.part),
        frozen_map({"left": left, "turned_deg": turned, "seconds": seconds, "usually": usual,
                    "error": error}),
        frozen_map({"left": (LEFT_LOOK, OPEN)}), sure,
        f"{first.name} and {second.name} move as one block {on_frames(frames)}: at no time does "
        f"one answer the other, {left:.1%} of the movement of {second.name} is its own (usual: "
        f"{LEFT_LOOK:.0%} or more; by common practice a chest trails its head by some frames); a "
        "stiff or startled figure may be meant",
        (first.name, second.name), weight=size,
    )  # fmt: skip
