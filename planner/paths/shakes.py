"""Shakes and jumps: jitter, and positions that pop for a frame.

Jitter is a shake from drawing to drawing, against the figure's size and the track's own quiet
noise; a track that shakes everywhere alike is taken for a noisy tracker. A pop is a step that
departs from its neighbours' by far more than they are long (see `signals.take_out_jumps`).

Conventions: indexes count from 0, ranges inclusive; amounts in the file's unit.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from audio.reading import FloatArray
from planner.paths.figure import Figure, Track
from planner.paths.findings import Finding, frozen_map, on_frames
from planner.paths.ranges import runs

JITTER_OF_FIGURE = 0.001
JITTER_SURE_OF_FIGURE = 0.003
JITTER_TIMES = 3.0  # the track's quiet noise
JITTER_WINDOW = 8  # frames
JITTER_SHORTEST = 6  # frames
JITTER_TURNS = 0.35
COARSE_PER_S, JITTER_TURNS_COARSE = 20.0, 0.55  # a move of four drawings turns too
JITTER_MAX = 0.05  # of the figure: that is no shake
POP_OF_FIGURE = 0.006


def shake_findings(figure: Figure) -> Iterator[Finding]:
    """All jitters and pops of a figure."""
    for track in figure.tracks:
        yield from _jitter(figure, track)
        yield from _pops(figure, track)


def _jitter(figure: Figure, track: Track) -> Iterator[Finding]:
    """Stretches outside moves that shake from frame to frame."""
    signal = track.drawn
    count = len(signal.ripple)
    if count < 2 * JITTER_WINDOW:
        return
    still = signal.known & (signal.ripple < JITTER_MAX * figure.extent)
    power = np.where(still, signal.ripple**2, 0.0)
    sums = np.concatenate([[0.0], np.cumsum(power)])
    reach = JITTER_WINDOW // 2
    low, high = (
        np.clip(np.arange(count) - reach, 0, count),
        np.clip(np.arange(count) + reach, 0, count),
    )
    level = np.sqrt(np.maximum(sums[high] - sums[low], 0.0) / np.maximum(high - low, 1))
    own = signal.noise if np.isfinite(signal.noise) else 0.0
    usual = max(JITTER_OF_FIGURE * figure.extent, JITTER_TIMES * own)
    shaking = (level > 0.7 * usual) & still
    coarse = figure.drawn_per_s(track) < COARSE_PER_S
    needed = JITTER_TURNS_COARSE if coarse else JITTER_TURNS
    for first, last in zip(*runs(shaking), strict=True):
        if turning(signal.flow[first : last + 1]) > needed:
            yield from _shake(figure, track, int(first), int(last), usual)


def turning(points: FloatArray) -> float:
    """How regularly third differences change sign, 0 to 1; white noise has 0.75, moves less.

    points : shape (drawings, dims). Source: the correlation of neighbours is -15/20.
    """
    third = np.diff(points, n=3, axis=0)
    if len(third) < 2:
        return 0.0
    power = float(np.einsum("fd,fd->", third, third))
    return float(-np.einsum("fd,fd->", third[1:], third[:-1]) / max(power, 1e-300))


def _shake(figure: Figure, track: Track, first: int, last: int, usual: float) -> Iterator[Finding]:
    ripple = track.drawn.ripple
    inside = ripple[first : last + 1]
    level = float(np.sqrt(np.mean(inside**2)))
    strong = np.flatnonzero(inside > max(0.35 * level, 0.5 * usual)) + first
    if len(strong) < JITTER_SHORTEST or strong[-1] - strong[0] + 1 < JITTER_SHORTEST:
        return
    # a third difference reaches a frame back and two ahead of its place
    begin, end = int(strong[0]) + 1, int(strong[-1])
    inside = ripple[begin : end + 1]
    level = float(np.sqrt(np.mean(inside**2)))
    error = level / np.sqrt(2.0 * max(len(inside), 1))
    if level <= usual:
        return
    frames = figure.drawn_frames(track, begin, end)
    yield Finding(
        "jitter", figure.who, frames, (track.point.part,),
        frozen_map({"shake": level, "of_the_figure": level / figure.extent, "error": error}),
        frozen_map({"shake": (0.0, usual)}),
        level - error > max(usual, JITTER_SURE_OF_FIGURE * figure.extent),
        f"{track.name} jitters {on_frames(frames)}: it shakes by {level:.2g} {figure.unit} from "
        f"frame to frame (give or take {error:.2g}), usual is under {usual:.2g}; a shiver may be "
        "meant",
        (track.name,), weight=level,
    )  # fmt: skip


def _pops(figure: Figure, track: Track) -> Iterator[Finding]:
    """Jumps of one frame."""
    usual = max(POP_OF_FIGURE * figure.extent, 6.0 * track.drawn.noise)
    known = track.drawn.known
    for jump in track.drawn.jumps:
        if jump.size <= usual or not known[jump.index]:
            continue
        frames = figure.drawn_frames(track, jump.index, jump.index)
        error = 2.0 * track.drawn.noise
        back = "and is back on the next" if jump.spike else "and stays there"
        yield Finding(
            "pop", figure.who, frames, (track.point.part,),
            frozen_map({"jump": jump.size, "error": error}),
            frozen_map({"jump": (0.0, usual)}), jump.size - error > usual,
            f"{track.name} pops {on_frames(frames)}: it jumps {jump.size:.1f} {figure.unit} in one "
            f"frame {back} (usual: under {usual:.1f} beyond its neighbours' steps); a cut or a "
            "change of contact may be meant",
            (track.name,), weight=jump.size,
        )  # fmt: skip
